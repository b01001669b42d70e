/* Results: one small struct a method, and the studies that gather those that ran.
 *
 * A finding keeps everything a reader may ask for: points, limits, n, what was left out and why.
 * `report` and `emit` print what stands here and compute nothing.
 *
 * Words. A *signal* is a rule or limit broken at a point. It is a *notice* (the classical rules) or
 * an *alarm* (tolerance failed, or a budgeted limit). An *episode* is a run of signals of one
 * characteristic and side with fewer than 8 quiet points between them. *Phase I* is the baseline
 * period, *Phase II* all after it. Sides: high and low, each judged on its own.
 *
 * Ownership: a study owns all that it points to; its free function accepts NULL. */
#ifndef BEAMTALLY_FINDING_H
#define BEAMTALLY_FINDING_H

#include "beamtally/finding/baseline.h"
#include "beamtally/finding/capability.h"
#include "beamtally/finding/case.h"
#include "beamtally/finding/cause.h"
#include "beamtally/finding/change.h"
#include "beamtally/finding/chart.h"
#include "beamtally/finding/drift.h"
#include "beamtally/finding/fills.h"
#include "beamtally/finding/forecast.h"
#include "beamtally/finding/rule.h"
#include "beamtally/finding/run_length.h"
#include "beamtally/finding/study.h"
#include "beamtally/finding/unit.h"

#endif
