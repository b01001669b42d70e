/* Whether a log's set and its measured energy look exchanged.
 *
 * What      how often each is the same as in the row before, of one laser.
 * Why       a measured energy scatters from row to row, and a set one stays. Exchanged, their ratio
 *           is turned upside down, which near 1 no limit shows.
 * Cut-off   over 20 pairs of rows, the energy the same in 9 of 10 and the target in at most 1 of
 *           10; common practice, no source. A stuck meter or a target that is set anew each day
 *           changes one of the two only, and nothing is said.
 * Checked   tests/cli/far_out_said.c. */
#include "import_heard.h"

#include <stdio.h>
#include <string.h>

enum { LEAST_PAIRS = 20 };

void import_energies_hear(import_energies *of, const bt_check *check) {
  if (!bt_check_has(check, BT_READING_ENERGY_MJ) || !bt_check_has(check, BT_READING_TARGET_MJ))
    return;
  double energy = check->reading[BT_READING_ENERGY_MJ];
  double target = check->reading[BT_READING_TARGET_MJ];
  if (of->unit[0] != '\0' && strncmp(of->unit, check->unit, sizeof of->unit - 1) == 0) {
    of->pairs++;
    of->same_energy += energy == of->energy;
    of->same_target += target == of->target;
  }
  (void)snprintf(of->unit, sizeof of->unit, "%s", check->unit);
  of->energy = energy;
  of->target = target;
}

void import_energies_say(const import_energies *of, const char *path) {
  if (of->pairs <= LEAST_PAIRS || 10 * of->same_energy < 9 * of->pairs ||
      10 * of->same_target > of->pairs)
    return;
  cli_say(
      "%s: energy_mj is the same as in the row before in %lld of %lld rows, target_mj in %lld: a "
      "measured energy scatters, a set one stays; kept: if the two columns are exchanged, "
      "correct the map and read the file anew with --again",
      path, (long long)of->same_energy, (long long)of->pairs, (long long)of->same_target);
}
