/* Episodes that the revision before did not have, had otherwise, or that are gone. */
#include "report_pages.h"

#include <string.h>

static const bt_episode *same_episode(const bt_study *of, const bt_episode *episode) {
  for (size_t e = 0; of != NULL && e < of->episodes_n; e++)
    if (strcmp(of->episodes[e].id, episode->id) == 0 && of->episodes[e].side == episode->side)
      return &of->episodes[e];
  return NULL;
}

static const report_column episode_columns[] = {
    {0, "Episode"}, {0.085, "Characteristic"}, {0.26, "From " REPORT_DASH " to"}, {0.45, "Now"}};
enum { EPISODE_COLUMNS = sizeof episode_columns / sizeof *episode_columns };

static void episode_row(report_sheet *sheet, size_t *n, const bt_study *of,
                        const bt_episode *episode, const char *now) {
  char period[REPORT_DATE_TEXT];
  const char *cells[EPISODE_COLUMNS] = {
      episode->id, of->quantity.title,
      report_short_period(of->points.at[episode->first], of->points.at[episode->last], period),
      now};
  if ((*n)++ == 0)
    report_sheet_heads(sheet, episode_columns, EPISODE_COLUMNS);
  report_sheet_row(sheet, episode_columns, EPISODE_COLUMNS, cells);
}

static void what_became(const bt_study *was, const bt_episode *old, const bt_study *is,
                        const bt_episode *now, bt_text *out) {
  const bt_disposition *before = report_disposition(was, old), *after = report_disposition(is, now);
  if (old->strength != now->strength)
    bt_text_format(out, "%s, was %s", report_strength_word(now->strength),
                   report_strength_word(old->strength));
  if (old->signals != now->signals) {
    bt_text_add(out, out->length > 0 ? "; " : "");
    report_count(out, now->signals, "point", "points");
    bt_text_format(out, ", was %zu", old->signals);
  }
  if (after != NULL &&
      (before == NULL || before->at != after->at || strcmp(before->cause, after->cause) != 0 ||
       strcmp(before->action, after->action) != 0)) {
    bt_text_add(out, out->length > 0 ? "; " : "");
    report_disposition_words(after, out);
  }
}

void report_changes_episodes(report_sheet *sheet, const bt_unit_study *unit,
                             const bt_unit_study *before) {
  size_t n = 0;
  report_sheet_heading(sheet, "Episodes that are new, gone or judged otherwise");
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *is = unit->studies[i], *was = report_same_in(before, is);
    for (size_t e = 0; e < is->episodes_n && report_is_judged(is); e++) {
      const bt_episode *now = &is->episodes[e], *old = same_episode(was, now);
      bt_text words = {0};
      if (old == NULL)
        bt_text_format(&words, "new: %s, %s side", report_strength_word(now->strength),
                       report_side_word(now->side));
      else
        what_became(was, old, is, now, &words);
      if (!bt_text_empty(&words))
        episode_row(sheet, &n, is, now, bt_text_get(&words));
      report_text_end(sheet->builder, &words);
    }
  }
  for (size_t i = 0; i < before->studies_n; i++) {
    const bt_study *was = before->studies[i], *is = report_same_in(unit, was);
    for (size_t e = 0; e < was->episodes_n && report_is_judged(was); e++)
      if (same_episode(is, &was->episodes[e]) == NULL)
        episode_row(sheet, &n, was, &was->episodes[e], "gone");
  }
  if (n == 0)
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None.");
}
