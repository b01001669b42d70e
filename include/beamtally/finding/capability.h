/* Capability against the tolerance in force. */
#ifndef BEAMTALLY_FINDING_CAPABILITY_H
#define BEAMTALLY_FINDING_CAPABILITY_H

#include "beamtally/base.h"

/* An index of capability against the tolerance in force; all 0 where it isn't given. */
typedef struct bt_index {
  bool given;
  double value, low, high; /* 95 % interval */
} bt_index;

typedef enum bt_capability_use {
  BT_CAPABILITY_GIVEN,
  BT_CAPABILITY_NO_TOLERANCE,
  BT_CAPABILITY_NO_BASELINE,    /* none, or under 30 points (n) */
  BT_CAPABILITY_OUT_OF_CONTROL, /* a signal is open */
  BT_CAPABILITY_OTHER_TARGET,   /* the newest points hold another target energy */
  BT_CAPABILITY_NOT_NORMAL      /* a radius, T² or a room condition */
} bt_capability_use;

typedef struct bt_capability {
  bt_capability_use use;
  size_t n;    /* raw readings that Pp and Ppk come from: single checks since the newest baseline
                  began, Phase I and II; retests and as-left ones left out */
  size_t days; /* that they were made on. Readings of one day are alike: where days have several,
                  the intervals rest on so many, not on n; 0: as many as n */
  double mean, overall_s;
  size_t baseline_n;         /* points that the within sigma comes from */
  double within_sigma;       /* of the baseline's charted points: no sigma of single raw readings
                                where these are means of several checks or moved to the mean fill
                                age */
  double within_df;          /* 0: then Cp and Cpk are not given */
  bt_index cp, cpk, pp, ppk; /* cp and pp only for a two-sided tolerance */
} bt_capability;

#endif
