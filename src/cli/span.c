/* The span that analyse and chart show. */
#include "cli.h"

bt_status cli_check_span(const bt_unit_study *study, bt_time to, bt_error *error) {
  char last[BT_TIME_TEXT], first[BT_TIME_TEXT];
  if (!study->has_check || to > study->first_check)
    return BT_OK;
  return bt_fail(
      error, BT_NOTFOUND,
      "there is nothing to show: --to is %s, and the log of %s begins on %s; give a later "
      "day",
      bt_time_day_iso(to - 1, last), study->history.unit,
      bt_time_day_iso(study->first_check, first));
}
