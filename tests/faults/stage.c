#include "stage.h"

#include "../cli/program.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void write_text(const stage *s, const char *name, const char *text) {
  char *path = path_in(s->folder, name);
  file_write(path, text, strlen(text));
  free(path);
}

/* One check a day; three of them far off, so that there is an episode. */
static void write_log(const stage *s, const char *name, int first_day, int days) {
  char *path = path_in(s->folder, name);
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  (void)fputs("date,time,unit,target_mj,energy_mj,pattern,remark\n", file);
  for (int d = first_day; d < first_day + days; d++)
    (void)fprintf(file, "2026-04-%02d,07:30,Room 1,1.61,%.3f,pass,%s\n", d,
                  d >= 16 && d <= 18 ? 1.64 : 1.6 + 0.004 * (d % 5),
                  d % 7 == 0 ? "\"a remark, with a comma\"" : "");
  cr_assert_eq(fclose(file), 0);
  free(path);
}

static void write_inputs(const stage *s) {
  write_log(s, "first.csv", 1, 20);
  write_log(s, "second.csv", 15, 15);
  write_text(s, "other.csv",
             "date,time,unit,target_mj,energy_mj\n2026-04-10,07:30,Room 1,1.61,1.7\n"
             "2026-04-11,07:30,Room 1,1.61,lots\n");
  write_text(s, "events.csv",
             "date,time,unit,event,note\n2026-04-03,06:30,Room 1,gas_refill,\n"
             "2026-04-06,06:30,Room 1,gas_refill,new bottle\n");
  write_text(s, "diary.csv",
             "Tag,Was getan wurde,Stunden,\"Notiz\ndazu\"\n2026-04-03,Gaswechsel,,neue Flasche\n"
             "2026-04-06,Wartung,,\n");
  write_text(s, "first.ini", "[unit 1]\nname = Room 1\n");
  write_text(s, "clinic.ini",
             "[unit 1]\nname = Room 1\n[tolerance 1]\nunit = Room 1\n"
             "characteristic = energy_ratio\nlow = 0.97\nhigh = 1.03\nsource = IFU 7\n"
             "from = 2026-01-01\n");
  write_text(s, "map.ini",
             "[columns]\ndate = date\ntime = time\nunit = unit\ntarget_mj = target_mj\n"
             "energy_mj = energy_mj\nremark = remark\n");
}

/* The first word of a text that is 8 hex digits. */
static void find_id(char *text, char *id) {
  for (char *word = strtok(text, " \n"); word != NULL; word = strtok(NULL, " \n"))
    if (strlen(word) == 8 && strspn(word, "0123456789abcdef") == 8) {
      memcpy(id, word, 9);
      free(text);
      return;
    }
  cr_assert_fail("no id is shown");
}

/* Every row of every table, with the length only of what is random or follows from it: salts,
 * digests and states are the blobs. */
static void add_table(sqlite3 *db, const char *table, FILE *all) {
  sqlite3_stmt *rows = NULL;
  char *sql = sqlite3_mprintf("SELECT * FROM main.\"%w\"", table);
  cr_assert_eq(sqlite3_prepare_v2(db, sql, -1, &rows, NULL), SQLITE_OK, "%s", sqlite3_errmsg(db));
  while (sqlite3_step(rows) == SQLITE_ROW) {
    (void)fputs(table, all);
    for (int c = 0; c < sqlite3_column_count(rows); c++)
      if (sqlite3_column_type(rows, c) == SQLITE_BLOB)
        (void)fprintf(all, "|%d bytes", sqlite3_column_bytes(rows, c));
      else
        (void)fprintf(all, "|%s",
                      sqlite3_column_type(rows, c) == SQLITE_NULL
                          ? "NULL"
                          : (const char *)sqlite3_column_text(rows, c));
    (void)fputc('\n', all);
  }
  cr_assert_eq(sqlite3_finalize(rows), SQLITE_OK);
  sqlite3_free(sql);
}

/* Nothing for a ledger with no entry but its making, as a failed first import may leave it. */
static char *read_rows(const char *ledger) {
  char *text = NULL;
  size_t n = 0;
  FILE *all = open_memstream(&text, &n);
  sqlite3 *db = NULL;
  sqlite3_stmt *tables = NULL;
  cr_assert_not_null(all);
  cr_assert_eq(sqlite3_open_v2(ledger, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
  cr_assert_eq(sqlite3_prepare_v2(db,
                                  "SELECT name FROM main.sqlite_schema WHERE type = 'table' AND "
                                  "(SELECT count(*) FROM main.entry) > 1 ORDER BY name",
                                  -1, &tables, NULL),
               SQLITE_OK, "%s", sqlite3_errmsg(db));
  while (sqlite3_step(tables) == SQLITE_ROW)
    add_table(db, (const char *)sqlite3_column_text(tables, 0), all);
  cr_assert_eq(sqlite3_finalize(tables), SQLITE_OK);
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
  cr_assert_eq(fclose(all), 0);
  return text;
}

stage stage_begin(void) {
  stage s = {.folder = folder_begin()};
  s.ledger = path_in(s.folder, "beamtally.sqlite");
  s.report = path_in(s.folder, ".fault");
  write_inputs(&s);
  free(RUN_DONE(s.folder, "import", "first.csv"));
  free(RUN_DONE(s.folder, "import", "--max-refused", "50", "other.csv"));
  free(RUN_DONE(s.folder, "settings", "first.ini", "--by", "KL", "--why", "first"));
  free(RUN_DONE(s.folder, "event", "--unit", "Room 1", "--at", "2026-04-02T06:30", "--by", "KL",
                "gas_refill", "--note", "new bottle"));
  free(RUN_DONE(s.folder, "baseline", "--unit", "Room 1", "--characteristic", "energy_ratio",
                "--from", "2026-04-01", "--to", "2026-04-15", "--by", "KL", "--why", "trial"));
  find_id(RUN_DONE(s.folder, "signals"), s.episode);
  find_id(RUN_DONE(s.folder, "conflicts"), s.conflict);
  s.rows = read_rows(s.ledger);
  s.bytes = file_read(s.ledger, &s.n);
  return s;
}

void stage_end(stage *s) {
  free(s->bytes);
  free(s->rows);
  free(s->ledger);
  free(s->report);
  folder_end(s->folder);
}

/* Takes away a folder of files, as an export is. */
static void drop_folder(const stage *s, const char *name) {
  char *folder = path_in(s->folder, name);
  struct dirent **names = NULL;
  int n = scandir(folder, &names, NULL, alphasort);
  for (int i = 0; i < n; i++) {
    char *path = path_in(folder, names[i]->d_name);
    if (strcmp(names[i]->d_name, ".") != 0 && strcmp(names[i]->d_name, "..") != 0)
      (void)unlink(path);
    free(path);
    free(names[i]);
  }
  free(names);
  (void)rmdir(folder);
  free(folder);
}

void stage_reset(const stage *s, bool bare) {
  static const char *const made[] = {"chart.png", "copy.sqlite", "beamtally.sqlite-journal"};
  drop_folder(s, "out");
  for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
    char *path = path_in(s->folder, made[i]);
    (void)unlink(path);
    free(path);
  }
  if (bare)
    (void)unlink(s->ledger);
  else
    file_write(s->ledger, s->bytes, s->n);
}

/* True when the ledger is byte for byte what it was before the command, with nothing beside it. */
static bool untouched(const stage *s) {
  char *journal = path_in(s->folder, "beamtally.sqlite-journal");
  size_t n = 0;
  char *bytes = file_read(s->ledger, &n);
  bool same = !file_exists(journal) && n == s->n && memcmp(bytes, s->bytes, n) == 0;
  free(bytes);
  free(journal);
  return same;
}

/* Rows of the ledger, verified first: a journal that was left is rolled back by that. */
static char *verified_rows(const stage *s) {
  run_result verified = RUN(s->folder, "verify");
  bool nothing = strstr(verified.err, "there is no ledger") != NULL ||
                 strstr(verified.err, "is empty (0 bytes): not a ledger") != NULL;
  cr_assert(verified.status == 0 || nothing, "verify after a fault: %s", verified.err);
  run_free(&verified);
  return nothing ? strdup("") : read_rows(s->ledger);
}

/* Every file of a folder, hidden ones too, by name. A journal that still stands after `verify`
 * holds nothing: the next one to write takes it over. */
static void add_files(const char *folder, FILE *all) {
  struct dirent **names = NULL;
  int n = scandir(folder, &names, NULL, alphasort);
  for (int i = 0; i < n; i++) {
    static const char *const known[] = {
        ".", "..", ".fault", "beamtally.sqlite", "beamtally.sqlite-journal", "out"};
    bool is_known = false;
    for (size_t k = 0; k < sizeof known / sizeof *known; k++)
      is_known = is_known || strcmp(names[i]->d_name, known[k]) == 0;
    if (!is_known)
      (void)fprintf(all, "file %s\n", names[i]->d_name);
    free(names[i]);
  }
  free(names);
}

char *stage_visible(const stage *s) {
  char *text = NULL, *out = path_in(s->folder, "out");
  size_t n = 0;
  FILE *all = open_memstream(&text, &n);
  cr_assert_not_null(all);
  if (file_exists(s->ledger)) {
    char *rows = untouched(s) ? NULL : verified_rows(s);
    (void)fputs(rows == NULL ? s->rows : rows, all);
    free(rows);
  }
  add_files(s->folder, all);
  add_files(out, all); /* an empty folder for reports says nothing */
  cr_assert_eq(fclose(all), 0);
  free(out);
  return text;
}
