/* What differs in the findings of each characteristic, against the revision before. */
#include "report_drift.h"

#include <string.h>

const bt_study *report_same_in(const bt_unit_study *unit, const bt_study *of) {
  for (size_t i = 0; i < unit->studies_n; i++)
    if (strcmp(unit->studies[i]->quantity.key, of->quantity.key) == 0)
      return unit->studies[i];
  return NULL;
}

static void add(bt_text *out, const char *words) {
  bt_text_format(out, "%s%s", out->length > 0 ? "; " : "", words);
}

static void limits_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  const bt_segment *old = bt_study_now(was), *now = bt_study_now(is);
  bool had = report_has_limits(old), has = report_has_limits(now);
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT];
  if (had != has) {
    add(out, has ? "limits now, none before" : "no limits now");
    return;
  }
  if (!has || report_upper_limit(was, old) == report_upper_limit(is, now))
    return;
  int decimals = report_decimals(&is->quantity, now->chart.sigma);
  bt_text_format(out, "%supper limit %s, was %s", out->length > 0 ? "; " : "",
                 report_number(report_upper_limit(is, now), decimals, a),
                 report_number(report_upper_limit(was, old), decimals, b));
}

/* "NOW, was THEN" behind its name, where the two texts differ; frees both. */
static void add_pair(bt_text *out, const char *name, bt_text *now, bt_text *then) {
  if (strcmp(bt_text_get(now), bt_text_get(then)) != 0)
    bt_text_format(out, "%s%s %s, was %s", out->length > 0 ? "; " : "", name, bt_text_get(now),
                   bt_text_get(then));
  out->failed |= now->failed || then->failed;
  bt_text_free(now);
  bt_text_free(then);
}

static void tolerance_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  const bt_tolerance *old = report_tolerance(was), *new = report_tolerance(is);
  bt_text now = {0}, then = {0};
  if (new == NULL)
    bt_text_add(&now, "none");
  else
    report_tolerance_range(new, &is->quantity, &now);
  if (old == NULL)
    bt_text_add(&then, "none");
  else
    report_tolerance_range(old, &was->quantity, &then);
  add_pair(out, "tolerance", &now, &then);
}

static void baseline_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  const bt_segment *old = bt_study_now(was), *now = bt_study_now(is);
  if (report_has_limits(old) && report_has_limits(now) && old->provisional != now->provisional)
    add(out,
        now->provisional ? "baseline provisional, was frozen" : "baseline frozen, was provisional");
}

static void last_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  bt_text now = {0}, then = {0};
  report_last_value(is, true, &now);
  report_last_value(was, true, &then);
  add_pair(out, "last reading", &now, &then);
}

static void level_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  bt_text now = {0}, then = {0};
  if (is->recent_n == 0 || was->recent_n == 0)
    return;
  report_add_size(is, is->recent_shift, &now);
  report_add_size(was, was->recent_shift, &then);
  add_pair(out, "last points from the centre", &now, &then);
}

static const bt_drift *drift_in(const bt_unit_study *unit, const bt_study *of) {
  return unit->drift == NULL ? NULL : bt_unit_drift_of(unit->drift, of->characteristic);
}

/* Without its title, which stands at the head of the row. */
static void untitled_headline(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  const char *title = drift->study->quantity.title;
  report_drift_headline(unit, drift, false, &words);
  const char *rest = bt_text_get(&words);
  if (strncmp(rest, title, strlen(title)) == 0 && strncmp(rest + strlen(title), ": ", 2) == 0)
    rest += strlen(title) + 2;
  bt_text_add(out, *rest == '\0' ? "nothing to tell" : rest);
  report_text_pass(&words, out);
}

static void drift_difference(const bt_unit_study *before, const bt_unit_study *unit,
                             const bt_drift *was, const bt_drift *is, bt_text *out) {
  bt_text now = {0}, then = {0};
  if (was == NULL || is == NULL)
    return;
  untitled_headline(unit, is, &now);
  untitled_headline(before, was, &then);
  add_pair(out, "drift:", &now, &then);
}

/* What differs in one characteristic; nothing where nothing does. */
static void difference(const bt_unit_study *unit, const bt_unit_study *before, const bt_study *was,
                       const bt_study *is, bt_text *out) {
  const char *old = report_verdict_words(before, bt_study_shown_verdict(was), was);
  const char *now = report_verdict_words(unit, bt_study_shown_verdict(is), is);
  if (strcmp(old, now) != 0)
    bt_text_format(out, "%s, was %s", now, old);
  if (is->checks.n != was->checks.n) {
    bool more = is->checks.n > was->checks.n;
    size_t n = more ? is->checks.n - was->checks.n : was->checks.n - is->checks.n;
    bt_text_add(out, out->length > 0 ? "; " : "");
    report_count(out, n, more ? "reading more" : "reading fewer",
                 more ? "readings more" : "readings fewer");
  }
  if (is->tolerance.outside != was->tolerance.outside)
    bt_text_format(out, "%s%zu outside tolerance, was %zu", out->length > 0 ? "; " : "",
                   is->tolerance.outside, was->tolerance.outside);
  tolerance_difference(was, is, out);
  baseline_difference(was, is, out);
  limits_difference(was, is, out);
  last_difference(was, is, out);
  level_difference(was, is, out);
  drift_difference(before, unit, drift_in(before, was), drift_in(unit, is), out);
}

void report_changes_findings(report_sheet *sheet, const bt_unit_study *unit,
                             const bt_unit_study *before) {
  static const report_column columns[] = {{0, "Characteristic"}, {0.2, "What differs"}};
  size_t n = 0;
  report_sheet_heading(sheet, "Findings that differ");
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *is = unit->studies[i], *was = report_same_in(before, is);
    bt_text words = {0};
    if (was != NULL)
      difference(unit, before, was, is, &words);
    else
      bt_text_add(&words, "had no reading in the revision before");
    const char *cells[2] = {is->quantity.title, bt_text_get(&words)};
    if (!bt_text_empty(&words) && n++ == 0)
      report_sheet_heads(sheet, columns, 2);
    if (!bt_text_empty(&words))
      report_sheet_row(sheet, columns, 2, cells);
    report_text_end(sheet->builder, &words);
  }
  for (size_t i = 0; i < before->studies_n; i++)
    if (report_same_in(unit, before->studies[i]) == NULL) {
      const char *cells[2] = {before->studies[i]->quantity.title, "no reading of it is left"};
      if (n++ == 0)
        report_sheet_heads(sheet, columns, 2);
      report_sheet_row(sheet, columns, 2, cells);
    }
  if (n == 0)
    report_sheet_paragraph(sheet, BT_INK_TEXT,
                           "None: verdicts, last readings, limits and levels are as they were.");
}
