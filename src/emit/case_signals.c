/* signals.csv and missing.csv of an evidence folder. */
#include "case_room.h"

#include <string.h>

static const char *const columns[] = {"characteristic", "date",  "time",  "sequence", "side",
                                      "strength",       "rules", "value", "z",        "cusum",
                                      "episode"};
enum { COLUMNS = sizeof columns / sizeof *columns };

static const char *episode_of(const bt_study *of, bt_side side, size_t p) {
  for (size_t e = 0; e < of->episodes_n; e++)
    if (of->episodes[e].side == side && of->episodes[e].first <= p && of->episodes[e].last >= p)
      return of->episodes[e].id;
  return NULL;
}

static bt_status put_signal(const bt_study *of, size_t p, bt_side side, const bt_table_sink *sink,
                            bt_error *error) {
  const bt_series *points = &of->points;
  bt_cell cells[COLUMNS] = {0};
  bt_text rules = {0};
  bt_rules bits = of->rules[side][p];
  bool zones = of->judged[p] != 0 && emit_has_zones(of);
  bt_rule_keys(bits, " ", &rules);
  cells[0] = emit_case_text(of->quantity.key);
  cells[1] = emit_case_day(points->at[p]);
  cells[2] = emit_case_clock((points->flags[p] & BT_POINT_NO_CLOCK) == 0, points->at[p]);
  cells[3] = emit_case_integer(points->sequence[p]);
  cells[4] = emit_case_text(emit_side(side));
  cells[5] = emit_case_text(emit_strength(bt_rules_strength(bits)));
  cells[6] = emit_case_text(bt_text_get(&rules));
  cells[7] = emit_case_real(true, points->value[p]);
  cells[8] = emit_case_real(zones, of->z[p]);
  cells[9] = emit_case_real(zones && of->judged[p] == 1,
                            side == BT_HIGH ? of->cusum.high[p] : of->cusum.low[p]);
  cells[10] = emit_case_text(episode_of(of, side, p));
  bt_status status =
      bt_text_ok(&rules) ? sink->row(sink->context, cells, COLUMNS, error) : bt_fail_memory(error);
  bt_text_free(&rules);
  return status;
}

bt_status bt_emit_case_signals(const bt_case *one, FILE *stream, bt_error *error) {
  bt_table_writer writer;
  bt_error closing = {0};
  bt_table_sink sink = bt_table_writer_open(&writer, stream, false);
  bt_status status = sink.columns(sink.context, columns, COLUMNS, error);
  for (size_t s = 0; s < one->unit->studies_n && status == BT_OK; s++) {
    const bt_study *of = one->unit->studies[s];
    size_t end = bt_series_from(&of->points, one->to);
    for (size_t p = bt_series_from(&of->points, one->from); p < end; p++)
      for (int side = BT_LOW; side < BT_SIDES && status == BT_OK; side++)
        if (of->rules[side][p] != 0)
          status = put_signal(of, p, (bt_side)side, &sink, error);
  }
  bt_status closed = bt_table_writer_close(&writer, status == BT_OK ? error : &closing);
  return status == BT_OK ? closed : status;
}

bt_status bt_emit_case_missing(const bt_case *one, FILE *stream, bt_error *error) {
  static const char *const names[] = {"date", "weekday"};
  static const char *const days[] = {"",         "Monday", "Tuesday",  "Wednesday",
                                     "Thursday", "Friday", "Saturday", "Sunday"};
  bt_table_writer writer;
  bt_error closing = {0};
  bt_table_sink sink = bt_table_writer_open(&writer, stream, false);
  bt_status status = sink.columns(sink.context, names, 2, error);
  for (size_t i = 0; i < one->missing_n && status == BT_OK; i++) {
    const bt_cell cells[] = {emit_case_day(one->missing[i]),
                             emit_case_text(days[bt_weekday_of(one->missing[i])])};
    status = sink.row(sink.context, cells, 2, error);
  }
  bt_status closed = bt_table_writer_close(&writer, status == BT_OK ? error : &closing);
  return status == BT_OK ? closed : status;
}
