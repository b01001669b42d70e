/* The words of verdicts, and which of two units is farther off. */
#include "beamtally/finding.h"

#include <math.h>

const char *bt_verdict_words(bt_verdict verdict) {
  static const char *const words[] = {
      [BT_VERDICT_OUT_OF_TOLERANCE] = "OUT OF TOLERANCE",
      [BT_VERDICT_SELFTEST_FAILED] = "SELF-TEST FAILED",
      [BT_VERDICT_NO_CURRENT_CHECK] = "NO CURRENT CHECK",
      [BT_VERDICT_NO_TOLERANCE] = "NO TOLERANCE IN FORCE",
      [BT_VERDICT_ALARM] = "ALARM",
      [BT_VERDICT_NOTICE] = "NOTICE",
      [BT_VERDICT_NO_BASELINE] = "NO BASELINE",
      [BT_VERDICT_NO_SIGNAL] = "NO SIGNAL IN THE LOG",
  };
  return words[verdict];
}

bt_verdict bt_study_shown_verdict(const bt_study *study) {
  if (study->verdict != BT_VERDICT_NO_TOLERANCE)
    return study->verdict;
  bt_strength open = bt_study_open_strength(study);
  const bt_segment *now = bt_study_now(study);
  if (open != BT_QUIET)
    return open == BT_ALARM ? BT_VERDICT_ALARM : BT_VERDICT_NOTICE;
  bool without =
      now == NULL || now->state == BT_CHART_TOO_FEW || bt_study_other_target_from(study) != BT_NONE;
  return without ? BT_VERDICT_NO_BASELINE : BT_VERDICT_NO_SIGNAL;
}

const char *bt_study_verdict_words(const bt_study *study) {
  bt_verdict shown = bt_study_shown_verdict(study);
  const bt_segment *now = bt_study_now(study);
  bool no_chart = now != NULL && now->state == BT_CHART_RESOLUTION;
  if (bt_characteristic_is_covariate(study->characteristic) ||
      (no_chart && (shown == BT_VERDICT_NO_BASELINE || shown == BT_VERDICT_NO_SIGNAL)))
    return "NOT JUDGED";
  bool past = shown == BT_VERDICT_NO_SIGNAL && study->episodes_n > 0;
  return past ? "NO OPEN SIGNAL" : bt_verdict_words(shown);
}

/* What a last check outside tolerance is measured by. */
static double tolerance_scale(const bt_study *study) {
  const bt_tolerance *tolerance = study->tolerance.now;
  const bt_segment *now = bt_study_now(study);
  double limit = tolerance->has_low ? tolerance->low : tolerance->high, scale = 0;
  if (tolerance->has_low && tolerance->has_high)
    scale = (tolerance->high - tolerance->low) / 2;
  else if (now != NULL && now->state == BT_CHART_DRAWN)
    scale = fabs(limit - now->chart.centre);
  scale = scale > 0 ? scale : fabs(limit);
  return scale > 0 ? scale : 1;
}

bt_deviation bt_unit_deviation(const bt_unit_study *unit) {
  bt_deviation worst = {0};
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *study = unit->studies[i];
    const bt_segment *now = bt_study_now(study);
    if (bt_characteristic_is_covariate(study->characteristic))
      continue;
    if (study->tolerance.last_is_outside && study->tolerance.now != NULL)
      worst.beyond = fmax(worst.beyond, -study->tolerance.margin / tolerance_scale(study));
    if (study->recent_n > 0 && now != NULL && now->chart.sigma > 0)
      worst.sigmas = fmax(worst.sigmas, fabs(study->recent_shift) / now->chart.sigma);
  }
  return worst;
}

int bt_deviation_order(bt_deviation a, bt_deviation b) {
  if (a.beyond < b.beyond || a.beyond > b.beyond)
    return a.beyond > b.beyond ? -1 : 1;
  return a.sigmas > b.sigmas ? -1 : a.sigmas < b.sigmas;
}
