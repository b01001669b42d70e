/* Every function of the ledger with its Nth allocation, SQL statement or write to the disk failing.
 *
 * After each fault the function has done all of it and says so, or says in a sentence that it
 * failed, and the file, when opened again, is byte for byte as before. By default FEW places of
 * each kind are tried, spread evenly; with BEAMTALLY_LONG_TESTS in the environment every one, until
 * no fault comes. */
#include "helpers.h"

#include "helpers.h"

#include "../../counted.h"
#include "everything.h"
#include "injector.h"

#include <stdio.h>
#include <stdlib.h>

TestSuite(ledger_failing, .fini = test_cleanup, .timeout = 3600);

enum { FEW = 2, ALL_AT_ONCE = 1000000 };

typedef struct file_bytes {
  char *at;
  size_t n;
} file_bytes;

static file_bytes read_file(const char *path) {
  file_bytes file = {0};
  FILE *from = fopen(path, "rb");
  cr_assert(from != NULL && fseek(from, 0, SEEK_END) == 0);
  file.n = (size_t)ftell(from);
  rewind(from);
  file.at = malloc(file.n + 1);
  cr_assert(file.at != NULL && fread(file.at, 1, file.n, from) == file.n && fclose(from) == 0);
  return file;
}

static void write_file(const char *path, const file_bytes *file) {
  FILE *to = fopen(path, "wb");
  cr_assert(to != NULL && fwrite(file->at, 1, file->n, to) == file->n && fclose(to) == 0);
}

/* ---- What is tried --------------------------------------------------------------------------- */

static bt_status import_log(bt_ledger *ledger, bt_error *error) {
  bt_own_reading own[] = {{"door_force", 12.5}, {"lid_force", 3}};
  bt_check log[] = {test_check("A", "2026-03-01T08:05", 1.62, 2), /* another than is stored */
                    test_check("A", "2026-04-01T08:05", 1.6, 3),
                    test_check("A", "2026-04-01T08:05", 1.6, 4), /* twins */
                    test_check("A", "2026-04-02", 1.61, 5),
                    test_check("C", "2026-04-02T09:00", 1.61, 6)};
  bt_event event = {.unit = "A", .time = TEST_NOW + 3600, .kind = BT_EVENT_SERVICE, .note = "new"};
  bt_refusal refusal = {.line = 9, .reason = "no date"};
  bt_source source = test_source("april.csv");
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  log[1].own = log[2].own = own;
  log[1].own_n = log[2].own_n = 2;
  log[3].text[BT_FIELD_REMARK] = "a remark";
  log[3].text[BT_FIELD_METER] = "M 7";
  bt_status status =
      bt_import_begin(ledger, &source, NULL, true, TEST_NOW, &import, &repeated, error);
  if (status != BT_OK)
    return status;
  for (size_t i = 0; i < sizeof log / sizeof *log && status == BT_OK; i++)
    status = bt_import_check(import, &log[i], error);
  if (status == BT_OK)
    status = bt_import_event(import, &event, error);
  if (status == BT_OK)
    status = bt_import_refusal(import, &refusal, error);
  if (status == BT_OK)
    return bt_import_commit(import, &counts, error);
  bt_import_abandon(import);
  return status;
}

static bt_status add_check(bt_ledger *ledger, bt_error *error) {
  bt_check check = test_check("A", "2026-04-03T08:05", 1.6, 0);
  bool known = false;
  check.text[BT_FIELD_REMARK] = "typed";
  return bt_ledger_add_check(ledger, &check, false, "tech", TEST_NOW, &known, error);
}

static bt_status correct_check(bt_ledger *ledger, bt_error *error) {
  bt_check check = test_check("A", "2026-01-03T08:06", 1.6, 0);
  check.text[BT_FIELD_REMARK] = "another minute";
  return bt_ledger_correct_check(ledger, "A", test_time("2026-01-03T08:05"), 0, &check, "t", "typo",
                                 TEST_NOW, error);
}

static bt_status add_event(bt_ledger *ledger, bt_error *error) {
  bt_event event = {.unit = "C", .time = TEST_NOW + 60, .kind = BT_EVENT_MOVED, .note = "moved"};
  bool known = false;
  return bt_ledger_add_event(ledger, &event, true, "tech", TEST_NOW, &known, error);
}

static bt_status correct_event(bt_ledger *ledger, bt_error *error) {
  return bt_ledger_correct_event(ledger, 1, NULL, "lead", "not so", TEST_NOW, error);
}

static bt_status redact_check(bt_ledger *ledger, bt_error *error) {
  bt_text_holders further;
  return bt_ledger_redact_check(ledger, "A", test_time("2026-01-03T08:05"), 0, BT_FIELD_REMARK, "t",
                                "name", TEST_NOW, (bt_removal){0}, &further, error);
}

static bt_status add_settings(bt_ledger *ledger, bt_error *error) {
  bt_settings settings = {0};
  bt_status status = bt_ledger_settings(ledger, &settings, error);
  if (status == BT_OK) {
    settings.alarms_per_unit_year = 3;
    status = bt_ledger_add_settings(ledger, &settings, "lead", "fewer", TEST_NOW, error);
  }
  bt_settings_free(&settings);
  return status;
}

static bt_status add_baseline(bt_ledger *ledger, bt_error *error) {
  char name[] = "lead", why[] = "after service";
  bt_baseline baseline = {.has_centre = true, .centre = 1, .by = name, .why = why};
  const bt_baseline_exclusion out = {.at = TEST_NOW, .sequence = 1, .pass = 1, .z = 3.1};
  int64_t version = 0;
  return test_add_baseline(ledger, "A", &baseline, &out, 1, TEST_NOW, &version, error);
}

static bt_status settle(bt_ledger *ledger, bt_error *error) {
  bt_conflict *list = NULL;
  size_t n = 0;
  bt_status status = bt_ledger_conflicts(ledger, NULL, &list, &n, error);
  if (status == BT_OK)
    status = bt_ledger_settle(ledger, &(const char *){list[0].id}, 1, BT_KEEP_NEW, "lead", "meter",
                              TEST_NOW, error);
  bt_conflicts_free(list, n);
  return status;
}

/* A refused line that nobody left out yet. */
static bt_refused_place refused;

static void refuse_a_line(bt_ledger *ledger) {
  bt_error error = {0};
  bt_check check = test_check("A", "2026-05-01T08:05", 1.6, 2);
  bt_refusal line = {.line = 3, .column = "E", .reason = "expected a number"};
  bt_source source = test_source("may.csv");
  bt_import *import = NULL;
  bt_import_counts counts;
  bool repeated = false;
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &repeated, &error), error);
  cr_ok(bt_import_check(import, &check, &error), error);
  cr_ok(bt_import_refusal(import, &line, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  refused = (bt_refused_place){.source = test_number(ledger, "SELECT max(source) FROM refusal"),
                               .number = 1};
}

static bt_status leave_out(bt_ledger *ledger, bt_error *error) {
  return bt_ledger_leave_out(ledger, &refused, 1, "lead", "never written", TEST_NOW, error);
}

static bt_status read_history(bt_ledger *ledger, bt_error *error) {
  bt_history history;
  bt_status status = bt_ledger_history(ledger, "A", TEST_NOW + 900 * BT_DAY, &history, error);
  if (status == BT_OK)
    bt_history_free(&history);
  return status;
}

static bt_status read_book(bt_ledger *ledger, bt_error *error) {
  bt_book book;
  bt_status status = bt_ledger_book(ledger, "A", 0, &book, error);
  if (status == BT_OK)
    bt_book_free(&book);
  return status;
}

static bt_status read_lists(bt_ledger *ledger, bt_error *error) {
  bt_correction *corrections = NULL;
  bt_disposition *dispositions = NULL;
  int64_t *sources = NULL;
  size_t n = 0;
  bt_status status = bt_ledger_corrections(ledger, "A", &corrections, &n, error);
  if (status == BT_OK)
    bt_corrections_free(corrections, n);
  if (status == BT_OK)
    status = bt_ledger_dispositions(ledger, "A", TEST_NOW + 900 * BT_DAY, &dispositions, &n, error);
  if (dispositions != NULL && status == BT_OK)
    bt_dispositions_free(dispositions, n);
  if (status == BT_OK)
    status = bt_ledger_unit_sources(ledger, "A", &sources, &n, error);
  if (status == BT_OK)
    free(sources);
  return status;
}

static bt_status verify(bt_ledger *ledger, bt_error *error) {
  bt_verification found = {0};
  return bt_ledger_verify(ledger, &found, error);
}

static bt_status take_names(void *context, const char *const *names, size_t n, bt_error *error) {
  (void)context, (void)names, (void)n, (void)error;
  return BT_OK;
}

static bt_status take_row(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  (void)context, (void)cells, (void)n, (void)error;
  return BT_OK;
}

static bt_status read_tables(bt_ledger *ledger, bt_error *error) {
  const bt_table_sink sink = {.columns = take_names, .row = take_row};
  bt_status status = BT_OK;
  for (int t = 0; t < BT_TABLE_COUNT && status == BT_OK; t++)
    status = bt_ledger_table(ledger, (bt_table)t, &sink, error);
  return status;
}

static const struct {
  const char *name;
  bt_status (*run)(bt_ledger *ledger, bt_error *error);
} tried[] = {{"import", import_log},
             {"check typed in", add_check},
             {"check corrected", correct_check},
             {"event", add_event},
             {"event withdrawn", correct_event},
             {"text removed", redact_check},
             {"settings", add_settings},
             {"baseline", add_baseline},
             {"conflict settled", settle},
             {"refused line left out", leave_out},
             {"history", read_history},
             {"book", read_book},
             {"lists", read_lists},
             {"verify", verify},
             {"tables", read_tables}};

/* ---- The sweep ------------------------------------------------------------------------------- */

typedef struct trial {
  const char *path;
  file_bytes before;
  int64_t entries; /* after it */
  size_t which;
} trial;

/* Whether the fault came. */
static bool try_place(const trial *t, const char *kind, long nth, bool stays) {
  const char *name = tried[t->which].name;
  bt_error error = {0};
  write_file(t->path, &t->before);
  bt_ledger *ledger = test_open(t->path, BT_LEDGER_CREATE);
  fault_begin(kind, nth, stays);
  bt_status status = tried[t->which].run(ledger, &error);
  bool came = fault_end();
  bt_ledger_close(ledger);
  ledger = test_open(t->path, BT_LEDGER_CREATE); /* rolls back what the disk kept from it */
  if (status == BT_OK) {
    bt_verification found = {0};
    cr_expect_eq(test_number(ledger, "SELECT count(*) FROM main.entry"), t->entries,
                 "%s, %s:%ld: done, but not all of it", name, kind, nth);
    cr_ok(bt_ledger_verify(ledger, &found, &error), error);
    bt_ledger_close(ledger);
    return came;
  }
  bt_ledger_close(ledger);
  file_bytes now = read_file(t->path);
  cr_expect(came, "%s, %s:%ld: failed without a fault: %s", name, kind, nth, error.text);
  cr_expect_str_neq(error.text, "", "%s, %s:%ld: no sentence", name, kind, nth);
  cr_expect(now.n == t->before.n && memcmp(now.at, t->before.at, now.n) == 0,
            "%s, %s:%ld: failed, but something was done: %s", name, kind, nth, error.text);
  free(now.at);
  return came;
}

/* How many calls of that kind there are. */
static long calls_of(const trial *t, const char *kind) {
  (void)try_place(t, kind, ALL_AT_ONCE, false);
  return fault_calls();
}

static long sweep(const trial *t, const char *kind) {
  bool all = getenv("BEAMTALLY_LONG_TESTS") != NULL;
  long came = 0, calls = all ? ALL_AT_ONCE : calls_of(t, kind), step = all ? 1 : calls / FEW + 1;
  for (int stays = 0; stays <= 1; stays++)
    for (long nth = 1; nth <= calls; nth += step) {
      if (!try_place(t, kind, nth, stays != 0))
        break;
      came++;
    }
  return came;
}

Test(ledger_failing, each_function_does_all_or_says_why_not) {
  static const char *const kinds[] = {"memory", "step", "disk"};
  fault_disk();
  bt_ledger *ledger = test_ledger();
  trial t = {.path = test_path("ledger")};
  bt_error error = {0};
  test_fill_everything(ledger);
  refuse_a_line(ledger);
  bt_ledger_close(ledger);
  (void)test_path("ledger-journal"); /* may be left, holding nothing; cleaned away with the rest */
  t.before = read_file(t.path);
  for (t.which = 0; t.which < sizeof tried / sizeof tried[0]; t.which++) {
    write_file(t.path, &t.before);
    ledger = test_open(t.path, BT_LEDGER_CREATE);
    cr_ok(tried[t.which].run(ledger, &error), error);
    t.entries = test_number(ledger, "SELECT count(*) FROM main.entry");
    bt_ledger_close(ledger);
    long came[3];
    for (size_t k = 0; k < 3; k++)
      came[k] = sweep(&t, kinds[k]);
    counted(came[0] + came[1] + came[2], "faults injected");
    (void)fprintf(stderr, "faults, %s: %ld of memory, %ld statements, %ld of the disk\n",
                  tried[t.which].name, came[0], came[1], came[2]);
  }
  free(t.before.at);
}
