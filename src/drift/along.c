/* How far values go along with a change that was found in others: the least-squares size of that
 * step, or slope from that onset on, at its date, in the values' unit.
 *
 * Requirements
 *   A1  The date is taken as known: nothing is chosen, and the p is that of a single look.
 *
 * It is bt_effect_find of the change's shape without a trend beside it (one degree of freedom is
 * counted for that trend all the same). Checked by hand (tests/unit/drift/parts.c). */
#include "beamtally/drift.h"
#include "drift_change.h"

#include <stdlib.h>

bt_status bt_along_find(const double *day, const double *value, size_t n, const bt_change *change,
                        bt_effect *effect, bt_error *error) {
  double *x = bt_new(n, sizeof *x), *flat = bt_new(n, sizeof *flat);
  bt_status status = x != NULL && flat != NULL ? BT_OK : bt_fail_memory(error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    x[i] = drift_change_shape(change, day[i]);
  if (status == BT_OK) /* all on one day: no trend beside it */
    status = bt_effect_find(flat, value, x, n, effect, error);
  free(x);
  free(flat);
  return status;
}
