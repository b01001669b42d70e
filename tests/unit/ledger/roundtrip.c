/* What goes in comes out: every field of checks, events, settings and baselines. */
#include "helpers.h"

TestSuite(ledger_roundtrip, .fini = test_cleanup);

Test(ledger_roundtrip, every_field_of_a_check_and_an_event) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check full = {.unit = "Suite North",
                   .time = test_time("2026-03-04T08:05:30"),
                   .has_clock = true,
                   .state = BT_AS_LEFT,
                   .refill = BT_REFILL_AFTER,
                   .line = 7,
                   .last_line = 9};
  for (int r = 0; r < BT_READING_COUNT; r++) {
    full.present |= 1U << r;
    full.reading[r] = 0.1 * (r + 1) + 1e-13;
  }
  full.reading[BT_READING_OFFSET_X_UM] = -12.5;
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    full.text[f] = bt_text_field_key((bt_text_field)f);
  full.text[BT_FIELD_REMARK] = "Lüfter läuft, µ = 3; \"ok\"\nnext line";
  bt_check bare = {
      .unit = "suite north ", .time = test_time("2026-03-03"), .line = 10, .last_line = 10};
  bt_event event = {.unit = "SUITE NORTH",
                    .time = test_time("2026-03-02"),
                    .kind = BT_EVENT_SERVICE,
                    .note = "mirror",
                    .line = 11,
                    .last_line = 12};
  bt_source source = test_source("log.csv");
  bt_import *import = NULL;
  bool repeated = false;
  bt_import_counts counts;
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &repeated, &error), error);
  cr_ok(bt_import_check(import, &full, &error), error);
  cr_ok(bt_import_check(import, &bare, &error), error);
  cr_ok(bt_import_event(import, &event, &error), error);
  bt_refusal refusal = {
      .line = 13, .column = "Energy", .field = "energy_mj", .value = "x", .reason = "no number"};
  cr_ok(bt_import_refusal(import, &refusal, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  cr_assert(counts.rows == 4 && counts.fresh == 3 && counts.known == 0 && counts.refused == 1);
  bt_ledger_close(ledger);

  ledger = test_open(test_path("ledger"), BT_LEDGER_READ);
  bt_history h;
  cr_ok(bt_ledger_history(ledger, "Suite north", full.time + 1, &h, &error), error);
  cr_assert_str_eq(h.unit, "Suite North");
  cr_assert_eq(h.n, 2);
  cr_assert(h.at[0] == bare.time && h.at[1] == full.time);
  cr_assert(h.sequence[0] == 0 && h.source[1] == 1 && h.line[0] == 10 && h.line[1] == 7);
  cr_assert(h.present[0] == 0 && h.present[1] == full.present);
  cr_assert(h.state[0] == 0 && h.state[1] == BT_AS_LEFT && h.refill[1] == BT_REFILL_AFTER);
  cr_assert(h.has_clock[0] == 0 && h.has_clock[1] == 1);
  for (int r = 0; r < BT_READING_COUNT; r++)
    cr_assert(h.reading[r][0] == 0 && h.reading[r][1] == full.reading[r], "reading %d", r);
  for (int f = 0; f < BT_FIELD_COUNT; f++) {
    cr_assert_null(h.text[f][0]);
    cr_assert_str_eq(h.text[f][1], full.text[f]);
  }
  cr_assert_eq(h.events_n, 1);
  cr_assert_str_eq(h.events[0].unit, "Suite North");
  cr_assert_str_eq(h.events[0].note, "mirror");
  cr_assert(h.events[0].time == event.time && !h.events[0].has_clock &&
            h.events[0].kind == BT_EVENT_SERVICE && h.events[0].line == 11 &&
            h.events[0].last_line == 12);
  bt_history_free(&h);

  /* `until` is exclusive, and a field that no check has keeps a NULL array. */
  cr_ok(bt_ledger_history(ledger, "Suite north", full.time, &h, &error), error);
  cr_assert_eq(h.n, 1);
  cr_assert_null(h.text[BT_FIELD_METER]);
  bt_history_free(&h);
  cr_assert_eq(bt_ledger_history(ledger, "Suite Nort", full.time, &h, &error), BT_NOTFOUND);
  cr_assert_not_null(strstr(error.text, "Suite North"), "%s", error.text);

  /* The refused value itself is never stored. */
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM refusal WHERE header = 'Energy' AND "
                                   "field = 'energy_mj' AND reason = 'no number' AND line = 13"),
               1);
  bt_ledger_close(ledger);
}
