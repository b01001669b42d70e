/* What the writers of an evidence folder share. */
#ifndef CASE_ROOM_H
#define CASE_ROOM_H

#include "emit_room.h"

/* Point of each check of the study, BT_NONE for a retest or an as-left reading; owned, NULL without
 * memory. */
size_t *emit_case_points(const bt_study *of);

/* The first segment that judges points from `begins` on. */
size_t emit_case_first_segment(const bt_case *one, const bt_study *of);

/* Rows are written in order of time: the first check of the study from `begins` on, and the end. */
void emit_case_rows(const bt_case *one, const bt_study *of, size_t *first, size_t *end);

/* "drawn", "room_condition", "too_few", "too_coarse". */
const char *emit_case_state(bt_chart_state state);

/* case_wrapped.c: words in lines of at most `width`, without the last one's end; they begin in that
 * column, and further lines are set in. */
void emit_case_wrapped(const char *words, size_t column, size_t indent, size_t width, FILE *stream);

/* case_readme_rules.c: the columns of signals.csv, from format 3 on (false: without memory); the
 * notices behind those of step 4. */
bool emit_case_signal_columns(const bt_case *one, FILE *stream);
void emit_case_further_rules(const bt_case *one, FILE *stream);

/* case_readme_more.c: parts of README.txt that formats 1 and 2 have not. */
void emit_case_numbers(const bt_case *one, FILE *stream);  /* of the log files */
bool emit_case_not_held(const bt_case *one, FILE *stream); /* false: without memory */
void emit_case_not_found_again(const bt_case *one, FILE *stream);

/* Cells. */
bt_cell emit_case_text(const char *text);
bt_cell emit_case_integer(int64_t integer);
bt_cell emit_case_real(bool there, double real);
bt_cell emit_case_day(bt_time at);
bt_cell emit_case_clock(bool there, bt_time at);

#endif
