#include "everything.h"

#define AT "2026-03-01T08:05"

static void settings_and_baseline(bt_ledger *ledger) {
  bt_error error = {0};
  int64_t version = 0;
  char key[] = "door_force", title[] = "Door closing force", unit[] = "N", words[] = "as agreed";
  char name[] = "A", tell[] = "the lead", clinic[] = "Clinic", font[] = "face.otf";
  bt_own_characteristic own = {.key = key, .title = title, .unit = unit, .decimals = 1};
  bt_unit_setting suite = {.name = name,
                           .beam = BT_BEAM_GAUSSIAN,
                           .has_plate = true,
                           .plate_alpha_per_um = 1.5,
                           .plate_threshold = 40,
                           .pulses_per_day = 12000};
  bt_tolerance tolerance = {.unit = name, .has_high = true, .high = 1.03, .from = TEST_NOW};
  tolerance.source = words;
  bt_settings settings = {.units_n = 1,
                          .units = &suite,
                          .tolerances_n = 1,
                          .tolerances = &tolerance,
                          .weekdays = 1U << 1 | 1U << 4,
                          .alarms_per_unit_year = 2,
                          .tell = tell,
                          .clinic = clinic,
                          .font = font,
                          .own_n = 1,
                          .own = &own};
  cr_ok(bt_ledger_add_settings(ledger, &settings, "lead", words, TEST_NOW, &error), error);
  bt_baseline baseline = {.has_centre = true,
                          .centre = 1,
                          .has_sigma = true,
                          .sigma = 0.01,
                          .from = TEST_NOW,
                          .to = TEST_NOW + BT_DAY,
                          .drift_accepted = true,
                          .trend_p = 0.01,
                          .step_p = 0.5,
                          .by = name,
                          .why = words};
  const bt_baseline_exclusion out = {.at = TEST_NOW, .sequence = 1, .pass = 2, .z = 3.5};
  cr_ok(test_add_baseline(ledger, "A", &baseline, &out, 1, TEST_NOW, &version, &error), error);
}

static void checks_and_conflict(bt_ledger *ledger) {
  bt_error error = {0};
  bt_own_reading own = {"door_force", 12.5};
  bt_check log[] = {test_check("A", AT, 1.61, 2), test_check("A", "2026-03-02T08:05:30", 1.5, 3),
                    test_check("A", "2026-03-03", 1.25, 4)};
  for (int i = 0; i < 3; i++) {
    log[i].own = &own;
    log[i].own_n = 1;
    log[i].text[BT_FIELD_REMARK] = i == 0 ? "=1+1" : i == 1 ? "seen" : "seen as well";
  }
  log[2].has_clock = false;
  log[1].state = BT_AS_FOUND;
  log[1].refill = BT_REFILL_AFTER;
  (void)test_import(ledger, "march.csv", log, 3);
  log[0].reading[BT_READING_ENERGY_MJ] = 1.59;
  cr_assert_eq(test_import(ledger, "march again.csv", log, 1).conflicts, 1);
  bt_conflict *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_conflicts(ledger, "A", &list, &n, &error), error);
  cr_ok(bt_ledger_settle(ledger, &(const char *){list[n - 1].id}, 1, BT_KEEP_NEW, "lead", "meter",
                         TEST_NOW, &error),
        error);
  bt_conflicts_free(list, n);
  log[1].reading[BT_READING_ENERGY_MJ] = 1.51;
  cr_ok(
      bt_ledger_correct_check(ledger, "A", log[1].time, 0, &log[1], "t", "typed", TEST_NOW, &error),
      error);
  cr_ok(bt_ledger_correct_check(ledger, "A", log[2].time, 0, NULL, "t", "test", TEST_NOW, &error),
        error);
  bt_text_holders further;
  cr_ok(bt_ledger_redact_check(ledger, "A", log[2].time, 0, BT_FIELD_REMARK, "t", "name", TEST_NOW,
                               (bt_removal){0}, &further, &error),
        error);
}

void test_fill_everything(bt_ledger *ledger) {
  bt_error error = {0};
  bt_text_holders further;
  bool known = false;
  test_fill(ledger);
  settings_and_baseline(ledger);
  checks_and_conflict(ledger);
  bt_event event = {.unit = "B", .time = TEST_NOW + BT_DAY + 30, .kind = BT_EVENT_GAS_REFILL};
  event.has_clock = true;
  event.note = "bottle";
  cr_ok(bt_ledger_add_event(ledger, &event, false, "tech 1", TEST_NOW, &known, &error), error);
  event.kind = BT_EVENT_GAS_BOTTLE;
  cr_ok(bt_ledger_correct_event(ledger, 3, &event, "lead", "kind", TEST_NOW, &error), error);
  cr_ok(bt_ledger_redact_event(ledger, 2, "lead", "name", TEST_NOW, (bt_removal){0}, &further,
                               &error),
        error);
  const bt_refused_place refused = {test_number(ledger, "SELECT max(source) FROM refusal"),
                                    test_number(ledger, "SELECT max(number) FROM refusal")};
  cr_ok(bt_ledger_leave_out(ledger, &refused, 1, "lead", "never written", TEST_NOW, &error), error);
  char key[] = "energy_ratio", word[] = "optics", person[] = "lead";
  bt_disposition disposition = {.episode = "0123abcd",
                                .characteristic = key,
                                .from = TEST_NOW,
                                .to = TEST_NOW + BT_DAY,
                                .cause = word,
                                .action = word,
                                .by = person};
  cr_ok(bt_ledger_add_disposition(ledger, "A", &disposition, TEST_NOW, &error), error);
  for (int i = 0; i < 2; i++) {
    char unit[] = "A";
    bt_issued issued = {.unit = i == 0 ? unit : NULL, .month = TEST_NOW, .by = person};
    test_state(ledger, issued.state);
    cr_ok(bt_ledger_hold_whole(ledger, &error), error);
    cr_ok(bt_ledger_add_issued(ledger, &issued, TEST_NOW, &error), error);
  }
}
