/* What files share that find a change, or go by one that was found. */
#ifndef DRIFT_CHANGE_H
#define DRIFT_CHANGE_H

#include "beamtally/finding.h"
#include "drift_hinge.h"

/* change.c: how much of the change has come by that day: days since the hinge's onset, or 0 before
 * the step and 1 after. */
double drift_change_shape(const bt_change *change, double day);

/* change_dates.c: the likelihood ratio of a step before value k; 0 where none may be. */
double drift_step_ratio(const drift_hinge *of, size_t k);

/* change_dates.c: the band of dates of a change whose step, hinge and kind are set; all n ramps of
 * drift_hinge_ramps. */
bt_status drift_change_dates(const drift_hinge *of, const drift_ramp *ramp, size_t n,
                             bt_change *change, bt_error *error) BT_MUST_CHECK;

#endif
