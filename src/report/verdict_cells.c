/* The words of a row of the summary's table: tolerance first, then control, where the newest points
 * lie, open episodes, and what to do next. */
#include "report_next.h"
#include "report_table.h"

#include <string.h>

/* "▼ low at 3 points, ...": the mark says the side without the colour. */
static bt_ink control_words(const bt_unit_study *unit, const bt_study *of, bt_text *out) {
  bt_strength strength = bt_study_open_strength(of);
  if (report_open_on(of, BT_HIGH) != NULL)
    bt_text_add(out, "▲");
  if (report_open_on(of, BT_LOW) != NULL)
    bt_text_add(out, "▼");
  if (out->length > 0)
    bt_text_add(out, " ");
  if (strength == BT_QUIET && of->stale_days > 0 && !report_is_told_current(unit, of)) {
    char date[REPORT_DATE_TEXT];
    bt_text_format(
        out, "last reading %s; then: ", report_short_date(of->checks.at[of->checks.n - 1], date));
    report_control_state(of, true, out);
    return BT_INK_NOTICE;
  }
  report_control_state(of, !report_drift_has_dates(unit, of), out);
  return strength == BT_ALARM ? BT_INK_ALARM : strength == BT_NOTICE ? BT_INK_NOTICE : BT_INK_TEXT;
}

/* The limits themselves; what is said of the checks stands beside them. */
static void tolerance_words(const bt_study *of, bt_text *out) {
  if (!report_may_have_tolerance(of))
    bt_text_add(out, REPORT_DASH);
  else if (of->tolerance.now == NULL)
    report_no_tolerance(of, true, out);
  else
    report_tolerance_range(of->tolerance.now, &of->quantity, out);
}

/* "11 Nov 2025 (0.9312)" of the one check that failed. */
static void failed_one(const bt_study *of, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  size_t last = of->tolerance.last_outside;
  bt_text_format(out, "%s (", report_short_date(of->checks.at[last], date));
  report_add_value(out, &of->quantity, of->checks.raw[last],
                   report_reading_decimals(of, of->checks.raw[last]));
  bt_text_add(out, ")");
}

/* "; retest inside" of the one check that failed; of several it is of the last one alone, which
 * `whose` says: "; its retest inside". */
static void add_retest(const bt_study *of, const char *whose, bt_text *out) {
  const char *retest = report_retest_brief(of, of->tolerance.last_outside);
  if (of->tolerance.outside > 1 && strncmp(retest, "; ", 2) == 0)
    bt_text_format(out, "; %s %s", whose, retest + 2);
  else
    bt_text_add(out, retest);
}

/* "1 of 354 outside, 11 Nov 2025 (0.9312); retest inside"; of several the last one, "3 of 354
 * outside, last 11 Nov 2025; its retest inside", with all of them under the table. */
static void judged_words(const bt_study *of, bt_text *out) {
  const bt_tolerance_finding *tolerance = &of->tolerance;
  char date[REPORT_DATE_TEXT];
  if (tolerance->judged == 0) {
    bt_text_add(out, of->tolerance.now == NULL ? REPORT_DASH : "none judged");
    return;
  }
  if (tolerance->outside == 0 && tolerance->judged == of->checks.n && tolerance->judged > 1) {
    bt_text_format(out, "all %zu inside", tolerance->judged);
    return;
  }
  if (tolerance->outside == 0) {
    report_tolerance_state(of, out);
    return;
  }
  bt_text_format(out, "%zu of %zu outside", tolerance->outside, tolerance->judged);
  if (tolerance->last_outside >= of->checks.n)
    return;
  if (tolerance->outside == 1) {
    bt_text_add(out, ", ");
    failed_one(of, out);
  } else
    bt_text_format(out, ", last %s",
                   report_short_date(of->checks.at[tolerance->last_outside], date));
  add_retest(of, "its", out);
}

static void level_words(const bt_study *of, bt_text *out) {
  if (of->recent_n < 2 || !report_has_limits(bt_study_now(of)) || report_has_one_limit(of))
    bt_text_add(out, REPORT_DASH);
  else
    report_add_size(of, of->recent_shift, out);
}

/* "1 alarm, undecided": the strength in words, beside the colour of the row. */
static void open_words(const bt_study *of, bt_text *out) {
  size_t n = 0, undecided = 0;
  for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
    const bt_episode *episode = report_open_on(of, side);
    n += episode != NULL;
    undecided += episode != NULL && report_disposition(of, episode) == NULL;
  }
  if (n == 0) {
    bt_text_add(out, REPORT_DASH);
    return;
  }
  bool alarm = bt_study_open_strength(of) == BT_ALARM;
  if (n == 1)
    bt_text_format(out, "1 %s, ", alarm ? "alarm" : "notice");
  else
    bt_text_format(out, "%zu, worst: %s, ", n, alarm ? "alarm" : "notice");
  bt_text_add(out, undecided == 0 ? "concluded" : "undecided");
}

/* What the steps say first of it, in a word: a day that has passed asks for a check, whatever was
 * concluded. */
static const char *next_words(const bt_unit_study *unit, const bt_study *of) {
  const bt_segment *segment = bt_study_now(of);
  bool measure = report_asks_to_measure_of(unit, of);
  switch (bt_study_shown_verdict(of)) {
  case BT_VERDICT_OUT_OF_TOLERANCE:
    return "failure procedure";
  case BT_VERDICT_ALARM:
    return report_is_concluded(of) && !report_goes_on(unit, of)
               ? (measure ? "measure now" : "look again")
           : measure ? "measure; engineer"
                     : "tell the engineer";
  case BT_VERDICT_NOTICE:
    return measure ? "measure now" : "look again";
  default:
    break;
  }
  if (measure)
    return "measure now";
  if (of->stale_days > 0)
    return "find out why";
  if (report_wants_tolerance(unit, of))
    return "enter a tolerance";
  if (segment != NULL && segment->state == BT_CHART_RESOLUTION)
    return report_first_moved(of) != BT_NONE ? "look at that day"
           : segment->resolution.step > 0    ? "log more digits"
                                             : "check as planned";
  if (bt_study_other_target_from(of) != BT_NONE)
    return "baseline, or correct";
  if (report_asks_what_it_was(of, report_asks_since(unit)))
    return "say what it was";
  if (report_has_limits(segment) && segment->provisional && !segment->stated)
    return report_is_shaky(of) ? "do not freeze yet" : "freeze its limits";
  return "check as planned";
}

void report_cells_fill(const bt_unit_study *unit, const bt_study *of, table_cells *in) {
  bool outside = of->tolerance.last_is_outside;
  bool today = of->checks.n > 0 && unit->has_check &&
               bt_day_of(of->checks.at[of->checks.n - 1]) == bt_day_of(unit->last_check);
  *in = (table_cells){0};
  for (int c = 0; c < TABLE_COLUMNS; c++)
    in->ink[c] = BT_INK_TEXT;
  bt_text_add(&in->text[TABLE_TITLE], of->quantity.title);
  tolerance_words(of, &in->text[TABLE_TOLERANCE]);
  if (outside)
    bt_text_add(&in->text[TABLE_JUDGED], "◆ ");
  in->ink[TABLE_JUDGED] = outside ? BT_INK_ALARM : BT_INK_TEXT;
  judged_words(of, &in->text[TABLE_JUDGED]);
  report_last_value(of, !today, &in->text[TABLE_LAST]);
  in->ink[TABLE_CONTROL] = control_words(unit, of, &in->text[TABLE_CONTROL]);
  level_words(of, &in->text[TABLE_LEVEL]);
  open_words(of, &in->text[TABLE_OPEN]);
  bt_text_add(&in->text[TABLE_NEXT], next_words(unit, of));
}

void report_cells_free(report_builder *builder, table_cells *in) {
  for (int c = 0; c < TABLE_COLUMNS; c++) {
    if (!bt_text_ok(&in->text[c]))
      report_no_memory(builder);
    bt_text_free(&in->text[c]);
  }
}

void report_cell_shorten(const bt_study *of, table_column column, bt_text *words) {
  char *comma = words->data != NULL ? strstr(words->data, ", ") : NULL;
  if (column == TABLE_JUDGED && of->tolerance.outside > 0) {
    bt_text_clear(words);
    bt_text_format(words, "%s%zu outside", of->tolerance.last_is_outside ? "◆ " : "",
                   of->tolerance.outside);
    if (of->tolerance.outside == 1 && of->tolerance.last_outside < of->checks.n) {
      bt_text_add(words, ", ");
      failed_one(of, words);
    }
    add_retest(of, "last one's", words);
  } else if (column == TABLE_NEXT && of->tolerance.last_is_outside) {
    bt_text_clear(words);
    bt_text_add(words, "as said above");
  } else if (column == TABLE_CONTROL && comma != NULL) {
    *comma = '\0';
    words->length = (size_t)(comma - words->data);
  }
}
