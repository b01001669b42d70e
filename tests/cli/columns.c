/* columns and import --rejects from outside: what is shown, what is written, and what never is. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char unclear_log[] = "date,unit,energy_mj,Patient,door\n"
                                  "03/04/2026,Room 1,1.61,secret,open\n"
                                  "05/06/2026,Room 1,1.62,secret,shut\n";
static const char poor_log[] = "date,unit,energy_mj,=door\n"
                               "2026-04-20,Room 1,1.61,1\n"
                               "2026-04-21,Room 1,secret,2\n"
                               "2026-04-22,Room 1,1.62\n";

static char *folder_with(const char *name, const char *text) {
  char *folder = folder_begin(), *path = path_in(folder, name);
  file_write(path, text, strlen(text));
  free(path);
  return folder;
}

static char *text_in(const char *folder, const char *name) {
  char *path = path_in(folder, name), *text = file_read(path, NULL);
  free(path);
  return text;
}

static void must_not_exist(const char *folder, const char *name) {
  char *path = path_in(folder, name);
  cr_expect(!file_exists(path), "%s was written", name);
  free(path);
}

/* Characters of the longest line. */
static size_t widest(const char *text) {
  size_t most = 0, width = 0;
  for (; *text != '\0'; text++) {
    width = *text == '\n' ? 0 : width + (((unsigned char)*text & 0xC0) != 0x80);
    most = width > most ? width : most;
  }
  return most;
}

Test(columns, an_unclear_log_is_shown_with_its_question) {
  char *folder = folder_with("unclear.csv", unclear_log);
  char *shown = RUN_DONE(folder, "columns", "unclear.csv");
  cr_expect_not_null(strstr(shown, "date order      not decided"), "%s", shown);
  cr_expect_not_null(
      strstr(shown, "   3 energy_mj               energy_mj           1.61 | 1.62\n"), "%s", shown);
  cr_expect_not_null(strstr(shown, "looks like a patient's identity: never stored"), "%s", shown);
  cr_expect_not_null(strstr(shown, "not stored          open | shut"), "%s", shown);
  cr_expect_not_null(strstr(shown, "--dates dmy or --dates mdy"), "%s", shown);
  cr_expect_null(strstr(shown, "secret"), "a value of an identity is shown");
  cr_expect_leq(widest(shown), 80, "%s", shown);
  free(shown);
  run_result result = RUN(folder, "columns", "--strict", "unclear.csv");
  cr_expect_eq(result.status, ATTENTION);
  run_free(&result);
  shown = RUN_DONE(folder, "columns", "--strict", "--dates", "dmy", "unclear.csv");
  cr_expect_not_null(strstr(shown, "Nothing is left to settle"), "%s", shown);
  free(shown);
  must_not_exist(folder, "beamtally.sqlite");
  folder_end(folder);
}

/* The mark is open where numbers leave it so, and else none is needed. */
Test(columns, the_decimal_mark) {
  static const char *const logs[][2] = {
      {"Tag;Soll\n13.04.2026;1,610\n", "decimal mark    not decided"},
      {"date;hv_kv;Soll\n2026-04-13;25;1,610\n", "decimal mark    not decided"},
      {"date;energy_mj\n2026-04-13;1,610\n", "decimal mark    not decided"},
      {"date;energy_mj\n2026-04-13;2\n", "decimal mark    none needed"},
      {"date;event\n2026-04-13;service\n", "decimal mark    none needed"},
      {"date;energy_mj\n2026-04-13;1,61\n", "decimal mark    comma"}};
  for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
    char *folder = folder_with("log.csv", logs[i][0]);
    char *shown = RUN_DONE(folder, "columns", "log.csv");
    cr_expect_not_null(strstr(shown, logs[i][1]), "%s", shown);
    free(shown);
    folder_end(folder);
  }
}

Test(columns, what_cannot_be_shown) {
  static const char *const cases[][4] = {
      {"columns", "nowhere.csv"}, {"columns"}, {"columns", "a.csv", "a.csv"}, {"columns", "a.csv"}};
  static const int statuses[] = {FAILED, USAGE, USAGE, FAILED};
  char *folder = folder_with("a.csv", "PK\x03\x04");
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    run_result result = run_plain(folder, cases[i]);
    cr_expect_eq(result.status, statuses[i], "case %zu: %s", i, result.err);
    cr_expect_str_eq(result.out, "", "case %zu", i);
    run_free(&result);
  }
  folder_end(folder);
}

/* The starter map of the demo's log in other words: wide enough for a terminal, taken by import,
 * and never over a file. */
Test(columns, a_starter_map) {
  char *folder = folder_begin(), *log = sample("suite-south.txt");
  char *shown = RUN_DONE(folder, "columns", "--quiet", "--write", "south.ini", log);
  cr_expect_leq(widest(shown), 80, "%s", shown);
  char *map = text_in(folder, "south.ini");
  cr_expect_not_null(strstr(map, "delimiter = semicolon\ndecimal = comma\ndates = dmy\n"), "%s",
                     map);
  cr_expect_not_null(strstr(map, "\n# energy_mj = E Ist (mJ)\n"), "%s", map);
  run_result result = RUN(folder, "columns", "--write", "south.ini", log);
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "south.ini is there already and is not written over"), "%s",
                     result.err);
  run_free(&result);
  char *again = text_in(folder, "south.ini");
  cr_expect_str_eq(map, again);
  free(shown);

  /* With the comments of its columns taken for true it reads the log as the demo's own map does. */
  char *settled = malloc(strlen(map) + 1), *to = settled;
  cr_assert_not_null(settled);
  for (const char *from = map; *from != '\0';) {
    size_t line = strcspn(from, "\n") + 1;
    bool key = line > 2 && strncmp(from, "# ", 2) == 0 && strstr(from, " = ") != NULL &&
               strstr(from, " = ") < from + 24 && strncmp(from, "# unit", 6) != 0;
    memcpy(to, from + (key ? 2 : 0), line - (key ? 2 : 0));
    to += line - (key ? 2 : 0);
    from += line;
  }
  char *path = path_in(folder, "suite-south.map.ini");
  file_write(path, settled, (size_t)(to - settled));
  char *summary =
      RUN_DONE(folder, "import", "--unit", "Suite South", "--map", "suite-south.map.ini", log);
  char *own_map = sample("suite-south.map.ini");
  char *by_own = RUN_DONE(folder, "import", "--ledger", "own.sqlite", "--map", own_map, log);
  cr_expect_str_eq(summary, by_own);
  free(own_map);
  free(by_own);
  free(summary);
  free(path);
  free(settled);
  free(map);
  free(again);
  free(log);
  folder_end(folder);
}

Test(rejects, refused_lines_as_csv) {
  static const char rows[] =
      "3,energy_mj,energy_mj,\"expected a number with a decimal point; correct the cell or map the "
      "column, or, if the word says that nothing was measured, say so in a column map under "
      "[values], in a line like: not_stored = energy_mj, THE CELL'S TEXT\"\r\n"
      "4,,,the row has 3 fields where the header has 4; look for a missing or an unquoted "
      "delimiter\r\n";
  char *folder = folder_with("poor.csv", poor_log);
  free(RUN_DONE(folder, "import", "--max-refused", "100", "--rejects", "one.csv", "poor.csv"));
  char *csv = text_in(folder, "one.csv");
  cr_expect_eq(strncmp(csv, "line,column,field,reason\r\n", 26), 0, "%s", csv);
  cr_expect_str_eq(csv + 26, rows);
  cr_expect_null(strstr(csv, "secret"));

  /* In the ledger already: read again for its refused lines alone. */
  free(RUN_DONE(folder, "import", "--rejects", "again.csv", "poor.csv"));
  char *again = text_in(folder, "again.csv");
  cr_expect_str_eq(csv, again);
  free(again);

  /* Never over a file, and then nothing is imported either. */
  run_result result =
      RUN(folder, "import", "--ledger", "other.sqlite", "--rejects", "one.csv", "poor.csv");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "is not written over"), "%s", result.err);
  run_free(&result);
  must_not_exist(folder, "other.sqlite");
  again = text_in(folder, "one.csv");
  cr_expect_str_eq(csv, again);
  free(again);
  free(csv);
  folder_end(folder);
}

/* With several logs the first column names them; a log that is stopped has its lines all the same.
 */
Test(rejects, several_logs) {
  char *folder = folder_with("poor.csv", poor_log), *path = path_in(folder, "=b.csv");
  file_write(path, poor_log, strlen(poor_log));
  run_result result = RUN(folder, "import", "--dry-run", "--max-refused", "10", "--rejects",
                          "all.csv", "poor.csv", "=b.csv");
  cr_expect_eq(result.status, FAILED);
  run_free(&result);
  char *csv = text_in(folder, "all.csv");
  static const char opening[] = "file,line,column,field,reason\r\npoor.csv,3,energy_mj,";
  cr_expect_eq(strncmp(csv, opening, strlen(opening)), 0, "%s", csv);
  cr_expect_not_null(strstr(csv, "\r\n'=b.csv,4,,,the row has 3 fields"), "%s", csv);
  free(csv);
  free(path);
  folder_end(folder);
}

/* The command that is printed is one that a shell takes; what stands behind a # in the map is valid
 * without it. */
Test(columns, what_a_starter_map_offers_can_be_taken) {
  static const char log[] = "Datum;Energie\n03/04/2026;2\n05/06/2026;2\n";
  static const char *const taken[] = {"# dates = dmy", "# decimal = point",
                                      "# energy_mj = ", "# unit = ", "# date = "};
  char *folder = folder_with("B log.csv", log);
  run_result result = RUN(folder, "columns", "--write", "B map.ini", "B log.csv");
  cr_expect_eq(result.status, DONE);
  cr_expect_not_null(strstr(result.err, "`beamtally import --map 'B map.ini' 'B log.csv'`"), "%s",
                     result.err);
  run_free(&result);
  char *map = text_in(folder, "B map.ini"), *path = path_in(folder, "taken.ini");
  for (size_t i = 0; i < sizeof taken / sizeof *taken; i++) {
    char *line = strstr(map, taken[i]);
    if (line != NULL)
      line[0] = line[1] = ' ';
    cr_expect(line != NULL || i > 1, "%s is not in: %s", taken[i], map);
  }
  file_write(path, map, strlen(map));
  result = RUN(folder, "import", "--map", "taken.ini", "B log.csv");
  cr_expect_eq(result.status, DONE, "%s%s", result.err, map);
  run_free(&result);
  free(path);
  free(map);
  folder_end(folder);
}

/* A disk that is full leaves neither the file nor a half of it. */
Test(rejects, no_room) {
  char *folder = folder_with("poor.csv", poor_log);
  run_setting full = {.folder = folder, .output = "/dev/null", .file_limit = 16};
  run_result result =
      run_with(&full, (const char *const[]){"import", "--dry-run", "--max-refused", "100",
                                            "--rejects", "one.csv", "poor.csv", NULL});
  cr_expect_eq(result.status, FAILED);
  run_free(&result);
  result =
      run_with(&full, (const char *const[]){"columns", "--write", "map.ini", "poor.csv", NULL});
  cr_expect_eq(result.status, FAILED, "%s", result.err);
  run_free(&result);
  must_not_exist(folder, "one.csv");
  must_not_exist(folder, "map.ini");
  folder_end(folder);
}

/* The line that "is the header" and the line of units are numbered as the sentences below have
 * them. */
Test(columns, header_and_units_by_their_lines) {
  char *folder = folder_begin();
  file_put(folder, "units.txt",
           "Sala;;\nFecha;Energía medida;Nota\n;mJ;\n17.08.2026;1,6;a\n18.08.2026;1,7;b\n");
  char *said = RUN_DONE(folder, "columns", "units.txt");
  cr_expect_not_null(strstr(said, "header          line 2, units line 3\n"), "%s", said);
  cr_expect_not_null(strstr(said, "line 2 is the header, it seems"), "%s", said);
  cr_expect_not_null(strstr(said, "line 3 is read as the units"), "%s", said);
  free(said);
  folder_end(folder);
}

/* Of a log whose names are foreign each column says what it probably is, and that a map has to say
 * so; what nothing speaks for is not stored, and no offer of the map is another. */
Test(columns, what_a_column_probably_is) {
  static const char log[] =
      "Fecha;Hora;Energía consigna (mJ);Energía medida (mJ);Desv. X (mm);Desv. Y (mm);Autotest;Gas "
      "cambiado;Puerta;energy_sd_pct;Observaciones\n"
      "17/08/2026;07:55;2,10;2,097;0,005;-0,005;18/18;sí;abierta;1,5;ruido\n"
      "18/08/2026;07:32;2,10;2,092;0,004;-0,005;18/18;;cerrada;1,4;\n";
  static const char *const keys[] = {
      "date?",        "time?",         "target_mj?",       "energy_mj?",
      "offset_x_um?", "offset_y_um?",  "selftest_passed?", "refill?",
      "not stored",   "energy_sd_pct", "remark?"};
  char *folder = folder_with("log.csv", log);
  char *shown = RUN_DONE(folder, "columns", "--write", "map.ini", "log.csv");
  char *map = text_in(folder, "map.ini");
  for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
    char number[16], offer[32];
    (void)snprintf(number, sizeof number, "\n%4zu ", i + 1);
    (void)snprintf(offer, sizeof offer, "\n# %s = ", keys[i]);
    char *line = strstr(shown, number), *question = strchr(offer, '?');
    cr_assert_not_null(line, "%s", shown);
    line[1 + strcspn(line + 1, "\n")] = '\0';
    cr_expect_not_null(strstr(line, keys[i]), "%zu: %s", i, line);
    line[strlen(line)] = '\n';
    if (question != NULL && strcmp(keys[i], "refill?") != 0) {
      memmove(question, question + 1, strlen(question));
      cr_expect_not_null(strstr(map, offer), "%s is not in: %s", offer, map);
    }
  }
  cr_expect_not_null(strstr(shown,
                            "  A key with ? is what the column probably is. Nothing of it is "
                            "stored before a\n  column map says so.\n"),
                     "%s", shown);
  cr_expect_leq(widest(shown), 80, "%s", shown);
  free(map);
  free(shown);
  shown = RUN_DONE(folder, "columns", "--unit", "A", "log.csv");
  cr_expect_not_null(strstr(shown, "To be settled before this file can be imported"), "%s", shown);
  free(shown);
  file_put(folder, "diary.csv", "fecha,que se hizo\n2026-08-17,cambio de gas\n");
  shown = RUN_DONE(folder, "columns", "diary.csv");
  cr_expect_not_null(strstr(shown, " event? "), "%s", shown);
  free(shown);
  file_put(folder, "long.csv",
           "date,characteristic,value\n2026-08-17,Energía medida,1.6\n"
           "2026-08-17,Puerta,2\n");
  shown = RUN_DONE(folder, "columns", "long.csv");
  cr_expect_not_null(strstr(shown, "energy_mj? "), "%s", shown);
  cr_expect_not_null(strstr(shown, "not known "), "%s", shown);
  free(shown);
  file_put(folder, "known.csv", "date,unit,energy_mj\n2026-08-17,A,1.6\n");
  shown = RUN_DONE(folder, "columns", "known.csv");
  cr_expect_null(strstr(shown, "probably"), "%s", shown);
  free(shown);
  folder_end(folder);
}

/* A command that is printed can be copied: no line ends inside it, wherever it comes to stand. */
Test(columns, a_command_is_not_broken) {
  for (int length = 1; length <= 41; length += 4) {
    char *folder = folder_begin(), log[300], pad[42] = "";
    memset(pad, 'x', (size_t)length);
    (void)snprintf(log, sizeof log,
                   "date,unit,energy_mj,Fluenz %s\n2026-04-20,Room 1,1.61,180\n"
                   "2026-04-21,Room 1,1.62,181\n2026-04-22,Room 1,1.62,182\n",
                   pad);
    file_put(folder, "log.csv", log);
    char *said = RUN_DONE(folder, "columns", "log.csv");
    cr_expect_not_null(strstr(said, "`beamtally columns --write MAP FILE`"), "%d: %s", length,
                       said);
    cr_expect_leq(widest(said), 80, "%s", said);
    free(said);
    folder_end(folder);
  }
}
