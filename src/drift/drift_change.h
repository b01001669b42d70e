/* What the two files of bt_change_find share. */
#ifndef DRIFT_CHANGE_H
#define DRIFT_CHANGE_H

#include "beamtally/finding.h"
#include "drift_hinge.h"

/* change_dates.c: the likelihood ratio of a step before value k; 0 where none may be. */
double drift_step_ratio(const drift_hinge *of, size_t k);

/* change_dates.c: the band of dates of a change whose step, hinge and kind are set; all n ramps of
 * drift_hinge_ramps. */
bt_status drift_change_dates(const drift_hinge *of, const drift_ramp *ramp, size_t n,
                             bt_change *change, bt_error *error) BT_MUST_CHECK;

#endif
