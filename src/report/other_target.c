/* High voltages that held another target energy than their baseline's: no rule judges them, and the
 * reader is told since when, and what to do. */
#include "report_sentences.h"

static const char *mj(double target, char *buffer) {
  return report_number(target, bt_characteristic_decimals(BT_DEMAND), buffer);
}

static double baseline_target(const bt_study *of) {
  return of->segments[of->points.segment[of->points.n - 1]].target_mj;
}

void report_other_target_words(const bt_study *of, bt_text *out) {
  char date[REPORT_DATE_TEXT], target[REPORT_NUMBER_TEXT], usual[REPORT_NUMBER_TEXT];
  size_t from = bt_study_other_target_from(of);
  if (from == BT_NONE)
    return;
  bt_text_format(
      out, "since %s the target is over 1" REPORT_JOIN "%% from the baseline’s: %s mJ for %s mJ",
      report_short_date(of->points.at[from], date),
      mj(of->points.target_mj[of->points.n - 1], target), mj(baseline_target(of), usual));
}

void report_other_target_sentence(const bt_study *of, report_words *words) {
  size_t from = bt_study_other_target_from(of);
  bt_text said = {0};
  if (from == BT_NONE)
    return;
  size_t n = of->points.n - from;
  report_other_target_words(of, &said);
  report_words_next(words);
  report_words_bold(words, "No rule judges the newest %s:", n == 1 ? "point" : "points");
  report_words_add(words,
                   " %s. The voltage for another target is another by design. Freeze a baseline "
                   "of the days since then for the new target, or correct a mistyped one.",
                   bt_text_get(&said));
  report_text_pass(&said, &words->text);
}

void report_other_target_step(const bt_unit_study *unit, bt_text *out) {
  char day[BT_TIME_TEXT];
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    size_t from = bt_study_other_target_from(of);
    if (from == BT_NONE)
      continue;
    bt_text_format(out, "%s: ", of->quantity.title);
    report_other_target_words(of, out);
    bt_text_add(out, ", so no rule judges it. If it was mistyped: “beamtally correct”. If it was "
                     "changed, freeze a baseline for it as soon as 8 days have it: “beamtally "
                     "baseline --unit ");
    bt_text_add_shell_word(out, unit->history.unit);
    bt_text_format(out, " --characteristic %s --from %s --to DAY --by NAME --why TEXT”.",
                   of->quantity.key, bt_time_day_iso(of->points.at[from], day));
  }
}
