/* The study of one unit: its history, fills, self-test and each logged characteristic.
 *
 * R1 Studies stand in canonical order, then the clinic's own in that of the settings.
 * R2 Where one study only is asked for that shares the unit's budget of alarms, the others that
 *    share it are studied as well, as they stand, and count; nobody sees them.
 * R3 A characteristic is stale where nobody has read it for long: 15 days or more, and longer than
 *    a check of the unit is expected within. Some are read once a week: after two missed weeks
 *    nobody means it. Common practice, no source.
 * R4 What an older format of evidence folders doesn't know is not studied for one: neither as a
 *    chart nor in the budget's shares.
 * R5 A built-in characteristic whose key is that of one of the clinic's own is not studied: what
 *    the ledger has under that key is of the own one. */
#include "study_room.h"

#include <stdlib.h>

/* Where nobody said when a check is due, one within a week counts as current. */
static const double default_expected_days = 7;

static const int64_t least_stale_days = 15;

/* The longest stretch between two days of the weekly schedule, and a day's grace. */
static double expected_days(const bt_settings *settings, const char *unit) {
  const bt_unit_setting *setting = bt_settings_unit(settings, unit);
  if (setting != NULL && setting->expected_days > 0)
    return setting->expected_days;
  int longest = 0, last = 0;
  for (int day = 1; day <= 14; day++) {
    if ((settings->weekdays >> ((day - 1) % 7 + 1) & 1U) == 0)
      continue;
    if (last != 0 && day - last > longest)
      longest = day - last;
    last = day;
  }
  return longest == 0 ? default_expected_days : longest + 1;
}

/* R3. */
static void study_stale(const bt_unit_study *unit, bt_study *of) {
  if (of->checks.n == 0)
    return;
  int64_t days = bt_day_of(unit->until - 1) - bt_day_of(of->checks.at[of->checks.n - 1]);
  of->stale_days = days >= least_stale_days && (double)days > unit->expected_days ? days : 0;
}

static void study_currency(bt_unit_study *unit) {
  const bt_history *history = &unit->history;
  unit->expected_days = expected_days(&unit->settings, history->unit);
  unit->has_check = history->n > 0;
  if (!unit->has_check)
    return;
  unit->first_check = history->at[0];
  unit->last_check = history->at[history->n - 1];
  double days = (double)(unit->until - unit->last_check) / (double)BT_DAY;
  unit->current = days <= unit->expected_days;
}

/* R4, R5. */
static bool is_known(const bt_study_request *request, const bt_settings *settings,
                     bt_characteristic characteristic) {
  return !bt_settings_hide(settings, characteristic) &&
         (request->case_format == 0 ||
          bt_case_knows_characteristic(request->case_format, characteristic));
}

static bt_status has_none(const bt_unit_study *unit, bt_characteristic characteristic,
                          bt_error *error) {
  char last[BT_TIME_TEXT] = "";
  const char *up_to = unit->until == INT64_MAX ? "" : " up to ";
  if (unit->until != INT64_MAX)
    (void)bt_time_day_iso(unit->until - 1, last);
  if (characteristic == BT_TRACKER_VECTOR)
    return bt_fail(error, BT_NOTFOUND,
                   "\"%s\" has no T² of the tracker's offset%s%s: it is counted from a "
                   "baseline of at least %d points with x and y that don't lie on one line",
                   unit->history.unit, up_to, last, BT_BASELINE_LEAST_POINTS);
  return bt_fail(error, BT_NOTFOUND,
                 "the log of \"%s\" has no %s%s%s; import a log that holds what it is "
                 "made from, or see `beamtally status` for what there is",
                 unit->history.unit, bt_settings_quantity(&unit->settings, characteristic).key,
                 up_to, last);
}

/* Studies up to their own rules, of all characteristics or the one asked for. */
static bt_status study_characteristics(bt_ledger *ledger, const bt_study_request *request,
                                       const study_place *place, bt_unit_study *unit,
                                       bt_error *error) {
  size_t most = BT_CHARACTERISTIC_COUNT + unit->settings.own_n;
  unit->studies = bt_new(most, sizeof(bt_study *));
  if (unit->studies == NULL)
    return bt_fail_memory(error);
  if (request->only_one && request->characteristic >= most)
    return bt_fail(error, BT_NOTFOUND,
                   "the settings in force name no such characteristic of the clinic's own");
  for (size_t c = 0; c < most; c++) { /* R1 */
    bt_characteristic characteristic = (bt_characteristic)c;
    if (!is_known(request, &unit->settings, characteristic) ||
        (request->only_one && request->characteristic != characteristic))
      continue;
    bt_study *study;
    bt_status status = study_one(ledger, request, characteristic, place, false, &study, error);
    if (status != BT_OK)
      return status;
    if (study != NULL)
      unit->studies[unit->studies_n++] = study;
  }
  return request->only_one && unit->studies_n == 0 ? has_none(unit, request->characteristic, error)
                                                   : BT_OK;
}

/* R2. Limits within the budget, and what follows from all rules. */
static bt_status study_together(bt_ledger *ledger, const bt_study_request *request,
                                const study_place *place, bt_unit_study *unit, bt_error *error) {
  bt_study *counted[BT_CHARACTERISTIC_COUNT] = {0};
  size_t counted_n = 0;
  bt_study_request plain = {.unit = request->unit, .until = request->until};
  bool lacks_others = request->only_one && study_may_alarm(request->characteristic);
  bt_status status = BT_OK;
  for (int c = 0; lacks_others && c < BT_CHARACTERISTIC_COUNT && status == BT_OK; c++) {
    bt_characteristic characteristic = (bt_characteristic)c;
    if (characteristic == request->characteristic || !study_may_alarm(characteristic) ||
        !is_known(request, &unit->settings, characteristic))
      continue;
    status = study_one(ledger, &plain, characteristic, place, true, &counted[counted_n], error);
    counted_n += status == BT_OK && counted[counted_n] != NULL;
  }
  if (status == BT_OK)
    status = study_alarms(unit, counted, counted_n, request->solved, error);
  for (size_t s = 0; s < unit->studies_n && status == BT_OK; s++)
    status = study_finish(unit->studies[s], place, error);
  for (size_t s = 0; s < counted_n; s++)
    bt_study_free(counted[s]);
  return status;
}

/* What the ledger has of the unit. */
static bt_status read_unit(bt_ledger *ledger, const bt_study_request *request, bt_unit_study *unit,
                           bt_error *error) {
  bt_status status =
      bt_ledger_history(ledger, request->unit, request->until, &unit->history, error);
  if (status == BT_OK)
    status = study_one_event(&unit->history, error);
  if (status == BT_OK)
    status = bt_ledger_settings(ledger, &unit->settings, error);
  if (status == BT_OK)
    status = bt_ledger_provenance(ledger, unit->history.unit, &unit->provenance, error);
  if (status == BT_OK)
    status = bt_ledger_corrections(ledger, unit->history.unit, &unit->corrections,
                                   &unit->corrections_n, error);
  return status;
}

static bt_time concluded_until(const bt_study_request *request) {
  return request->concluded_until == 0 ? request->until : request->concluded_until;
}

bt_status study_judge_unit(bt_ledger *ledger, const bt_study_request *request, bt_unit_study *unit,
                           bt_error *error) {
  study_place place = {.case_format = request->case_format};
  unit->until = request->until;
  bt_status status = bt_fills_find(&unit->history, &unit->fills, error);
  if (status == BT_OK)
    status = study_place_make(&unit->history, &unit->settings, &unit->fills, request->until, &place,
                              error);
  if (status == BT_OK && ledger != NULL)
    status = bt_ledger_dispositions(ledger, unit->history.unit, concluded_until(request),
                                    &place.dispositions, &place.dispositions_n, error);
  if (status == BT_OK)
    status = study_characteristics(ledger, request, &place, unit, error);
  if (status == BT_OK)
    status = study_together(ledger, request, &place, unit, error);
  if (status == BT_OK)
    status = study_selftest(&unit->history, request->until, &unit->selftest, error);
  if (status == BT_OK) {
    study_currency(unit);
    for (size_t s = 0; s < unit->studies_n; s++)
      study_stale(unit, unit->studies[s]);
    study_unit_verdict(unit);
    status = study_gaps(unit, error);
  }
  study_place_free(&place);
  return status;
}

bt_status bt_study_unit(bt_ledger *ledger, const bt_study_request *request, bt_unit_study **study,
                        bt_error *error) {
  *study = NULL;
  bt_unit_study *unit = bt_new(1, sizeof *unit);
  if (unit == NULL)
    return bt_fail_memory(error);
  bt_status status = read_unit(ledger, request, unit, error);
  if (status == BT_OK)
    status = study_judge_unit(ledger, request, unit, error);
  if (status == BT_OK) {
    *study = unit;
    unit = NULL;
  }
  bt_unit_study_free(unit);
  return status;
}
