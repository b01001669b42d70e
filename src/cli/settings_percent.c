/* settings: a tolerance of the energy ratio that is given in percent is refused, with the ready
 * line. Taken, it would hold every check for failed, and no baseline would come together.
 *
 * In percent are limits that all lie from 50 to 150, of a laser of whose stored ratios fewer than
 * half are 10 or more: those of a log whose ratios really are of that size are taken. Common
 * practice, no source. */
#include "settings.h"

#include "beamtally/study.h"

static const double percent_least = 50, percent_most = 150, no_ratio = 10;

static bool is_percent(double limit) {
  return limit >= percent_least && limit <= percent_most;
}

static bool looks_like_percent(const bt_tolerance *tolerance) {
  return tolerance->characteristic == BT_ENERGY_RATIO &&
         (!tolerance->has_low || is_percent(tolerance->low)) &&
         (!tolerance->has_high || is_percent(tolerance->high));
}

bt_status cli_settings_study(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                             bt_time until, bt_unit_study **study, bt_error *error) {
  const bt_study_request request = {
      .unit = unit, .until = until, .only_one = true, .characteristic = characteristic};
  bt_error none = {0};
  bt_status status = bt_study_unit(ledger, &request, study, &none);
  if (status == BT_OK || status == BT_NOTFOUND)
    return BT_OK;
  *error = none;
  return status;
}

/* Stored checks that have an energy ratio, and how many of these are of the size of percent. */
static bt_status count_large(const cli_context *cli, bt_ledger *ledger,
                             const bt_tolerance *tolerance, size_t *n, size_t *large,
                             bt_error *error) {
  bt_unit_study *study = NULL;
  *n = *large = 0;
  bt_status status = cli_settings_study(ledger, tolerance->unit, BT_ENERGY_RATIO,
                                        cli_today_ends(cli), &study, error);
  if (study != NULL) {
    const bt_study *of = study->studies[0];
    *n = of->checks.n;
    for (size_t i = 0; i < of->checks.n; i++)
      *large += of->checks.raw[i] >= no_ratio;
  }
  bt_unit_study_free(study);
  return status;
}

void cli_settings_add_limits(const bt_tolerance *tolerance, double factor, bt_text *out) {
  if (tolerance->has_low)
    bt_text_format(out, "low = %.9g%s", tolerance->low * factor, tolerance->has_high ? ", " : "");
  if (tolerance->has_high)
    bt_text_format(out, "high = %.9g", tolerance->high * factor);
}

static bt_status refuse(const bt_tolerance *tolerance, size_t n, size_t large, bt_error *error) {
  bt_text given = {0}, meant = {0};
  char held[80] = "";
  cli_settings_add_limits(tolerance, 1, &given);
  cli_settings_add_limits(tolerance, 0.01, &meant);
  if (n > 0)
    (void)snprintf(held, sizeof held, ", and %zu of %zu stored checks %s of that size", large, n,
                   large == 1 ? "is" : "are");
  bt_status status =
      bt_text_ok(&given) && bt_text_ok(&meant)
          ? bt_fail(
                error, BT_INPUT,
                "the tolerance of energy_ratio of %s (%s) is in percent, as it seems%s; "
                "energy_ratio is measured / target energy, near 1: write %s. Nothing was stored",
                tolerance->unit, bt_text_get(&given), held, bt_text_get(&meant))
          : bt_fail_memory(error);
  bt_text_free(&given);
  bt_text_free(&meant);
  return status;
}

bt_status cli_settings_refuse_percent(const cli_context *cli, bt_ledger *ledger,
                                      const bt_settings *settings, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t t = 0; t < settings->tolerances_n && status == BT_OK; t++) {
    const bt_tolerance *tolerance = &settings->tolerances[t];
    size_t n = 0, large = 0;
    if (!looks_like_percent(tolerance))
      continue;
    status = count_large(cli, ledger, tolerance, &n, &large, error);
    if (status == BT_OK && (n == 0 || 2 * large < n))
      status = refuse(tolerance, n, large, error);
  }
  return status;
}
