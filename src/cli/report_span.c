/* A month before any log begins is a slip of the pen, as one that has not begun is. */
#include "pages.h"

/* First and last check of the unit; *first stays as it is without any. */
static bt_status add_span(bt_ledger *ledger, const char *unit, bt_time *first, bt_time *last,
                          bt_error *error) {
  bt_history history = {0};
  bt_status status = bt_ledger_history(ledger, unit, INT64_MAX, &history, error);
  if (status == BT_OK && history.n > 0) {
    *first = history.at[0] < *first ? history.at[0] : *first;
    *last = history.at[history.n - 1] > *last ? history.at[history.n - 1] : *last;
  }
  bt_history_free(&history);
  return status;
}

bt_status pages_month_has_begun(bt_ledger *ledger, char *const *units, size_t n, bt_time month,
                                bool *begun, bt_error *error) {
  bt_time first = INT64_MAX, last = INT64_MIN, end = bt_month_start(month, 1);
  char from[BT_TIME_TEXT], to[BT_TIME_TEXT];
  bt_status status = BT_OK;
  *begun = false;
  for (size_t i = 0; i < n && status == BT_OK && !*begun; i++) {
    status = add_span(ledger, units[i], &first, &last, error);
    *begun = first < end;
  }
  *begun = *begun || first == INT64_MAX; /* no check at all: the report says so */
  bt_civil civil = bt_civil_of(month);
  if (status == BT_OK && !*begun)
    cli_say("--month %04d-%02d is before the log begins: its checks are of %s to %s", civil.year,
            civil.month, bt_time_day_iso(first, from), bt_time_day_iso(last, to));
  return status;
}
