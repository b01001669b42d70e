/* Opening: only a whole ledger of ours is opened, all else is answered with a sentence. */
#include "everything.h"
#include "ledger_private.h"
#include "sql_private.h"

#include <fcntl.h>
#include <stdio.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

TestSuite(ledger_open, .fini = test_cleanup);

/* Opening fails with that status and a sentence that holds those words. */
static void refused(const char *path, bt_ledger_mode mode, bt_status wanted, const char *words) {
  bt_ledger *ledger = NULL;
  bt_error error = {0};
  bt_status status = bt_ledger_open(path, mode, &ledger, &error);
  cr_expect_eq(status, wanted, "status %d: %s", (int)status, error.text);
  cr_expect_null(ledger);
  cr_expect_not_null(strstr(error.text, words), "\"%s\" has no \"%s\"", error.text, words);
  bt_ledger_close(ledger);
}

static void write_file(const char *path, const char *bytes) {
  FILE *file = fopen(path, "w");
  cr_assert_not_null(file);
  cr_assert_geq(fputs(bytes, file), 0);
  cr_assert_eq(fclose(file), 0);
}

/* Runs SQL as another program would: without our settings. */
static void meddle(const char *path, const char *sql) {
  sqlite3 *db = NULL;
  cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
  cr_assert_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK, "%s", sqlite3_errmsg(db));
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
}

static void three_modes(const char *path, bt_status status, const char *words) {
  refused(path, BT_LEDGER_READ, status, words);
  refused(path, BT_LEDGER_WRITE, status, words);
  refused(path, BT_LEDGER_CREATE, status, words);
}

Test(ledger_open, what_is_not_a_ledger) {
  const char *path = test_path("ledger");
  refused(path, BT_LEDGER_READ, BT_NOTFOUND, "no ledger here");
  refused(path, BT_LEDGER_WRITE, BT_NOTFOUND, "no ledger here");
  cr_assert_neq(access(path, F_OK), 0, "looking makes no file");
  refused("/tmp/no such folder/ledger", BT_LEDGER_CREATE, BT_SYSTEM, "folder");

  three_modes("", BT_USAGE, "name of a file");
  three_modes(":memory:", BT_USAGE, "name of a file");
  three_modes("file:ledger?mode=memory", BT_USAGE, "name of a file");

  write_file(path, "");
  refused(path, BT_LEDGER_READ, BT_NOTFOUND, "empty");
  write_file(path, "date,energy\n2026-01-01,1\n");
  three_modes(path, BT_REFUSED, "not a Beamtally ledger");

  const char *other = test_path("other");
  meddle(other, "CREATE TABLE t (x); INSERT INTO t VALUES (1)");
  three_modes(other, BT_REFUSED, "database of another program");

  const char *folder = test_path("folder");
  cr_assert_eq(mkdir(folder, 0755), 0);
  three_modes(folder, BT_REFUSED, "folder");
}

Test(ledger_open, a_killed_creation_is_taken_up) {
  const char *path = test_path("ledger");
  write_file(path, "");
  bt_ledger *ledger = test_open(path, BT_LEDGER_CREATE);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM entry"), 1);
  bt_ledger_close(ledger);
}

/* To SQLite a file of one byte is an empty database, which it would write over. */
Test(ledger_open, a_file_of_a_few_bytes_is_never_written_over) {
  const char *path = test_path("ledger");
  static const char *const bytes[] = {"x", "xy", "a line that somebody wrote\n", "SQLite format 3"};
  static const bt_ledger_mode modes[] = {BT_LEDGER_READ, BT_LEDGER_WRITE, BT_LEDGER_CREATE};
  for (size_t i = 0; i < sizeof bytes / sizeof bytes[0]; i++)
    for (size_t m = 0; m < sizeof modes / sizeof modes[0]; m++) {
      struct stat info;
      write_file(path, bytes[i]);
      refused(path, modes[m], BT_REFUSED,
              i == 0 ? "not a ledger, but 1 byte of" : "is not a Beamtally ledger");
      cr_expect(stat(path, &info) == 0 && (size_t)info.st_size == strlen(bytes[i]));
    }
}

/* A process that ends in the midst of its first transaction, with pages written and a journal left:
 * rolled back, the file has no page. */
static void leave_a_journal_of_nothing(const char *path) {
  pid_t child = fork();
  cr_assert_geq(child, 0);
  if (child == 0) {
    sqlite3 *db = NULL;
    if (sqlite3_open(path, &db) != SQLITE_OK)
      _exit(1);
    _exit(sqlite3_exec(db,
                       "PRAGMA cache_size = 1; BEGIN; CREATE TABLE t (x); "
                       "INSERT INTO t VALUES (randomblob(200000))",
                       NULL, NULL, NULL) == SQLITE_OK
              ? 0
              : 2);
  }
  int result = -1;
  cr_assert_eq(waitpid(child, &result, 0), child);
  cr_assert_eq(result, 0);
}

Test(ledger_open, what_a_killed_creation_wrote_is_no_ledger_yet) {
  const char *path = test_path("ledger"), *journal = test_path("ledger-journal");
  static const bt_ledger_mode modes[] = {BT_LEDGER_READ, BT_LEDGER_WRITE};
  for (size_t i = 0; i < sizeof modes / sizeof modes[0]; i++) {
    leave_a_journal_of_nothing(path);
    struct stat info;
    cr_assert(stat(path, &info) == 0 && info.st_size > 0 && access(journal, F_OK) == 0);
    refused(path, modes[i], BT_NOTFOUND, "is empty (0 bytes): not a ledger");
    cr_expect_neq(access(journal, F_OK), 0);
  }
  leave_a_journal_of_nothing(path);
  bt_ledger *ledger = test_open(path, BT_LEDGER_CREATE);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM entry"), 1);
  bt_ledger_close(ledger);
}

Test(ledger_open, the_file_is_as_designed) {
  bt_ledger *ledger = test_synced_ledger();
  cr_expect_eq(test_number(ledger, "PRAGMA page_size"), 8192);
  cr_expect_eq(test_number(ledger, "PRAGMA application_id"), LEDGER_APPLICATION_ID);
  cr_expect_eq(test_number(ledger, "PRAGMA user_version"), LEDGER_VERSION);
  cr_expect_eq(test_number(ledger, "PRAGMA secure_delete"), 1);
  cr_expect_eq(test_number(ledger, "PRAGMA synchronous"), 3); /* EXTRA */
  cr_expect_eq(test_number(ledger, "PRAGMA foreign_keys"), 1);
  cr_expect_eq(test_number(ledger, "PRAGMA recursive_triggers"), 1);
  cr_expect_eq(test_number(ledger, "PRAGMA trusted_schema"), 0);
  cr_expect_eq(test_number(ledger, "PRAGMA cell_size_check"), 1);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' "
                                   "AND type = 'table' AND name NOT LIKE 'sqlite_%' "
                                   "AND NOT strict"),
               0);
  /* Each table of ours has both triggers. */
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger'"),
               2 * test_number(ledger, "SELECT count(*) FROM sqlite_schema WHERE type = 'table'"));
  bt_ledger_close(ledger);
}

/* Each by the name of what another program took away, put in or changed. */
Test(ledger_open, another_version_and_a_changed_schema) {
  static const struct {
    const char *sql, *named;
  } changes[] = {
      {"DROP TRIGGER checks_keeps_rows", "the trigger \"checks_keeps_rows\" is missing"},
      {"DROP TRIGGER refusal_keeps_values", "the trigger \"refusal_keeps_values\" is missing"},
      {"CREATE VIEW v AS SELECT * FROM checks", "the view \"v\" is not part of a ledger"},
      {"CREATE TABLE zebra (x)", "the table \"zebra\" is not part of a ledger"},
      {"CREATE TABLE aardvark (x)", "the table \"aardvark\" is not part of a ledger"},
      {"ANALYZE", "left its table \"sqlite_stat1\" in the ledger; use a backup from before, or let "
                  "that program take it out again (DROP TABLE sqlite_stat1)"},
      {"DROP INDEX event_by_time", "the index \"event_by_time\" is missing"},
      {"CREATE INDEX i ON checks (energy_mj)", "the index \"i\" is not part of a ledger"},
      {"DROP TABLE refusal", "the table \"refusal\" is missing"},
      {"ALTER TABLE checks ADD COLUMN extra REAL",
       "the table \"checks\" is not as Beamtally makes it"},
      {"CREATE TRIGGER t AFTER INSERT ON checks BEGIN SELECT 1; END",
       "the trigger \"t\" is not part of a ledger"},
      {"DROP TRIGGER checks_keeps_rows; CREATE TRIGGER checks_keeps_rows BEFORE DELETE ON checks "
       "BEGIN SELECT 1; END",
       "the trigger \"checks_keeps_rows\" is not as Beamtally makes it"}};
  const char *path = test_path("ledger");
  for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
    bt_ledger_close(test_kept(path));
    meddle(path, changes[i].sql);
    three_modes(path, BT_DAMAGED, changes[i].named);
    cr_assert_eq(unlink(path), 0);
  }
  bt_ledger_close(test_kept(path));
  meddle(path, "ANALYZE; DROP TABLE sqlite_stat1"); /* as the sentence says */
  bt_ledger_close(test_open(path, BT_LEDGER_WRITE));
  char newer[40];
  (void)snprintf(newer, sizeof newer, "PRAGMA user_version = %d", (int)LEDGER_VERSION + 1);
  meddle(path, newer);
  three_modes(path, BT_REFUSED, "newer");
  meddle(path, "PRAGMA user_version = 0");
  three_modes(path, BT_DAMAGED, "version");
}

/* Another program may have switched the journal's mode, which the schema doesn't show. */
Test(ledger_open, a_write_ahead_log_is_switched_back) {
  const char *path = test_path("ledger");
  bt_ledger_close(test_kept(path));
  meddle(path, "PRAGMA journal_mode = WAL");
  bt_ledger_close(test_open(path, BT_LEDGER_WRITE));
  unsigned char header[20];
  FILE *file = fopen(path, "rb");
  cr_assert_not_null(file);
  cr_assert_eq(fread(header, 1, sizeof header, file), sizeof header);
  cr_assert_eq(fclose(file), 0);
  cr_expect(header[18] == 1 && header[19] == 1); /* 2 is a write-ahead log: file format 1.3 */
}

static void copy_file(const char *from, const char *to) {
  FILE *in = fopen(from, "rb"), *out = fopen(to, "wb");
  int byte;
  cr_assert(in != NULL && out != NULL);
  while ((byte = fgetc(in)) != EOF)
    (void)fputc(byte, out);
  cr_assert(fclose(in) == 0 && fclose(out) == 0);
}

/* What another program left in its log, as one that was killed does, is part of the ledger, whose
 * file alone is shorter. */
Test(ledger_open, a_write_ahead_log_that_was_left_is_no_cut) {
  static const char *const names[] = {"read", "write", "create"};
  static const bt_ledger_mode modes[] = {BT_LEDGER_READ, BT_LEDGER_WRITE, BT_LEDGER_CREATE};
  const char *path = test_path("ledger"), *log = test_path("ledger-wal");
  sqlite3 *db = NULL;
  struct stat info;
  bt_ledger_close(test_kept(path));
  cr_assert_eq(stat(path, &info), 0);
  off_t bare = info.st_size;
  cr_assert_eq(sqlite3_open(path, &db), SQLITE_OK);
  cr_assert_eq(sqlite3_exec(db,
                            "PRAGMA journal_mode = WAL; PRAGMA wal_autocheckpoint = 0;"
                            "INSERT INTO text (salt, body) VALUES (x'00', printf('%.99999c', 'x'))",
                            NULL, NULL, NULL),
               SQLITE_OK);
  for (size_t i = 0; i < sizeof modes / sizeof modes[0]; i++) {
    char name[32];
    (void)snprintf(name, sizeof name, "%s-wal", names[i]);
    const char *copy = test_path(names[i]);
    copy_file(path, copy);
    copy_file(log, test_path(name));
    cr_assert(stat(copy, &info) == 0 && info.st_size == bare);
    bt_ledger *ledger = test_open(copy, modes[i]);
    cr_expect_eq(test_number(ledger, "SELECT length(body) FROM text"), 99999);
    bt_ledger_close(ledger);
  }
  cr_assert_eq(sqlite3_close(db), SQLITE_OK);
}

Test(ledger_open, a_file_cut_short) {
  const char *path = test_path("ledger");
  bt_ledger *ledger = test_kept(path);
  cr_assert_eq(
      sqlite3_exec(ledger->db,
                   "INSERT INTO text (salt, body) VALUES (randomblob(16), printf('%.99999c', 'x'))",
                   NULL, NULL, NULL),
      SQLITE_OK); /* the last page holds no part of the schema */
  bt_ledger_close(ledger);
  struct stat info;
  cr_assert_eq(stat(path, &info), 0);
  cr_assert_eq(truncate(path, info.st_size - 1), 0); /* SQLite would add a zero and say nothing */
  three_modes(path, BT_DAMAGED, "bytes are there");
  cr_assert_eq(truncate(path, info.st_size / 2), 0);
  three_modes(path, BT_DAMAGED, "cut short");
}

static const char *shut;

/* 0 when the opening is refused as wanted. */
static void expect_status(bt_ledger_mode mode, bt_status wanted) {
  bt_ledger *ledger = NULL;
  bt_error error = {0};
  bt_status status = bt_ledger_open(shut, mode, &ledger, &error);
  bt_ledger_close(ledger);
  if (status != wanted || (wanted == BT_SYSTEM && strstr(error.text, "right to") == NULL)) {
    (void)fprintf(stderr, "status %d: %s\n", (int)status, error.text);
    _exit(2);
  }
}

static void read_only_folder(void) {
  expect_status(BT_LEDGER_CREATE, BT_SYSTEM);
}

static void read_only_file(void) {
  expect_status(BT_LEDGER_READ, BT_OK);
  expect_status(BT_LEDGER_WRITE, BT_SYSTEM);
}

/* A write-ahead log can't be made beside it. */
static void read_only_log(void) {
  bt_ledger *ledger = NULL;
  bt_error error = {0};
  bt_status status = bt_ledger_open(shut, BT_LEDGER_READ, &ledger, &error);
  bt_ledger_close(ledger);
  if (status != BT_SYSTEM || strstr(error.text, "name the copy with --ledger") == NULL) {
    (void)fprintf(stderr, "status %d: %s\n", (int)status, error.text);
    _exit(2);
  }
}

static void unreadable_file(void) {
  expect_status(BT_LEDGER_READ, BT_SYSTEM);
}

Test(ledger_open, without_the_right_to) {
  const char *folder = test_path("folder");
  const char *inside = test_path("folder/ledger");
  cr_assert_eq(mkdir(folder, 0755), 0);
  shut = inside;
  if (getuid() != 0)
    cr_assert_eq(chmod(folder, 0555), 0);
  cr_expect_eq(test_as_nobody(read_only_folder), 0);
  cr_assert_eq(chmod(folder, 0755), 0);

  bt_ledger_close(test_kept(inside));
  cr_assert_eq(chmod(inside, 0444), 0);
  cr_expect_eq(test_as_nobody(read_only_file), 0);
  cr_assert_eq(chmod(inside, 0000), 0);
  cr_expect_eq(test_as_nobody(unreadable_file), 0);
  cr_assert_eq(chmod(inside, 0644), 0);
  meddle(inside, "PRAGMA journal_mode = WAL");
  cr_assert_eq(chmod(inside, 0444), 0);
  if (getuid() != 0)
    cr_assert_eq(chmod(folder, 0555), 0);
  cr_expect_eq(test_as_nobody(read_only_log), 0);
  cr_assert_eq(chmod(folder, 0755), 0);
  cr_assert_eq(unlink(inside), 0);
}

Test(ledger_open, rows_are_never_changed_deleted_or_replaced) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  sqlite3_stmt *tables = NULL;
  test_fill_everything(ledger);
  cr_ok(ledger_prepare(ledger,
                       "SELECT s.name, (SELECT name FROM pragma_table_info(s.name) LIMIT 1) "
                       "FROM sqlite_schema AS s WHERE type = 'table'",
                       &tables, &error),
        error);
  int tried = 0;
  while (sqlite3_step(tables) == SQLITE_ROW) {
    const char *table = (const char *)sqlite3_column_text(tables, 0);
    const char *column = (const char *)sqlite3_column_text(tables, 1);
    /* A trigger speaks only when there is a row. */
    char *sql[3] = {sqlite3_mprintf("DELETE FROM %s", table),
                    sqlite3_mprintf("UPDATE %s SET %s = %s", table, column, column),
                    sqlite3_mprintf("INSERT OR REPLACE INTO %s SELECT * FROM %s", table, table)};
    char *count = sqlite3_mprintf("SELECT count(*) FROM %s", table);
    int64_t rows = test_number(ledger, count);
    cr_expect_gt(rows, 0, "%s", table);
    for (int i = 0; i < 3; i++, tried++) {
      cr_expect_eq(sqlite3_exec(ledger->db, sql[i], NULL, NULL, NULL), SQLITE_CONSTRAINT_TRIGGER,
                   "%s", sql[i]);
      cr_expect_not_null(strstr(sqlite3_errmsg(ledger->db), "only grows"), "%s: %s", sql[i],
                         sqlite3_errmsg(ledger->db));
    }
    cr_expect_eq(test_number(ledger, count), rows);
    for (int i = 0; i < 3; i++)
      sqlite3_free(sql[i]);
    sqlite3_free(count);
  }
  (void)sqlite3_finalize(tables);
  cr_assert_eq(tried, 3 * 25);
  bt_ledger_close(ledger);
}

static int no_rollback(void *context, int action, const char *one, const char *two,
                       const char *database, const char *trigger) {
  (void)context, (void)two, (void)database, (void)trigger;
  return action == SQLITE_TRANSACTION && strcmp(one, "ROLLBACK") == 0 ? SQLITE_DENY : SQLITE_OK;
}

/* It is rolled back when the next one begins; where that fails too, the ledger is at fault, not who
 * uses it. */
Test(ledger_open, a_transaction_that_could_not_be_rolled_back_is_no_import) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  cr_ok(ledger_begin(ledger, &error), error);
  cr_assert_eq(sqlite3_set_authorizer(ledger->db, no_rollback, NULL), SQLITE_OK);
  ledger_rollback(ledger);
  bt_status status = ledger_begin(ledger, &error);
  cr_expect(status == BT_SYSTEM && strstr(error.text, "import") == NULL, "%d: %s", (int)status,
            error.text);
  cr_assert_eq(sqlite3_set_authorizer(ledger->db, NULL, NULL), SQLITE_OK);
  cr_ok(ledger_begin(ledger, &error), error);
  bt_status again = ledger_begin(ledger, &error);
  cr_expect(again == BT_USAGE && strstr(error.text, "an import is still going on") != NULL, "%s",
            error.text);
  ledger_rollback(ledger);
  bt_ledger_close(ledger);
}

static int one_rollback_less(void *context, int action, const char *one, const char *two,
                             const char *database, const char *trigger) {
  int *denied = context;
  int code = no_rollback(NULL, action, one, two, database, trigger);
  return code == SQLITE_OK || (*denied)-- <= 0 ? SQLITE_OK : code;
}

static bt_status take_names(void *context, const char *const *names, size_t n, bt_error *error) {
  (void)context, (void)names, (void)n, (void)error;
  return BT_OK;
}

static bt_status take_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  (void)context, (void)cells, (void)n, (void)error;
  return BT_OK;
}

/* What was read is right, but its transaction holds up whoever wants to write: it is ended at the
 * second try, or before the next one. */
Test(ledger_open, a_verification_whose_rollback_failed_holds_nobody_up_for_long) {
  bt_ledger *ledger = test_ledger(), *other = NULL;
  const bt_table_sink sink = {.columns = take_names, .row = take_row};
  bt_verification found;
  bt_error error = {0};
  test_fill(ledger);
  for (int failures = 1; failures <= 4; failures++) {
    int denied = failures;
    cr_assert_eq(sqlite3_set_authorizer(ledger->db, one_rollback_less, &denied), SQLITE_OK);
    cr_ok(bt_ledger_verify(ledger, &found, &error), error);
    cr_expect_eq(sqlite3_get_autocommit(ledger->db) != 0, failures == 1, "%d", failures);
    bt_status status = failures == 2 ? bt_ledger_table(ledger, BT_TABLE_CHECKS, &sink, &error)
                                     : bt_ledger_verify(ledger, &found, &error);
    /* Twice two tries fail, and the next begins with one that succeeds. */
    cr_expect_eq(status, failures == 4 ? BT_SYSTEM : BT_OK, "%d: %s", failures, error.text);
    cr_ok(bt_ledger_verify(ledger, &found, &error), error);
    cr_expect_neq(sqlite3_get_autocommit(ledger->db), 0);
    cr_assert_eq(sqlite3_set_authorizer(ledger->db, NULL, NULL), SQLITE_OK);
  }
  other = test_open(test_path("ledger"), BT_LEDGER_WRITE);
  ledger_set_wait(other, 0);
  cr_ok(ledger_begin(other, &error), error);
  ledger_rollback(other);
  bt_ledger_close(other);
  bt_ledger_close(ledger);
}
