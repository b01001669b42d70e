/* Rows of one moment and kind are one event to a study, with all that they say. */
#include "made_ledger.h"

#include <string.h>

static bt_error error;

static void note(made_ledger *made, bt_time at, bt_event_kind kind, const char *words) {
  bt_event event = {.unit = "Unit A", .time = at, .has_clock = true, .kind = kind, .note = words};
  bool known = true;
  cr_assert_eq(
      bt_ledger_add_event(made->ledger, &event, false, "KL", made_time(90, 0, 0), &known, &error),
      BT_OK, "%s", error.text);
  cr_assert_not(known);
}

/* 60 days, a refill every fourth, a cleaning after 30. */
static void fill(made_ledger *made) {
  uint64_t state = 7;
  made_begin(made);
  for (int d = 0; d < 60; d++) {
    made_check(made, made_time(d, 8, 0), BT_READING_ENERGY_MJ, 1.6 + 0.01 * made_normal(&state),
               BT_READING_TARGET_MJ, 1.6);
    if (d % 4 == 0)
      made_event(made, made_time(d, 7, 0), BT_EVENT_GAS_REFILL);
  }
  made_event(made, made_time(30, 12, 0), BT_EVENT_OPTICS_CLEANED);
  made_finish(made);
}

Test(study_one_event, further_notes_change_no_count) {
  made_ledger plain, noted;
  fill(&plain);
  fill(&noted);
  note(&noted, made_time(30, 12, 0), BT_EVENT_OPTICS_CLEANED, "mirror 2; wiped");
  note(&noted, made_time(30, 12, 0), BT_EVENT_SERVICE, "yearly");
  note(&noted, made_time(30, 12, 0), BT_EVENT_OPTICS_CLEANED, "wiped");
  note(&noted, made_time(30, 12, 0), BT_EVENT_OPTICS_CLEANED, "by the maker");
  note(&noted, made_time(8, 7, 0), BT_EVENT_GAS_REFILL, "new bottle");
  note(&plain, made_time(30, 12, 0), BT_EVENT_SERVICE, "yearly");
  const bt_study_request request = {
      .unit = "Unit A", .until = made_time(60, 0, 0), .characteristic = BT_ENERGY_RATIO};
  bt_unit_study *one = made_study(&plain, request), *two = made_study(&noted, request);
  cr_assert_eq(two->history.events_n, one->history.events_n);
  cr_expect_eq(two->fills.n, one->fills.n);
  size_t cleanings = 0;
  for (size_t e = 0; e < two->history.events_n; e++) {
    const bt_event *event = &two->history.events[e];
    cr_expect(event->time == one->history.events[e].time &&
              event->kind == one->history.events[e].kind);
    if (event->kind == BT_EVENT_OPTICS_CLEANED) {
      cleanings++;
      cr_assert_not_null(event->note);
      cr_expect_str_eq(event->note, "mirror 2; wiped; by the maker", "each once");
    }
  }
  cr_expect_eq(cleanings, 1);
  const bt_drift_request plainly = {0};
  cr_assert_eq(bt_study_drift(plain.ledger, &plainly, one, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_study_drift(noted.ledger, &plainly, two, &error), BT_OK, "%s", error.text);
  cr_assert(one->drift->n > 0 && one->drift->n == two->drift->n);
  cr_expect_eq(one->drift->drift[0].events_n, 2, "the cleaning, the service");
  for (size_t i = 0; i < one->drift->n; i++)
    cr_expect_eq(two->drift->drift[i].events_n, one->drift->drift[i].events_n, "compared once");
  bt_unit_study_free(one);
  bt_unit_study_free(two);
  made_end(&plain);
  made_end(&noted);
}
