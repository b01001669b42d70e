#include "made_ledger.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static bt_error error;

void made_begin(made_ledger *made) {
  *made = (made_ledger){.path = "made-ledger-XXXXXX"};
  int descriptor = mkstemp(made->path);
  cr_assert_geq(descriptor, 0);
  close(descriptor);
  unlink(made->path);
  cr_assert_eq(bt_ledger_open(made->path, BT_LEDGER_CREATE, &made->ledger, &error), BT_OK, "%s",
               error.text);
  bt_source source = {.name = "made.csv", .kind = BT_SOURCE_CHECKS, .reading = "by hand"};
  bool repeated;
  cr_assert_eq(bt_import_begin(made->ledger, &source, NULL, true, made_time(0, 0, 0), &made->import,
                               &repeated, &error),
               BT_OK, "%s", error.text);
}

bt_time made_time(int day, int hour, int minute) {
  bt_civil first = {.year = 2026, .month = 1, .day = 1, .hour = hour, .minute = minute};
  return bt_time_of(&first) + day * BT_DAY;
}

void made_full_check(made_ledger *made, bt_check check) {
  check.unit = "Unit A";
  check.line = check.last_line = ++made->line;
  cr_assert_eq(bt_import_check(made->import, &check, &error), BT_OK, "%s", error.text);
}

void made_check(made_ledger *made, bt_time at, bt_reading first, double a, bt_reading second,
                double b) {
  bt_check check = {.time = at, .has_clock = true, .present = 1U << first};
  check.reading[first] = a;
  if (second != BT_READING_COUNT) {
    check.present |= 1U << second;
    check.reading[second] = b;
  }
  made_full_check(made, check);
}

void made_event(made_ledger *made, bt_time at, bt_event_kind kind) {
  bt_event event = {.unit = "Unit A",
                    .time = at,
                    .has_clock = true,
                    .kind = kind,
                    .line = ++made->line,
                    .last_line = made->line};
  cr_assert_eq(bt_import_event(made->import, &event, &error), BT_OK, "%s", error.text);
}

void made_finish(made_ledger *made) {
  bt_import_counts counts;
  cr_assert_eq(bt_import_commit(made->import, &counts, &error), BT_OK, "%s", error.text);
  made->import = NULL;
}

void made_tolerance(made_ledger *made, bt_characteristic characteristic, double low, double high) {
  char unit[] = "Unit A", source_text[] = "a policy";
  bt_tolerance tolerance = {.unit = unit,
                            .characteristic = characteristic,
                            .has_low = true,
                            .has_high = true,
                            .low = low,
                            .high = high,
                            .source = source_text};
  bt_settings settings = {.tolerances_n = 1, .tolerances = &tolerance, .alarms_per_unit_year = 1};
  cr_assert_eq(
      bt_ledger_add_settings(made->ledger, &settings, "KL", "a test", made_time(0, 0, 0), &error),
      BT_OK, "%s", error.text);
}

int64_t made_freeze(made_ledger *made, bt_characteristic characteristic, int from, int to) {
  bt_proposal proposal;
  cr_assert_eq(bt_study_baseline(made->ledger, "Unit A", characteristic, made_time(from, 0, 0),
                                 made_time(to, 0, 0), true, true, &proposal, &error),
               BT_OK, "%s", error.text);
  proposal.baseline.by = bt_copy("KL");
  proposal.baseline.why = bt_copy("a test");
  bt_new_baseline wanted = {.baseline = &proposal.baseline,
                            .exclusions = proposal.exclusions,
                            .exclusions_n = proposal.exclusions_n};
  cr_assert_eq(
      bt_ledger_add_baselines(made->ledger, "Unit A", &wanted, 1, made_time(900, 0, 0), &error),
      BT_OK, "%s", error.text);
  bt_proposal_free(&proposal);
  return wanted.version;
}

void made_again(made_ledger *made, const char *name) {
  bt_source source = {.name = name, .kind = BT_SOURCE_CHECKS, .reading = "by hand"};
  bool repeated;
  source.sha256[0] = (unsigned char)name[0];
  cr_assert_eq(bt_import_begin(made->ledger, &source, NULL, false, made_time(0, 0, 0),
                               &made->import, &repeated, &error),
               BT_OK, "%s", error.text);
}

/* The sum of twelve uniform numbers less six; the sequence is a 64-bit linear congruence. */
double made_normal(uint64_t *state) {
  double sum = -6;
  for (int i = 0; i < 12; i++) {
    *state = *state * 6364136223846793005U + 1442695040888963407U;
    sum += (double)(*state >> 11) / 9007199254740992.0;
  }
  return sum;
}

bt_unit_study *made_study(made_ledger *made, bt_study_request request) {
  bt_unit_study *study;
  request.unit = "Unit A";
  request.only_one = true;
  if (request.until == 0)
    request.until = made_time(10000, 0, 0);
  cr_assert_eq(bt_study_unit(made->ledger, &request, &study, &error), BT_OK, "%s", error.text);
  return study;
}

void made_end(made_ledger *made) {
  bt_ledger_close(made->ledger);
  unlink(made->path);
}
