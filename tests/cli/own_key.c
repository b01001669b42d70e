/* A characteristic of the clinic's own whose key a later version of the program has for one of its
 * own. No settings file may bring one today: the ledger is given it as an older program would. */
#include "beamtally/ledger.h"
#include "program.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

enum { DAYS = 90, FILL = 5 };

static const char said[] =
    "\"high_voltage\" is a characteristic of the clinic's own by the settings, "
    "and Beamtally has one of that key since";

/* Mains voltage, in V, by such a key. */
static void declare(const char *folder, const char *by) {
  char *key = bt_copy(by), title[] = "Mains voltage", volt[] = "V", unit[] = "Room 1",
       source[] = "a policy";
  bt_own_characteristic own = {.key = key, .title = title, .unit = volt, .decimals = 1};
  bt_tolerance tolerance = {.unit = unit,
                            .characteristic = BT_CHARACTERISTIC_COUNT,
                            .has_low = true,
                            .low = 207,
                            .has_high = true,
                            .high = 253,
                            .source = source};
  bt_settings settings = {.alarms_per_unit_year = 1,
                          .tolerances_n = 1,
                          .tolerances = &tolerance,
                          .own_n = 1,
                          .own = &own};
  char *path = path_in(folder, "beamtally.sqlite");
  bt_ledger *ledger = NULL;
  bt_error error = {0};
  cr_assert_eq(bt_ledger_open(path, BT_LEDGER_CREATE, &ledger, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_ledger_add_settings(ledger, &settings, "KL", "start", 1767225600, &error), BT_OK,
               "%s", error.text);
  bt_ledger_close(ledger);
  free(path);
  free(key);
}

/* Both rise inside the gas fills, by far more than they scatter. */
static void put_log(const char *folder) {
  bt_text log = {0};
  bt_text_add(&log, "date,unit,target_mj,energy_mj,hv_kv,refill,Mains voltage (V)\n");
  for (int day = 0; day < DAYS; day++) {
    int stray = day * 7919 % 11 - 5;
    bt_text_format(&log, "2026-%02d-%02d,Room 1,1.60,1.6%d,%.3f,%s,%.2f\n", 1 + day / 28,
                   1 + day % 28, 5 + stray, 28 + 0.1 * (day % FILL) + 0.004 * stray,
                   day % FILL == 0 ? "before" : "", 230 + 0.5 * (day % FILL) + 0.02 * stray);
  }
  cr_assert(bt_text_ok(&log));
  file_put(folder, "log.csv", bt_text_get(&log));
  bt_text_free(&log);
}

/* It stays the clinic's own, and every command says so. */
Test(own_key, what_stands_under_the_key_stays_the_clinics_own) {
  static const char policy[] = "[unit 1]\nname = Room 1\n[characteristic 1]\nkey = high_voltage\n"
                               "title = Mains voltage\nunit = V\n";
  char *folder = folder_begin();
  declare(folder, "high_voltage");
  put_log(folder);
  MUST_BE(folder, DONE, said, "import", "log.csv");
  MUST_BE(folder, DONE, said, "status");
  MUST_BE(folder, DONE, said, "settings", "--show");
  file_put(folder, "policy.ini", policy);
  MUST_BE(folder, FAILED, "take this [characteristic] out", "settings", "policy.ini", "--by", "KL",
          "--why", "a unit");

  free(RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "high_voltage",
                "--from", "2026-01-01", "--to", "2026-02-28", "--by", "KL", "--why", "start",
                "--accept-drift", "--yes"));
  json_t *analysis = analysis_of(folder, "Room 1", "high_voltage", NULL);
  const json_t *chart = json_object_get(analysis, "individuals");
  cr_expect_gt(number_of(chart, "centre"), 200, "volts of the mains");
  cr_expect_str_eq(text_of(analysis, "series"), "raw", "no gas acts on them");
  cr_expect_not(json_is_null(json_object_get(analysis, "tolerance")));
  json_decref(analysis);
  run_result status = RUN(folder, "--quiet", "status");
  cr_expect_null(strstr(status.out, "Discharge voltage"), "%s", status.out);
  cr_expect_null(strstr(status.err, said), "%s", status.err);
  run_free(&status);

  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-01-01", "-o", "case"));
  free(RUN_DONE(folder, "verify", "case"));
  folder_end(folder);
}

/* Without the declaration the key is Beamtally's, and no baseline of the mains judges the laser. */
Test(own_key, taken_out_of_the_settings_it_is_beamtallys) {
  char *folder = folder_begin();
  declare(folder, "high_voltage");
  put_log(folder);
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "baseline", "--unit", "Room 1", "--characteristic", "high_voltage",
                "--from", "2026-01-01", "--to", "2026-02-28", "--by", "KL", "--why", "start",
                "--accept-drift", "--yes"));
  file_put(folder, "policy.ini", "[unit 1]\nname = Room 1\n");
  free(RUN_DONE(folder, "settings", "policy.ini", "--by", "KL", "--why", "changed over", "--yes"));
  json_t *analysis = analysis_of(folder, "Room 1", "high_voltage", NULL);
  const json_t *chart = json_object_get(analysis, "individuals");
  cr_expect_lt(number_of(chart, "centre"), 40, "kV of the discharge");
  json_decref(analysis);
  run_result status = RUN(folder, "status");
  cr_expect_null(strstr(status.err, said), "%s", status.err);
  run_free(&status);
  folder_end(folder);
}

/* A reading's key likewise: what a log has under it goes where it went before. */
Test(own_key, a_readings_key_stays_the_clinics_own) {
  char *folder = folder_begin();
  declare(folder, "hv_kv");
  file_put(folder, "log.csv",
           "date,unit,energy_mj,hv_kv\n2026-01-01,Room 1,1.6,230.5\n2026-01-02,Room 1,1.6,231\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  json_t *analysis = analysis_of(folder, "Room 1", "hv_kv", NULL);
  cr_expect_eq(json_array_size(json_object_get(analysis, "points")), 2);
  json_decref(analysis);
  MUST_BE(folder, FAILED, "has no high_voltage", "analyse", "--unit", "Room 1", "--characteristic",
          "high_voltage");
  folder_end(folder);
}
