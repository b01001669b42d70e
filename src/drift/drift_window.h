/* Which events move the levels (window.c). */
#ifndef DRIFT_WINDOW_H
#define DRIFT_WINDOW_H

#include "beamtally/series.h"

bool drift_moves_levels(bt_event_kind kind);

#endif
