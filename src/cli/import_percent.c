/* What is said of a file's energy in percent of the target.
 *
 * What      how many of its rows lie around 1, as a ratio or a pulse-to-pulse spread would; and,
 *           where the energy and the target in mJ are there too, how many are not what these give.
 * Why       with both forms the one in mJ counts, so that a wrong column would go unseen.
 * Cut-off   a ratio or spread: all of them 2 or less; no laser works at 2 % of its target. Another
 *           number: over 0.5 % of the target away, which no rounding of either makes. Common
 *           practice, no source.
 * Checked   tests/cli/percent.c. */
#include "import_heard.h"

#include <math.h>

static const double most_of_a_ratio = 2, most_apart = 0.5;

void import_percents_hear(import_percents *of, const bt_check *check) {
  if (!bt_check_has(check, BT_READING_ENERGY_PCT))
    return;
  double percent = check->reading[BT_READING_ENERGY_PCT];
  of->n++;
  of->as_ratio += percent <= most_of_a_ratio;
  if (!bt_check_has(check, BT_READING_ENERGY_MJ) || !bt_check_has(check, BT_READING_TARGET_MJ) ||
      check->reading[BT_READING_TARGET_MJ] <= 0)
    return;
  double of_mj = 100 * check->reading[BT_READING_ENERGY_MJ] / check->reading[BT_READING_TARGET_MJ];
  of->both++;
  if (fabs(percent - of_mj) > most_apart * (1 + 1e-9)) {
    of->apart++;
    of->most = fmax(of->most, fabs(percent - of_mj));
  }
}

void import_percents_say(const import_percents *of, const char *path) {
  if (of->n > 0 && of->as_ratio == of->n)
    cli_say(
        "%s: energy_pct is 2 or less in each row that has it (%lld), and it is meant as percent "
        "of the target, near 100; kept: if the log has the ratio, say energy_pct = 1 under "
        "[units] of a column map; if it has the pulse-to-pulse spread, read it as "
        "energy_sd_pct; and read the file anew with --again",
        path, (long long)of->n);
  else if (of->apart > 0)
    cli_say(
        "%s: in %lld of %lld rows energy_pct is over 0.5 %% of the target away from energy_mj / "
        "target_mj, at most %.3g %%; kept, and what is charted is energy_mj / target_mj: check "
        "that the map reads the right columns",
        path, (long long)of->apart, (long long)of->both, of->most);
}
