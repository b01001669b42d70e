/* What the files of the alarm limits share. */
#ifndef SPC_ALARM_H
#define SPC_ALARM_H

#include "spc_estimate.h"

/* k of an alarm's CUSUM. */
#define SPC_ALARM_K 0.5

/* Sets alarms->low and high for alarms->limit and h (0: the chart has none of it). */
bt_status spc_alarm_range(const spc_baselines *baselines, bt_alarm_limits *alarms,
                          bt_error *error) BT_MUST_CHECK;

/* Phase II limit of T² (vector.c) at a false-alarm probability a point. */
bt_status spc_vector_limit(const bt_vector *vector, double probability, double *limit,
                           bt_error *error) BT_MUST_CHECK;

/* Sets t2_limit, low and high. */
bt_status spc_alarm_vector(const bt_vector *vector, bt_alarm_limits *alarms,
                           bt_error *error) BT_MUST_CHECK;

#endif
