/* The self-tests of a history, row by row: which failed, of what, and when one passed again. */
#include "report_sentences.h"

enum { COUNTED = 1U << BT_READING_SELFTEST_PASSED | 1U << BT_READING_SELFTEST_TOTAL };

const char *report_selftest_items(const bt_history *history, size_t row) {
  char *const *named = history->text[BT_FIELD_SELFTEST_FAILED];
  return named == NULL ? NULL : named[row];
}

bool report_selftest_is_counted(const bt_history *history, size_t row) {
  return (history->present[row] & COUNTED) == COUNTED;
}

bool report_selftest_is_failed(const bt_history *history, size_t row) {
  return report_selftest_items(history, row) != NULL ||
         (report_selftest_is_counted(history, row) &&
          history->reading[BT_READING_SELFTEST_PASSED][row] <
              history->reading[BT_READING_SELFTEST_TOTAL][row]);
}

bool report_is_selftest(const bt_history *history, size_t row) {
  return report_selftest_is_counted(history, row) || report_selftest_is_failed(history, row);
}

size_t report_selftest_failed_at(const bt_history *history, bt_time at) {
  for (size_t i = 0; i < history->n && history->at[i] <= at; i++)
    if (history->at[i] == at && report_selftest_is_failed(history, i))
      return i;
  return BT_NONE;
}

size_t report_selftest_passed_after(const bt_history *history, size_t row) {
  for (size_t i = row + 1; i < history->n; i++)
    if (report_is_selftest(history, i) && !report_selftest_is_failed(history, i))
      return i;
  return BT_NONE;
}
