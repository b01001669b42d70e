/* Rows of the list of what failed in a case: checks outside tolerance, and self-tests. */
#include "report_case.h"

enum { COLUMNS = REPORT_CASE_FAILED_COLUMNS };
static const double at[COLUMNS] = {0, 0.17, 0.31, 0.42, 0.56, 0.78};
static const char *const heads[COLUMNS] = {
    "Characteristic", "When", "Reading", "Tolerance", "What came of it", "Line of the log"};

void report_case_failed_head(case_pages *on) {
  report_case_row(on, at, heads, COLUMNS, BT_STYLE_TABLE_HEAD, BT_INK_SOFT);
}

void report_case_failed_row(case_pages *on, const char *const *cells) {
  report_case_row(on, at, cells, COLUMNS, BT_STYLE_TABLE, BT_INK_TEXT);
}

void report_case_left_out(case_pages *on, const char *title, size_t n, const char *where) {
  bt_text words = {0};
  if (n == 0)
    return;
  bt_text_format(&words, "%s: %zu earlier %s; see %s.", title, n, n == 1 ? "one" : "ones", where);
  report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_SOFT, bt_text_get(&words));
  report_text_end(on->builder, &words);
}

/* Whether a correction of a check of that time stands in the record: what it took the place of has
 * the line. */
static bool is_corrected(const bt_case *one, bt_time time) {
  for (size_t c = 0; c < one->unit->corrections_n; c++)
    if (!one->unit->corrections[c].of_event && one->unit->corrections[c].time == time &&
        one->unit->corrections[c].kind != BT_READ_AGAIN)
      return true;
  return false;
}

void report_case_line_words(const bt_case *one, bt_time time, int64_t source, int64_t line,
                            bt_text *out) {
  const char *file = bt_case_file(one, source);
  if (file != NULL && line > 0)
    bt_text_format(out, "%s, line %lld", file, (long long)line);
  else
    bt_text_add(out, is_corrected(one, time) ? "corrected: see superseded_checks.csv"
                                             : "typed in by hand");
}
