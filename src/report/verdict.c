/* The banner, the failing morning, the cautions, and what to do next. */
#include "report_room.h"

const char *const report_caution =
    "A chart is no substitute for the laser’s own interlocks, the manufacturer’s instructions or "
    "the responsible clinician.";

const char *const report_cautions_full =
    "A chart is no substitute for the laser’s own interlocks, the manufacturer’s instructions or "
    "the responsible clinician. ArF lasers mean 193 nm ultraviolet, high voltage and toxic fluorine "
    "gas: only trained people, under local rules and the laser safety officer, do what a finding "
    "suggests. Intended use: keeping and trending QA records. Beamtally commands no laser and is "
    "not intended to decide whether or how to treat; whether local law sees it otherwise is for the "
    "clinic’s responsible person. Control limits are not tolerances: a check outside tolerance stays "
    "one, whatever its chart shows.";

/* Whether the newest check has a time of day, by which a retest is known. */
static bool has_clock(const bt_unit_study *unit) {
  const bt_history *history = &unit->history;
  return history->n == 0 || history->has_clock == NULL || history->has_clock[history->n - 1] != 0;
}

void report_failing_morning(const bt_unit_study *unit, report_words *words) {
  report_words_bold(words, "Follow the instructions for use and your failure procedure; the "
                           "responsible person decides about treatment; do not rely on this "
                           "program.");
  if (has_clock(unit))
    report_words_add(words, " A repeat within 60 minutes is a retest: it is kept and judged "
                            "against tolerance, never averaged with the check that failed. ");
  else
    report_words_add(words, " The log has no time of day, so a repeat cannot be told from a second "
                            "check: log the time of day. ");
  if (unit->settings.tell != NULL && *unit->settings.tell != '\0')
    report_words_add(words, "Whom to tell: %s. ", unit->settings.tell);
  else
    report_words_add(words, "Whom to tell: enter whom to tell in the settings. ");
  report_words_add(words, "Note what was done with “beamtally event”, and import the next log.");
}

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

bt_ink report_unit_ink(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of) {
  bt_strength beneath = of == NULL ? open_beneath(unit, verdict) : BT_QUIET;
  return beneath == BT_ALARM    ? BT_INK_ALARM
         : beneath == BT_NOTICE ? BT_INK_NOTICE
                                : report_banner_ink(verdict);
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

bt_ink report_banner_ink(bt_verdict verdict) {
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
