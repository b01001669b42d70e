/* What the emit room's writers share. */
#ifndef EMIT_ROOM_H
#define EMIT_ROOM_H

#include "beamtally/emit.h"

/* words.c: the fixed words of the forms, the same in JSON and CSV. */
const char *emit_strength(bt_strength strength);
const char *emit_side(bt_side side);
const char *emit_rule(unsigned bit); /* "WE1" .. "CUSUM", "TOLERANCE" */

/* Points [*first, *end) of the study that lie in [from, to). */
void emit_span(const bt_study *of, bt_time from, bt_time to, size_t *first, size_t *end);

/* The moment of point i as the log wrote it: with or without a time of day. */
const char *emit_at(const bt_study *of, size_t i, char *buffer);

#endif
