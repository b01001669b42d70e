/* What the emit room's writers share. */
#ifndef EMIT_ROOM_H
#define EMIT_ROOM_H

#include "beamtally/emit.h"

#include <jansson.h>

/* words.c: the fixed words of the forms, the same in JSON and CSV. */
const char *emit_strength(bt_strength strength);
const char *emit_side(bt_side side);

/* Points [*first, *end) of the study that lie in [from, to). */
void emit_span(const bt_study *of, bt_time from, bt_time to, size_t *first, size_t *end);

/* The moment of point i as the log wrote it: with or without a time of day. */
const char *emit_at(const bt_study *of, size_t i, char *buffer);

/* False for the radius and T², which have one limit, and neither zones, ranges, sums nor averages.
 */
bool emit_has_zones(const bt_study *of);

/* Point i has a within-day spread: the mean of several checks, and no radius or T². */
bool emit_has_spread(const bt_study *of, size_t i);

/* table.c: a text as a cell of CSV, in quotation marks where it needs them. A failure stays with
 * the stream. */
void emit_csv_text(const char *text, FILE *stream);

/* tree.c: parts of a jansson tree. Setters steal the value, accept a NULL one and fail on it. */
bool emit_put(json_t *object, const char *key, json_t *value);
bool emit_put_number(json_t *object, const char *key, double value);
/* The value, or NULL (freed) when it could not be made whole. */
json_t *emit_whole(json_t *value, bool made);
json_t *emit_day(bt_time time);
json_t *emit_day_of(double day);             /* days from 1970-01-01 */
json_t *emit_day_if(bool there, double day); /* null where it isn't there, and so below */
json_t *emit_number_if(bool there, double value);
json_t *emit_count(size_t n);
json_t *emit_moment(bt_time time);
json_t *emit_point_at(const bt_study *of, size_t i);
json_t *emit_rules(unsigned bits);

/* analysis_segments.c: zones, ranges, sums and averages. The rest is null where there is none. */
bool emit_has_limits(const bt_segment *segment);
json_t *emit_baseline(const bt_study *of, const bt_segment *segment);
json_t *emit_individuals(const bt_segment *segment);
json_t *emit_moving_range(const bt_segment *segment);
json_t *emit_segments(const bt_study *of);

json_t *emit_cusum(const bt_study *of); /* analysis_cusum.c; null without limits */

/* What is said of a whole study: each null where it isn't there. */
json_t *emit_alarm(const bt_segment *segment);
json_t *emit_capability(const bt_study *of);
json_t *emit_capability_reason(const bt_study *of);
json_t *emit_vector(const bt_segment *segment);
json_t *emit_within(const bt_segment *segment);
json_t *emit_stability(const bt_segment *segment);
json_t *emit_from_first(const bt_study *of);
json_t *emit_left_out(const bt_left_out *of);
json_t *emit_other_target(const bt_study *of);
json_t *emit_refit(const bt_segment *segment);
json_t *emit_episodes(const bt_study *of);
json_t *emit_dispositions_left(const bt_study *of);

#endif
