/* checks.csv of an evidence folder.
 *
 * R1 Every check from the case's beginning to its end that has the characteristic is there, with
 *    its role: retests and as-left readings are shown, and enter no point.
 * R2 A point stands in the row of its first check; `baseline` tells whether it entered its
 *    baseline, or why not; `not_judged` why no rule judges it.
 * R3 Numbers read back as the same numbers. */
#include "case_room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const columns[] = {
    "characteristic", "date",         "time",     "sequence",     "reading",       "tolerance_low",
    "tolerance_high", "role",         "fill",     "stretch",      "fill_age_days", "fill_age_known",
    "target_mj",      "segment",      "baseline", "point_checks", "point_reading", "point_age_days",
    "point_value",    "moving_range", "judged",   "not_judged",   "source",        "file",
    "line",           "digest",
};
enum { COLUMNS = sizeof columns / sizeof *columns, BASELINE_TEXT = 40 };

static const char *role_of(uint16_t flags) {
  bool retest = (flags & BT_POINT_RETEST) != 0, as_left = (flags & BT_POINT_AS_LEFT) != 0;
  return retest && as_left ? "retest as_left" : retest ? "retest" : as_left ? "as_left" : "charted";
}

/* R2. */
static const char *baseline_of(const bt_study *of, size_t p, char *buffer) {
  int32_t s = of->points.segment[p];
  if (s < 0 || p >= of->segments[s].phase2 || of->segments[s].state != BT_CHART_DRAWN)
    return NULL;
  const bt_segment *segment = &of->segments[s];
  if ((of->points.flags[p] & BT_POINT_SCREENED) == 0)
    return of->judged[p] == 2                                   ? "used"
           : (of->points.flags[p] & BT_POINT_OTHER_TARGET) != 0 ? "other_target"
                                                                : "fill_age_unknown";
  for (size_t e = 0; e < segment->exclusions_n; e++)
    if (segment->exclusions[e].point == p && segment->exclusions[e].pass > 0) {
      (void)snprintf(buffer, BASELINE_TEXT, "beyond_limit_pass_%d", segment->exclusions[e].pass);
      return buffer;
    }
  return "outside_tolerance";
}

/* In the order in which bt_study_left_out counts them. */
static const char *why_not(const bt_study *of, size_t p) {
  int32_t s = of->points.segment[p];
  if (of->judged[p] != 0)
    return NULL;
  if (s < 0 || of->segments[s].state != BT_CHART_DRAWN)
    return "no_baseline";
  if ((of->points.flags[p] & BT_POINT_OTHER_TARGET) != 0)
    return "other_target";
  return (of->points.flags[p] & BT_POINT_TOO_OLD) != 0 ? "fill_too_old" : "fill_age_unknown";
}

/* Row of the history that check i of the study came from, looked for from `from` on. */
static size_t row_of(const bt_history *history, const bt_series *checks, size_t i, size_t from) {
  while (from < history->n &&
         (history->at[from] != checks->at[i] || history->sequence[from] != checks->sequence[i]))
    from++;
  return from;
}

static void point_cells(const bt_study *of, size_t p, char *buffer, bt_cell *cells) {
  static const char *const judged[] = {"no", "rules", "limit"};
  const bt_series *points = &of->points;
  int32_t s = points->segment[p];
  bool aged = (points->flags[p] & BT_POINT_HAS_AGE) != 0;
  cells[13] = s < 0 ? emit_case_text(NULL) : emit_case_integer(s + 1);
  cells[14] = emit_case_text(baseline_of(of, p, buffer));
  cells[15] = emit_case_integer(points->checks[p]);
  cells[16] = emit_case_real(true, points->raw[p]);
  cells[17] = emit_case_real(aged, points->fill_age_days[p]);
  cells[18] = emit_case_real(true, points->value[p]);
  cells[19] = emit_case_real(of->has_range[p] != 0, of->moving_range[p]);
  cells[20] = emit_case_text(judged[of->judged[p]]);
  cells[21] = emit_case_text(why_not(of, p));
}

static bt_status put_check(const bt_case *one, const bt_study *of, size_t i, size_t row, size_t p,
                           const bt_table_sink *sink, bt_error *error) {
  const bt_series *checks = &of->checks;
  bt_cell cells[COLUMNS] = {0};
  char buffer[BASELINE_TEXT];
  const bt_tolerance *tolerance = bt_settings_tolerance(
      &one->unit->settings, one->unit->history.unit, of->characteristic, checks->at[i]);
  bool clock = (checks->flags[i] & BT_POINT_NO_CLOCK) == 0;
  cells[0] = emit_case_text(of->quantity.key);
  cells[1] = emit_case_day(checks->at[i]);
  cells[2] = emit_case_clock(clock, checks->at[i]);
  cells[3] = emit_case_integer(checks->sequence[i]);
  cells[4] = emit_case_real(true, checks->raw[i]);
  if (tolerance != NULL) {
    cells[5] = emit_case_real(tolerance->has_low, tolerance->low);
    cells[6] = emit_case_real(tolerance->has_high, tolerance->high);
  }
  cells[7] = emit_case_text(role_of(checks->flags[i]));
  cells[8] = emit_case_integer(checks->fill[i] + 1);
  cells[9] = emit_case_integer(one->stretch[row] + 1);
  cells[10] = emit_case_real(true, one->age_days[row]);
  cells[11] = emit_case_text(one->age_known[row] ? "yes" : "no");
  cells[12] = emit_case_real(checks->target_mj[i] > 0, checks->target_mj[i]);
  if (p != BT_NONE)
    point_cells(of, p, buffer, cells);
  cells[22] = emit_case_integer(checks->source[i]);
  cells[23] = emit_case_text(bt_case_file(one, checks->source[i]));
  cells[24] = checks->line[i] > 0 ? emit_case_integer(checks->line[i]) : emit_case_text(NULL);
  cells[25] = emit_case_text(one->digest[row]);
  return sink->row(sink->context, cells, COLUMNS, error);
}

static bt_status put_study(const bt_case *one, const bt_study *of, const bt_table_sink *sink,
                           bt_error *error) {
  size_t first, end, row = 0;
  size_t *point = emit_case_points(of);
  bt_status status = point == NULL ? bt_fail_memory(error) : BT_OK;
  emit_case_rows(one, of, &first, &end);
  for (size_t i = first; i < end && status == BT_OK; i++) {
    row = row_of(&one->unit->history, &of->checks, i, row);
    bool begins = point[i] != BT_NONE && of->checks.at[i] == of->points.at[point[i]] &&
                  of->checks.sequence[i] == of->points.sequence[point[i]];
    status = row == one->unit->history.n
                 ? bt_fail(error, BT_DAMAGED, "a check of the study is not in the history")
                 : put_check(one, of, i, row, begins ? point[i] : BT_NONE, sink, error);
  }
  free(point);
  return status;
}

bt_status bt_emit_case_checks(const bt_case *one, FILE *stream, bt_error *error) {
  bt_table_writer writer;
  bt_error closing = {0};
  bt_table_sink sink = bt_table_writer_open(&writer, stream, false);
  bt_status status = sink.columns(sink.context, columns, COLUMNS, error);
  for (size_t s = 0; s < one->unit->studies_n && status == BT_OK; s++)
    status = put_study(one, one->unit->studies[s], &sink, error);
  bt_status closed = bt_table_writer_close(&writer, status == BT_OK ? error : &closing);
  return status == BT_OK ? closed : status;
}
