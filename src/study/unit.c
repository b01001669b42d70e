/* The study of one unit: its history, fills, self-test and each logged characteristic. */
#include "study_room.h"

#include <stdlib.h>

/* Where nobody said when a check is due, one within a week counts as current. */
static const double default_expected_days = 7;

static bool history_has(const bt_history *history, bt_reading reading, size_t i) {
  return (history->present[i] >> reading & 1U) != 0;
}

/* A self-test failed when fewer items passed than there are, or failed items are named. */
static void study_selftest(const bt_history *history, bt_selftest *selftest) {
  char *const *items = history->text[BT_FIELD_SELFTEST_FAILED];
  for (size_t i = 0; i < history->n; i++) {
    const char *named = items == NULL ? NULL : items[i];
    bool counted = history_has(history, BT_READING_SELFTEST_PASSED, i) &&
                   history_has(history, BT_READING_SELFTEST_TOTAL, i);
    if (!counted && named == NULL)
      continue;
    selftest->logged = true;
    selftest->n++;
    selftest->last_at = history->at[i];
    selftest->passed = counted ? history->reading[BT_READING_SELFTEST_PASSED][i] : 0;
    selftest->total = counted ? history->reading[BT_READING_SELFTEST_TOTAL][i] : 0;
    selftest->items = named;
    selftest->last_failed = named != NULL || selftest->passed < selftest->total;
    selftest->failed += selftest->last_failed;
  }
}

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

static bt_status study_characteristics(bt_ledger *ledger, const bt_study_request *request,
                                       const study_place *place, bt_unit_study *unit,
                                       bt_error *error) {
  unit->studies = bt_new(BT_CHARACTERISTIC_COUNT, sizeof(bt_study *));
  if (unit->studies == NULL)
    return bt_fail_memory(error);
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++) {
    bt_characteristic characteristic = (bt_characteristic)c;
    if (request->only_one && request->characteristic != characteristic)
      continue;
    bt_study *study;
    bt_status status = study_one(ledger, request, characteristic, place, &study, error);
    if (status != BT_OK)
      return status;
    if (study != NULL)
      unit->studies[unit->studies_n++] = study;
  }
  if (request->only_one && unit->studies_n == 0)
    return bt_fail(error, BT_NOTFOUND,
                   "the log of \"%s\" has no %s up to then; import a log that holds what it is "
                   "made from, or see `beamtally status` for what there is",
                   unit->history.unit, bt_characteristic_key(request->characteristic));
  return BT_OK;
}

bt_status bt_study_unit(bt_ledger *ledger, const bt_study_request *request, bt_unit_study **study,
                        bt_error *error) {
  *study = NULL;
  study_place place = {0};
  bt_unit_study *unit = bt_new(1, sizeof *unit);
  if (unit == NULL)
    return bt_fail_memory(error);
  unit->until = request->until;
  bt_status status =
      bt_ledger_history(ledger, request->unit, request->until, &unit->history, error);
  if (status == BT_OK)
    status = bt_ledger_settings(ledger, &unit->settings, error);
  if (status == BT_OK)
    status = bt_ledger_provenance(ledger, unit->history.unit, &unit->provenance, error);
  if (status == BT_OK)
    status = bt_fills_find(&unit->history, &unit->fills, error);
  if (status == BT_OK)
    status = study_place_make(&unit->history, &unit->settings, &unit->fills, request->until, &place,
                              error);
  if (status == BT_OK)
    status = study_characteristics(ledger, request, &place, unit, error);
  if (status == BT_OK) {
    study_selftest(&unit->history, &unit->selftest);
    study_currency(unit);
    study_unit_verdict(unit);
    *study = unit;
    unit = NULL;
  }
  study_place_free(&place);
  bt_unit_study_free(unit);
  return status;
}

void bt_proposal_free(bt_proposal *proposal) {
  if (proposal == NULL)
    return;
  bt_baseline_free(&proposal->baseline);
  free(proposal->exclusions);
  *proposal = (bt_proposal){0};
}

bt_status bt_study_baseline(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                            bt_time from, bt_time to, bool screen, bool accept_drift,
                            bt_proposal *proposal, bt_error *error) {
  (void)accept_drift;
  *proposal = (bt_proposal){0};
  bt_study_request request = {.unit = unit,
                              .until = INT64_MAX,
                              .only_one = true,
                              .characteristic = characteristic,
                              .has_baseline = true,
                              .baseline_from = from,
                              .baseline_to = to,
                              .screen = screen};
  bt_unit_study *study;
  bt_status status = bt_study_unit(ledger, &request, &study, error);
  if (status != BT_OK)
    return status;
  bt_segment *segment = &study->studies[0]->segments[0];
  size_t n = segment->phase2 - segment->from;
  char first[BT_TIME_TEXT], last[BT_TIME_TEXT];
  switch (segment->state) {
  case BT_CHART_DRAWN:
    proposal->baseline = segment->baseline;
    segment->baseline.by = segment->baseline.why = NULL;
    break;
  case BT_CHART_TOO_FEW:
    status =
        bt_fail(error, BT_REFUSED,
                "there are %zu points with %s from %s to %s that a baseline can stand on, and "
                "it needs at least %d; choose a longer period",
                segment->chart.n < n ? segment->chart.n : n, bt_characteristic_key(characteristic),
                bt_time_day_iso(from, first), bt_time_day_iso(to, last), STUDY_LEAST_POINTS);
    break;
  case BT_CHART_RESOLUTION:
    status =
        bt_fail(error, BT_REFUSED,
                "the readings of %s in that period are too coarse for control limits (smallest "
                "step %g); log more digits",
                bt_characteristic_key(characteristic), segment->resolution.step);
    break;
  case BT_CHART_COVARIATE:
    status = bt_fail(error, BT_REFUSED,
                     "%s is a room condition: it is shown, not judged, and has no baseline",
                     bt_characteristic_key(characteristic));
    break;
  }
  bt_unit_study_free(study);
  return status;
}
