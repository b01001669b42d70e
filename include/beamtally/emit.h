/* The emit room: findings to JSON and CSV. Numbers have at most 15 significant digits, do not
 * depend on the locale, and what is not there is null (JSON) or empty (CSV). */
#ifndef BEAMTALLY_EMIT_H
#define BEAMTALLY_EMIT_H

#include "beamtally/base.h"
#include "beamtally/finding.h"

#include <stdio.h>

/* `analyse --format json`: one document, "format":1. Points from `from` to before `to` are written
 * one by one, never held as a tree. BT_SYSTEM when the stream fails. */
bt_status bt_emit_analysis_json(const bt_unit_study *study, const bt_study *of, bt_time from,
                                bt_time to, FILE *stream, bt_error *error) BT_MUST_CHECK;

/* `analyse --format csv`: a header and one row a point from `from` to before `to`. */
bt_status bt_emit_analysis_csv(const bt_study *of, bt_time from, bt_time to, FILE *stream,
                               bt_error *error) BT_MUST_CHECK;

#endif
