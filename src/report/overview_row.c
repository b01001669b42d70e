/* One unit's row in the comparison of all units: words that its own report has at length, and the
 * readings that its small chart draws. */
#include "report_drift.h"
#include "report_next.h"

#include <stdlib.h>
#include <string.h>

static void tolerance_words(const bt_unit_study *unit, bt_text *out) {
  size_t outside = 0, inside = 0, without = 0, to_come = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    if (!report_is_judged(of) || !report_may_have_tolerance(of))
      continue;
    if (of->tolerance.last_is_outside)
      bt_text_format(out, "%s%s", outside++ == 0 ? "◆ last check outside: " : ", ",
                     of->quantity.title);
    else if (of->tolerance.judged > 0 && of->tolerance.now != NULL)
      inside++;
    else if (of->tolerance.to_come != NULL)
      to_come++;
    else
      without++;
  }
  if (inside > 0) {
    bt_text_add(out, outside > 0 ? "; inside: " : "last check inside: ");
    report_count(out, inside, "characteristic", "characteristics");
  }
  if (without > 0) {
    bt_text_add(out, outside + inside > 0 ? "; none entered: " : "none entered: ");
    report_count(out, without, "characteristic", "characteristics");
  }
  if (to_come > 0) {
    bt_text_add(out, outside + inside + without > 0 ? "; begins later: " : "begins later: ");
    report_count(out, to_come, "characteristic", "characteristics");
  }
}

static void signal_words(const bt_unit_study *unit, bt_text *out) {
  for (size_t i = 0; i < unit->studies_n; i++)
    for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
      const bt_study *of = unit->studies[i];
      const bt_episode *episode = report_open_on(of, side);
      if (episode == NULL || !report_is_judged(of))
        continue;
      bt_text_format(out, "%s%s %s: %s", out->length > 0 ? "\n" : "", side == BT_LOW ? "▼" : "▲",
                     of->quantity.title, report_open_word(of, episode));
      report_open_first(of, episode, out);
    }
  if (out->length == 0)
    bt_text_add(out, "none open");
}

static void drift_words(const bt_unit_study *unit, bt_text *out) {
  const bt_unit_drift *all = unit->drift;
  size_t looked = report_drift_looked(all), changed = 0;
  bt_text one = {0};
  for (size_t i = 0; all != NULL && i < all->n; i++) {
    if (!report_drift_is_told(&all->drift[i]))
      continue;
    changed++;
    bt_text_clear(&one);
    report_drift_headline(unit, &all->drift[i], false, &one);
    if (one.length == 0)
      report_drift_short(unit, &all->drift[i], &one);
    bt_text_format(out, "%s%s", out->length > 0 ? "\n" : "", bt_text_get(&one));
  }
  if (looked > 0 && changed == 0) {
    bt_text_add(out, "no change past the threshold in ");
    report_count(out, looked, "characteristic", "characteristics");
  }
  if (looked == 0) /* of some, the unit's own report says why not */
    report_drift_not_looked(all, out);
  report_text_pass(&one, out);
}

/* The first step; an alarm is told as well where something else has to be done before it is looked
 * at. */
static void next_words(const bt_unit_study *unit, bt_text *out) {
  bt_text alarm = {0};
  if (report_is_failing(unit->verdict)) {
    bt_text_add(out, report_failure_sentence);
    return;
  }
  (void)report_next_step(unit, report_asks_since(unit), 0, out);
  report_signal_step(unit, BT_VERDICT_ALARM, false, &alarm);
  if (!bt_text_empty(&alarm) && strcmp(bt_text_get(&alarm), bt_text_get(out)) != 0)
    bt_text_format(out, "\n%s", bt_text_get(&alarm));
  report_text_pass(&alarm, out);
}

static void checked_words(const bt_unit_study *unit, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  bt_text_add(out, unit->has_check ? "last check " : "no check");
  if (unit->has_check)
    bt_text_add(out, report_short_date(unit->last_check, date));
  bt_text_add(out, "; self-test ");
  report_selftest_words(unit, out);
}

/* Which report has the reasons. */
static void file_words(const bt_report_request *request, const char *file, bt_text *out) {
  if (request->revision > 0)
    bt_text_format(out, "revision %lld, issued", (long long)request->revision);
  else
    bt_text_add(out, "draft, not issued");
  if (file != NULL)
    bt_text_format(out, ": %s", file);
}

static bt_status keep_ratio(const bt_study *of, const bt_report_request *request,
                            bt_overview_row *row, bt_error *error) {
  size_t first = 0, last = 0;
  const bt_segment *now = bt_study_now(of);
  const bt_tolerance *tolerance = report_tolerance(of);
  report_between(&of->points, request->from, request->to, &first, &last);
  row->has_low = tolerance != NULL && tolerance->has_low;
  row->has_high = tolerance != NULL && tolerance->has_high;
  row->low = row->has_low ? tolerance->low : 0;
  row->high = row->has_high ? tolerance->high : 0;
  row->has_centre = report_has_limits(now);
  row->centre = row->has_centre ? now->chart.centre : 0;
  row->sigma = row->has_centre ? now->chart.sigma : 0;
  if (last <= first)
    return BT_OK;
  size_t n = last - first;
  row->day = bt_new(n, sizeof *row->day);
  row->ratio = bt_new(n, sizeof *row->ratio);
  row->outside = bt_new(n, sizeof *row->outside);
  if (row->day == NULL || row->ratio == NULL || row->outside == NULL)
    return bt_fail_memory(error);
  for (size_t i = 0; i < n; i++) {
    row->day[i] = report_days(of->points.at[first + i]);
    row->ratio[i] = of->points.raw[first + i];
    bt_rules rules = of->rules[BT_LOW][first + i] | of->rules[BT_HIGH][first + i];
    row->outside[i] = (rules & BT_TOLERANCE_FAILED) != 0;
  }
  row->n = n;
  return BT_OK;
}

bt_status bt_overview_row_make(const bt_unit_study *study, const bt_report_request *request,
                               const char *file, bt_overview_row *row, bt_error *error) {
  bt_text verdict = {0}, checked = {0}, tolerance = {0}, signals = {0}, drift = {0}, next = {0},
          report = {0};
  *row = (bt_overview_row){.rank = study->verdict,
                           .off = bt_unit_deviation(study),
                           .revision = request->revision,
                           .ink = report_unit_ink(study, study->verdict, NULL)};
  report_banner_words(study, study->verdict, NULL, &verdict);
  checked_words(study, &checked);
  tolerance_words(study, &tolerance);
  signal_words(study, &signals);
  drift_words(study, &drift);
  next_words(study, &next);
  file_words(request, file, &report);
  row->unit = bt_copy(study->history.unit);
  row->file = bt_text_take(&report);
  row->verdict = bt_text_take(&verdict);
  row->checked = bt_text_take(&checked);
  row->tolerance = bt_text_take(&tolerance);
  row->signals = bt_text_take(&signals);
  row->drift = bt_text_take(&drift);
  row->next = bt_text_take(&next);
  bool whole = row->unit != NULL && row->file != NULL && row->verdict != NULL &&
               row->checked != NULL && row->tolerance != NULL && row->signals != NULL &&
               row->drift != NULL && row->next != NULL;
  bt_status status = whole ? BT_OK : bt_fail_memory(error);
  const bt_study *of = bt_unit_study_of(study, BT_ENERGY_RATIO);
  if (status == BT_OK && of != NULL)
    status = keep_ratio(of, request, row, error);
  if (status != BT_OK)
    bt_overview_row_free(row);
  return status;
}

void bt_overview_row_free(bt_overview_row *row) {
  if (row == NULL)
    return;
  char *const texts[] = {row->unit,    row->verdict, row->checked, row->tolerance,
                         row->signals, row->drift,   row->next,    row->file};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
    free(texts[i]);
  free(row->day);
  free(row->ratio);
  free(row->outside);
  *row = (bt_overview_row){0};
}
