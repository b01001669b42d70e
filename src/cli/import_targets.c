/* Rows whose target energy is 0: kept, since it may be what the laser was set to, but the measured
 * energy has no ratio to it. A log that has the energy in percent of the target has its ratio from
 * there.
 *
 * Checked   tests/cli/import_doubts.c. */
#include "import_heard.h"

void import_targets_hear(import_targets *of, const bt_check *check) {
  of->rows += bt_check_has(check, BT_READING_TARGET_MJ);
  if (bt_check_has(check, BT_READING_TARGET_MJ) && check->reading[BT_READING_TARGET_MJ] == 0.0 &&
      !bt_check_has(check, BT_READING_ENERGY_PCT))
    import_lines_hear(&of->zero, check->line);
}

void import_targets_say(const import_targets *of, const char *path) {
  bt_text where = {0};
  if (of->zero.n == 0)
    return;
  import_lines_add(&of->zero, &where);
  cli_say(
      "%s: the target energy is 0 in %s of the %lld row%s that %s one (%s): kept, but no ratio "
      "of the measured energy to it can be computed, so that energy_ratio is neither charted nor "
      "held to a tolerance there. Where 0 stands for a target that was not logged, say so in a "
      "column map, under [values]: not_stored = THE COLUMN, 0 (as the cell has it); where it is "
      "a slip, `beamtally correct` puts the right one in its place",
      path, of->zero.n == of->rows ? "each" : "some", (long long)of->rows, of->rows == 1 ? "" : "s",
      of->rows == 1 ? "has" : "have", bt_text_get(&where));
  bt_text_free(&where);
}
