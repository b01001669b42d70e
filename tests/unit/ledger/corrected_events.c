/* Corrections of events, and what a person or a log may enter again. */
#include "helpers.h"

TestSuite(ledger_corrected_events, .fini = test_cleanup);

/* Event 1 is a refill with a note, event 2 a service visit, both of unit A at TEST_NOW. */
static bt_ledger *ledger_with_events(void) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bool known = false;
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_GAS_REFILL, .note = "bottle 3"};
  cr_ok(bt_ledger_add_event(ledger, &event, true, "tech 1", TEST_NOW, &known, &error), error);
  event = (bt_event){.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE};
  cr_ok(bt_ledger_add_event(ledger, &event, true, "tech 1", TEST_NOW, &known, &error), error);
  return ledger;
}

Test(ledger_corrected_events, another_event_takes_the_place) {
  bt_ledger *ledger = ledger_with_events();
  bt_error error = {0};
  bt_event event, other;
  cr_ok(bt_ledger_find_event(ledger, 1, &event, &error), error);
  cr_expect(event.number == 1 && event.kind == BT_EVENT_GAS_REFILL && !event.has_clock);
  cr_expect_str_eq(event.note, "bottle 3");
  cr_expect_str_eq(event.unit, "A");
  other = event;
  other.kind = BT_EVENT_GAS_BOTTLE;
  other.time += BT_HOUR;
  other.has_clock = true;
  cr_ok(bt_ledger_correct_event(ledger, 1, &other, "lead", "wrong kind", TEST_NOW, &error), error);
  other.note = NULL;
  cr_ok(bt_ledger_correct_event(ledger, 3, &other, "lead", "no note", TEST_NOW, &error), error);
  bt_event_free(&event);
  expect_refused(bt_ledger_find_event(ledger, 1, &event, &error), BT_REFUSED,
                 "corrected on 2026-01-01 by lead): event 3 took its place");
  expect_refused(bt_ledger_correct_event(ledger, 1, NULL, "t", "w", TEST_NOW, &error), BT_REFUSED,
                 "event 3 took its place");
  cr_ok(bt_ledger_find_event(ledger, 4, &event, &error), error);
  cr_expect(event.kind == BT_EVENT_GAS_BOTTLE && event.note == NULL && event.has_clock);
  bt_event_free(&event);
  cr_expect_eq(test_number(ledger, "SELECT count(DISTINCT note) FROM event"), 1);

  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, "A", &list, &n, &error), error);
  cr_assert_eq(n, 2);
  cr_expect(list[0].kind == BT_CORRECTED && list[0].of_event && list[0].event == 1);
  cr_expect_str_eq(list[0].changes,
                   "time 2026-01-01 -> 2026-01-01T01:00; event gas_refill -> gas_bottle");
  cr_expect(list[1].event == 3);
  cr_expect_str_eq(list[1].changes, "note removed");
  bt_corrections_free(list, n);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect(found.events == 4 && found.entries == 5);
  bt_ledger_close(ledger);
}

Test(ledger_corrected_events, a_withdrawn_event_may_be_entered_again_by_a_person_not_by_its_log) {
  bt_ledger *ledger = ledger_with_events();
  bt_error error = {0};
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE};
  bt_source source = test_source("events");
  source.kind = BT_SOURCE_EVENTS;
  bt_import *import = NULL;
  bt_import_counts counts;
  bool known = true;
  cr_ok(bt_ledger_correct_event(ledger, 2, NULL, "lead", "did not happen", TEST_NOW, &error),
        error);
  expect_refused(bt_ledger_find_event(ledger, 2, &event, &error), BT_REFUSED,
                 "nothing stands in its place");
  event = (bt_event){.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_SERVICE};
  cr_ok(bt_import_begin(ledger, &source, NULL, false, TEST_NOW, &import, &known, &error), error);
  cr_ok(bt_import_event(import, &event, &error), error);
  cr_ok(bt_import_commit(import, &counts, &error), error);
  cr_expect(counts.known == 1 && counts.fresh == 0);
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &known, &error), error);
  cr_expect_not(known);
  bt_correction *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_corrections(ledger, NULL, &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect(list[0].kind == BT_WITHDRAWN && list[0].event == 2);
  cr_expect_str_eq(list[0].changes, "event service");
  bt_corrections_free(list, n);
  bt_provenance provenance;
  cr_ok(bt_ledger_provenance(ledger, "A", &provenance, &error), error);
  cr_expect(provenance.events == 2 && provenance.corrections == 1);
  cr_ok(bt_ledger_provenance(ledger, NULL, &provenance, &error), error);
  cr_expect(provenance.events == 2 && provenance.corrections == 1);
  bt_ledger_close(ledger);
}

Test(ledger_corrected_events, what_cannot_be_is_refused_with_what_to_do) {
  bt_ledger *ledger = test_open(test_path("empty"), BT_LEDGER_CREATE);
  bt_error error = {0};
  bt_event event;
  expect_refused(bt_ledger_find_event(ledger, 1, &event, &error), BT_NOTFOUND, "no event yet");
  bt_ledger_close(ledger);
  ledger = ledger_with_events();
  expect_refused(bt_ledger_find_event(ledger, 9, &event, &error), BT_NOTFOUND, "numbered 1 to 2");
  cr_ok(bt_ledger_find_event(ledger, 1, &event, &error), error);
  bt_event other = event;
  expect_refused(bt_ledger_correct_event(ledger, 1, &other, "t", "w", TEST_NOW, &error), BT_USAGE,
                 "nothing would change");
  expect_refused(bt_ledger_correct_event(ledger, 1, NULL, "", "w", TEST_NOW, &error), BT_USAGE,
                 "--by");
  expect_refused(bt_ledger_correct_event(ledger, 1, NULL, "t", " ", TEST_NOW, &error), BT_USAGE,
                 "--why");
  other.kind = BT_EVENT_SERVICE;
  expect_refused(bt_ledger_correct_event(ledger, 1, &other, "t", "w", TEST_NOW, &error), BT_REFUSED,
                 "event 2 is of this unit, time and kind already; withdraw event 1");
  other.unit = "B";
  expect_refused(bt_ledger_correct_event(ledger, 1, &other, "t", "w", TEST_NOW, &error),
                 BT_NOTFOUND, "no unit named \"B\"");
  other.unit = "A";
  other.note = "\xff";
  expect_refused(bt_ledger_correct_event(ledger, 1, &other, "t", "w", TEST_NOW, &error), BT_INPUT,
                 "UTF-8");
  bt_event_free(&event);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM entry"), 3);
  bt_ledger_close(ledger);
}
