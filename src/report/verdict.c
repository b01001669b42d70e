/* The verdict as words and ink of a banner, and which verdicts are failures. */
#include "report_sentences.h"

/* Past signals of any characteristic: "no signal in the log" would not be true of the unit. */
static bool had_signals(const bt_unit_study *unit) {
  for (size_t i = 0; i < unit->studies_n; i++)
    if (report_is_judged(unit->studies[i]) && unit->studies[i]->episodes_n > 0)
      return true;
  return false;
}

/* Readings that are all alike, or too coarse: neither rules nor limits look at them. */
static bool no_rule(const bt_study *of, bt_verdict verdict) {
  const bt_segment *now = bt_study_now(of);
  return now != NULL && now->state == BT_CHART_RESOLUTION &&
         (verdict == BT_VERDICT_NO_SIGNAL || verdict == BT_VERDICT_NO_BASELINE);
}

const char *report_verdict_words(const bt_unit_study *unit, bt_verdict verdict,
                                 const bt_study *of) {
  if (of != NULL)
    return bt_study_verdict_words(of);
  bool past = verdict == BT_VERDICT_NO_SIGNAL && had_signals(unit);
  return past ? "NO OPEN SIGNAL" : bt_verdict_words(verdict);
}

/* What the unit's charts say of now, which a missing tolerance or check must not hide. */
static bt_strength open_beneath(const bt_unit_study *unit, bt_verdict verdict) {
  bt_strength worst = BT_QUIET;
  if (verdict != BT_VERDICT_NO_CURRENT_CHECK && verdict != BT_VERDICT_NO_TOLERANCE)
    return BT_QUIET;
  for (size_t i = 0; i < unit->studies_n; i++) {
    bt_strength open = bt_study_open_strength(unit->studies[i]);
    if (report_is_judged(unit->studies[i]) && open > worst)
      worst = open;
  }
  return worst;
}

static bt_ink ink_of(bt_verdict verdict) {
  switch (verdict) {
  case BT_VERDICT_OUT_OF_TOLERANCE:
  case BT_VERDICT_SELFTEST_FAILED:
  case BT_VERDICT_ALARM:
    return BT_INK_ALARM;
  case BT_VERDICT_NO_CURRENT_CHECK:
  case BT_VERDICT_NOTICE:
    return BT_INK_NOTICE;
  case BT_VERDICT_NO_TOLERANCE: /* something to enter, nothing that the laser shows */
  case BT_VERDICT_NO_BASELINE:
  case BT_VERDICT_NO_SIGNAL:
    break;
  }
  return BT_INK_NEUTRAL;
}

bt_ink report_unit_ink(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of) {
  bt_strength beneath = of == NULL ? open_beneath(unit, verdict) : BT_QUIET;
  return beneath == BT_ALARM    ? BT_INK_ALARM
         : beneath == BT_NOTICE ? BT_INK_NOTICE
                                : ink_of(verdict);
}

void report_banner_words(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of,
                         bt_text *out) {
  if (of != NULL && !report_is_judged(of)) {
    bt_text_add(out, bt_study_verdict_words(of));
    return;
  }
  bool sided = of != NULL && (verdict == BT_VERDICT_ALARM || verdict == BT_VERDICT_NOTICE);
  bool low = sided && report_is_open_side(of, BT_LOW);
  bool high = sided && report_is_open_side(of, BT_HIGH);
  if (low || high)
    bt_text_format(out, "%s%s ", high ? "▲" : "", low ? "▼" : "");
  bt_text_add(out, report_verdict_words(unit, verdict, of));
  if (low || high)
    bt_text_add(out, low && high ? " · both sides" : low ? " · low side" : " · high side");
  bt_strength beneath = of == NULL ? open_beneath(unit, verdict) : BT_QUIET;
  if (beneath != BT_QUIET)
    bt_text_add(out, beneath == BT_ALARM ? " · ALARM OPEN" : " · NOTICE OPEN");
  if (verdict == BT_VERDICT_NO_SIGNAL && unit->has_check && (of == NULL || !no_rule(of, verdict))) {
    char date[REPORT_DATE_TEXT];
    bool own = of != NULL && of->checks.n > 0;
    bt_time last = own ? of->checks.at[of->checks.n - 1] : unit->last_check;
    bt_text_format(out, " to %s", report_short_date(last, date));
  }
}

bool report_is_failing(bt_verdict verdict) {
  return verdict == BT_VERDICT_OUT_OF_TOLERANCE || verdict == BT_VERDICT_SELFTEST_FAILED;
}

bool report_fails(const bt_study *of) {
  return report_is_judged(of) && report_is_failing(of->verdict);
}
