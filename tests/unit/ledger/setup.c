/* Settings, baselines, counts and times of entries: as they were put in. */
#include "helpers.h"
#include "sql_private.h"
#include "verify_private.h"

#include <math.h>
#include <stdlib.h>

TestSuite(ledger_setup, .fini = test_cleanup);

Test(ledger_setup, settings_come_back_whole_and_the_latest_is_in_force) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_settings got;
  cr_ok(bt_ledger_settings(ledger, &got, &error), error);
  cr_assert(got.units_n == 0 && got.tolerances_n == 0 && got.alarms_per_unit_year == 1 &&
            got.weekdays == 0 && got.tell == NULL && got.clinic == NULL);
  bt_settings_free(&got);

  char north[] = "Suite North", south[] = "Suite South", manual[] = "policy 4.2";
  char tell[] = "the lead technician", clinic[] = "Demo Clinic", font[] = "faces/more.otf";
  bt_unit_setting units[] = {{.name = south},
                             {.name = north,
                              .beam = BT_BEAM_GAUSSIAN,
                              .fluence = BT_FLUENCE_PLATE,
                              .has_plate = true,
                              .plate_alpha_per_um = 3.7,
                              .plate_threshold = 50.5,
                              .spread = BT_SPREAD_2S,
                              .refill_interval_days = 3,
                              .expected_days = 1.5,
                              .pulses_per_day = 12000}};
  bt_tolerance tolerances[] = {{.unit = north,
                                .characteristic = BT_TRACKER_RADIAL,
                                .has_high = true,
                                .high = 150.25,
                                .source = manual,
                                .from = TEST_NOW},
                               {.unit = south, .has_low = true, .low = 0.97}};
  bt_settings given = {.units_n = 2,
                       .units = units,
                       .tolerances_n = 2,
                       .tolerances = tolerances,
                       .weekdays = 0x1A,
                       .alarms_per_unit_year = 0.5,
                       .tell = tell,
                       .clinic = clinic,
                       .font = font};
  bt_settings empty = {.alarms_per_unit_year = 2};
  cr_ok(bt_ledger_add_settings(ledger, &empty, "lead", "start", TEST_NOW, &error), error);
  cr_ok(bt_ledger_add_settings(ledger, &given, "lead", "policy", TEST_NOW, &error), error);
  cr_ok(bt_ledger_settings(ledger, &got, &error), error);
  cr_assert(got.units_n == 2 && got.tolerances_n == 2 && got.weekdays == 0x1A);
  cr_expect_eq(got.alarms_per_unit_year, 0.5);
  cr_expect_str_eq(got.tell, tell);
  cr_expect_str_eq(got.clinic, clinic);
  cr_expect_str_eq(got.font, font);
  const bt_unit_setting *unit = bt_settings_unit(&got, "suite north");
  cr_assert_not_null(unit);
  cr_expect(unit->beam == BT_BEAM_GAUSSIAN && unit->fluence == BT_FLUENCE_PLATE &&
            unit->has_plate && unit->plate_alpha_per_um == 3.7 && unit->plate_threshold == 50.5 &&
            unit->spread == BT_SPREAD_2S && unit->refill_interval_days == 3 &&
            unit->expected_days == 1.5 && unit->pulses_per_day == 12000);
  cr_expect_str_eq(got.units[0].name, south);
  cr_expect(!got.units[0].has_plate && got.units[0].beam == BT_BEAM_UNDECLARED);
  const bt_tolerance *t = got.tolerances;
  cr_expect(t[0].characteristic == BT_TRACKER_RADIAL && !t[0].has_low && t[0].has_high &&
            t[0].high == 150.25 && t[0].from == TEST_NOW);
  cr_expect_str_eq(t[0].unit, north);
  cr_expect_str_eq(t[0].source, manual);
  cr_expect(t[1].has_low && t[1].low == 0.97 && !t[1].has_high && t[1].source == NULL);
  bt_settings_free(&got);

  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM setting_version"), 2);
  given.alarms_per_unit_year = NAN;
  cr_expect_eq(bt_ledger_add_settings(ledger, &given, "l", "w", TEST_NOW, &error), BT_INPUT);
  cr_expect_eq(bt_ledger_add_settings(ledger, &empty, "", "w", TEST_NOW, &error), BT_USAGE);
  cr_expect_eq(bt_ledger_add_settings(ledger, &empty, "l", NULL, TEST_NOW, &error), BT_USAGE);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM entry"), 3);
  bt_ledger_close(ledger);
}

static void free_baselines(bt_baseline *list, size_t n) {
  for (size_t i = 0; i < n; i++)
    bt_baseline_free(&list[i]);
  free(list);
}

Test(ledger_setup, baselines_come_back_whole_and_of_one_period_the_latest) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_check check = test_check("A", "2026-01-01", 1, 2);
  (void)test_import(ledger, "log", &check, 1);
  char by[] = "lead", why[] = "after service";
  bt_baseline b = {.characteristic = BT_FLUENCE,
                   .from = test_time("2026-03-01"),
                   .to = test_time("2026-04-01"),
                   .screen = true,
                   .has_centre = true,
                   .centre = 160.5,
                   .has_sigma = true,
                   .sigma = 0.25,
                   .adjusted = true,
                   .slope_per_day = -0.125,
                   .slope_se = 0.0625,
                   .slope_low = -0.25,
                   .slope_high = -0.0078125,
                   .fills = 7,
                   .radial_limit = 23.5,
                   .derivation = 11,
                   .mean_age_days = 1.25,
                   .oldest_age_days = 3.5,
                   .n = 41,
                   .by = by,
                   .why = why};
  int64_t version = 0;
  cr_ok(test_add_baseline(ledger, "a", &b, NULL, 0, TEST_NOW, &version, &error), error);
  cr_expect_eq(version, 1);
  bt_baseline earlier = b;
  earlier.from = test_time("2026-01-01");
  earlier.to = test_time("2026-02-01");
  earlier.has_centre = earlier.has_sigma = earlier.adjusted = earlier.screen = false;
  cr_ok(test_add_baseline(ledger, "A", &earlier, NULL, 0, TEST_NOW, &version, &error), error);
  b.sigma = 0.5;
  cr_ok(test_add_baseline(ledger, "A", &b, NULL, 0, TEST_NOW, &version, &error), error);
  cr_expect_eq(version, 3);
  bt_baseline other = b;
  other.characteristic = BT_DEMAND;
  cr_ok(test_add_baseline(ledger, "A", &other, NULL, 0, TEST_NOW, &version, &error), error);
  cr_expect_eq(version, 1);

  bt_baseline *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_baselines(ledger, "A", BT_FLUENCE, INT64_MAX, &list, &n, &error), error);
  cr_assert_eq(n, 2);
  cr_expect(list[0].version == 2 && list[0].from == earlier.from && list[0].to == earlier.to &&
            !list[0].has_centre && !list[0].has_sigma && !list[0].adjusted && !list[0].screen);
  cr_expect(list[1].version == 3 && list[1].characteristic == BT_FLUENCE &&
            list[1].from == b.from && list[1].to == b.to && list[1].screen && list[1].has_centre &&
            list[1].centre == 160.5 && list[1].has_sigma && list[1].sigma == 0.5 &&
            list[1].adjusted && list[1].slope_per_day == -0.125 && list[1].slope_se == 0.0625 &&
            list[1].slope_low == -0.25 && list[1].slope_high == -0.0078125 && list[1].fills == 7 &&
            list[1].radial_limit == 23.5 && list[1].derivation == 11 &&
            list[1].mean_age_days == 1.25 && list[1].oldest_age_days == 3.5 && list[1].n == 41);
  cr_expect_str_eq(list[1].by, by);
  cr_expect_str_eq(list[1].why, why);
  free_baselines(list, n);

  /* Frozen first is what was entered first, and the days of version 2 come before it; the numbers
   * are those of its newest version. */
  bt_baseline first;
  cr_ok(bt_ledger_first_baseline(ledger, "A", BT_FLUENCE, 11, INT64_MAX, &first, &error), error);
  cr_expect(first.version == 3 && first.from == b.from && first.to == b.to && first.sigma == 0.5);
  bt_baseline_free(&first);
  cr_ok(bt_ledger_first_baseline(ledger, "A", BT_FLUENCE, 11, b.to, &first, &error), error);
  cr_expect_eq(first.version, 2, "the other had not ended");
  bt_baseline_free(&first);
  cr_ok(bt_ledger_first_baseline(ledger, "A", BT_FLUENCE, 12, INT64_MAX, &first, &error), error);
  cr_expect(first.version == 0 && first.by == NULL, "none of that derivation");

  /* `until` is exclusive: the whole last day must be before it. */
  cr_ok(bt_ledger_baselines(ledger, "A", BT_FLUENCE, b.to, &list, &n, &error), error);
  cr_expect_eq(n, 1);
  free_baselines(list, n);
  cr_ok(bt_ledger_baselines(ledger, "A", BT_FLUENCE, b.to + BT_DAY, &list, &n, &error), error);
  cr_expect_eq(n, 2);
  free_baselines(list, n);

  /* A later version that begins before takes the whole stretch over. */
  bt_baseline over = earlier;
  over.to = b.to;
  cr_ok(test_add_baseline(ledger, "A", &over, NULL, 0, TEST_NOW, &version, &error), error);
  cr_ok(bt_ledger_baselines(ledger, "A", BT_FLUENCE, INT64_MAX, &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect_eq(list[0].version, 4);
  free_baselines(list, n);

  /* One of another derivation takes nothing over: its limits hold for other values. */
  bt_baseline plate = over;
  plate.derivation = over.derivation + 1;
  plate.from -= BT_DAY;
  cr_ok(test_add_baseline(ledger, "A", &plate, NULL, 0, TEST_NOW, &version, &error), error);
  cr_ok(bt_ledger_baselines(ledger, "A", BT_FLUENCE, INT64_MAX, &list, &n, &error), error);
  cr_assert_eq(n, 2);
  cr_expect(list[0].version == 5 && list[1].version == 4);
  free_baselines(list, n);
  cr_ok(bt_ledger_first_baseline(ledger, "A", BT_FLUENCE, 11, INT64_MAX, &first, &error), error);
  cr_expect_eq(first.version, 3, "in force no more, and the first all the same");
  bt_baseline_free(&first);
  cr_expect_eq(bt_ledger_first_baseline(ledger, "C", BT_FLUENCE, 11, 0, &first, &error),
               BT_NOTFOUND);
  cr_expect_eq(bt_ledger_baselines(ledger, "C", BT_FLUENCE, 0, &list, &n, &error), BT_NOTFOUND);
  cr_expect_eq(test_add_baseline(ledger, "C", &b, NULL, 0, TEST_NOW, &version, &error),
               BT_NOTFOUND);
  b.why = NULL;
  cr_expect_eq(test_add_baseline(ledger, "A", &b, NULL, 0, TEST_NOW, &version, &error), BT_USAGE);
  b.why = why;
  b.to = b.from - BT_DAY;
  cr_expect_eq(test_add_baseline(ledger, "A", &b, NULL, 0, TEST_NOW, &version, &error), BT_USAGE);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM baseline"), 6);

  /* Several at once: all, each in an entry of its own, or none. */
  bt_baseline good = b, other_key = b;
  good.to = other_key.to = b.from + BT_DAY;
  other_key.characteristic = (bt_characteristic)(BT_CHARACTERISTIC_COUNT + 7); /* of no settings */
  bt_new_baseline several[] = {{.baseline = &good}, {.baseline = &other_key}};
  int64_t entries = test_number(ledger, "SELECT count(*) FROM entry");
  cr_expect_eq(bt_ledger_add_baselines(ledger, "A", several, 2, TEST_NOW, &error), BT_USAGE);
  cr_expect(several[0].version == 0 && several[1].version == 0);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM baseline"), 6);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM entry"), entries);
  other_key.characteristic = BT_DEMAND;
  cr_ok(bt_ledger_add_baselines(ledger, "A", several, 2, TEST_NOW, &error), error);
  cr_expect(several[0].version == 6 && several[1].version == 2, "%d %d", (int)several[0].version,
            (int)several[1].version);
  cr_assert_eq(test_number(ledger, "SELECT count(*) FROM entry"), entries + 2);
  bt_ledger_close(ledger);
}

Test(ledger_setup, all_that_a_freezing_found_comes_back_and_what_was_left_out_is_stored) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  bt_check check = test_check("A", "2026-01-01", 1, 2);
  (void)test_import(ledger, "log", &check, 1);
  char by[] = "lead", why[] = "policy";
  bt_baseline b = {.characteristic = BT_TRACKER_VECTOR,
                   .mean_x = 1.5,
                   .mean_y = -2.25,
                   .var_x = 9.5,
                   .var_y = 4.75,
                   .cov_xy = -0.5,
                   .from_differences = true,
                   .drift_accepted = true,
                   .trend_p = 0.03125,
                   .step_p = 0.0625,
                   .n = 40,
                   .by = by,
                   .why = why};
  bt_baseline_exclusion left_out[] = {{.at = TEST_NOW, .sequence = 1, .pass = 1, .z = -4.5},
                                      {.at = TEST_NOW + 1, .pass = 0}};
  int64_t version = 0;
  cr_ok(test_add_baseline(ledger, "A", &b, left_out, 2, TEST_NOW, &version, &error), error);
  bt_baseline *list = NULL;
  size_t n = 0;
  cr_ok(bt_ledger_baselines(ledger, "A", BT_TRACKER_VECTOR, INT64_MAX, &list, &n, &error), error);
  cr_assert_eq(n, 1);
  cr_expect(list[0].mean_x == 1.5 && list[0].mean_y == -2.25 && list[0].var_x == 9.5 &&
            list[0].var_y == 4.75 && list[0].cov_xy == -0.5 && list[0].from_differences &&
            list[0].drift_accepted && list[0].trend_p == 0.03125 && list[0].step_p == 0.0625);
  cr_assert_eq(list[0].exclusions_n, 2);
  const bt_baseline_exclusion *first = &list[0].exclusions[0], *second = &list[0].exclusions[1];
  cr_expect(first->at == TEST_NOW && first->sequence == 1 && first->pass == 1 && first->z == -4.5);
  cr_expect(second->at == TEST_NOW + 1 && second->sequence == 0 && second->pass == 0);
  free_baselines(list, n);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM baseline_exclusion WHERE unit = 1 AND "
                                   "characteristic = 'tracker_vector' AND version = 1 AND number = "
                                   "1 AND sequence = 1 AND pass = 1 AND z = -4.5"),
               1);
  cr_expect_eq(test_number(ledger, "SELECT count(*) FROM baseline_exclusion WHERE number = 2 AND "
                                   "at = 1767225601 AND pass = 0 AND z = 0"),
               1);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);

  static const char *const edits[] = {"UPDATE baseline SET var_y = 4.8",
                                      "UPDATE baseline SET trend_p = 1",
                                      "UPDATE baseline_exclusion SET z = -3.5 WHERE number = 1",
                                      "DELETE FROM baseline_exclusion WHERE number = 2"};
  free(test_drop_triggers(ledger));
  for (size_t i = 0; i < sizeof edits / sizeof edits[0]; i++) {
    cr_ok(ledger_run(ledger, "BEGIN", &error), error);
    cr_ok(ledger_run(ledger, edits[i], &error), error);
    found = (bt_verification){0};
    cr_expect_eq(ledger_verify_chain(ledger, &found, &error), BT_DAMAGED, "%s", edits[i]);
    cr_expect_not_null(strstr(error.text, "entry 3 (baseline"), "%s", error.text);
    ledger_rollback(ledger);
  }
  b.step_p = NAN;
  cr_expect_eq(test_add_baseline(ledger, "A", &b, NULL, 0, TEST_NOW, &version, &error), BT_INPUT);
  bt_ledger_close(ledger);
}

Test(ledger_setup, counts_of_a_unit_and_the_time_of_the_last_entry) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_provenance p;
  bt_time at = 0;
  cr_assert_eq(bt_ledger_last_entry(ledger, &at, &error), BT_NOTFOUND);
  cr_ok(bt_ledger_provenance(ledger, NULL, &p, &error), error);
  cr_expect(p.sources == 0 && p.checks == 0 && p.events == 0 && p.refused == 0);
  cr_expect_eq(strlen(p.state), 20);

  bt_check log[] = {test_check("A", "2026-01-01", 1, 2), test_check("B", "2026-01-01", 1, 3),
                    test_check("B", "2026-01-02", 1, 4)};
  (void)test_import(ledger, "both", log, 3);
  (void)test_import(ledger, "only B", log + 1, 2);
  bt_event event = {.unit = "A", .time = TEST_NOW, .kind = BT_EVENT_OTHER};
  bool known = false;
  cr_ok(bt_ledger_add_event(ledger, &event, false, "t", TEST_NOW + 5, &known, &error), error);
  cr_ok(bt_ledger_last_entry(ledger, &at, &error), error);
  cr_expect_eq(at, TEST_NOW + 5);
  cr_ok(bt_ledger_provenance(ledger, "a", &p, &error), error);
  cr_expect(p.sources == 1 && p.checks == 1 && p.events == 1 && p.conflicts == 0);
  cr_ok(bt_ledger_provenance(ledger, "B", &p, &error), error);
  cr_expect(p.sources == 2 && p.checks == 2 && p.events == 0);
  cr_ok(bt_ledger_provenance(ledger, NULL, &p, &error), error);
  cr_expect(p.sources == 2 && p.checks == 3 && p.events == 1);
  cr_expect_eq(bt_ledger_provenance(ledger, "C", &p, &error), BT_NOTFOUND);

  char *found = NULL;
  cr_ok(bt_ledger_find_unit(ledger, " b ", &found, &error), error);
  cr_expect_str_eq(found, "B");
  free(found);
  cr_expect_eq(bt_ledger_find_unit(ledger, "C", &found, &error), BT_NOTFOUND);
  cr_expect_null(found);
  bt_ledger_close(ledger);
}
