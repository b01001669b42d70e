/* A check that was repeated at once: what failed, when, and what the retest read. Without it a page
 * would show only that the last check is inside tolerance. */
#include "report_episodes.h"

static bool is_retest(const bt_study *of, size_t i) {
  return (of->checks.flags[i] & BT_POINT_RETEST) != 0;
}

static bool is_outside(const bt_study *of, size_t i) {
  return (of->checks.flags[i] & BT_POINT_OUT_OF_TOLERANCE) != 0;
}

bool report_retest_of(const bt_study *of, size_t check, report_retest *found) {
  size_t n = of->checks.n;
  if (check >= n || of->characteristic == BT_TRACKER_VECTOR)
    return false;
  *found = (report_retest){.first = check, .last = check};
  while (found->first > 0 && is_retest(of, found->first))
    found->first--;
  while (found->last + 1 < n && is_retest(of, found->last + 1))
    found->last++;
  found->failed = is_outside(of, found->first);
  return found->last > found->first;
}

size_t report_failing_check(const bt_study *of, const report_retest *found) {
  for (size_t i = found->first; i <= found->last && i < of->checks.n; i++)
    if (is_outside(of, i))
      return i;
  return BT_NONE;
}

static void add_value(const bt_study *of, size_t check, bt_text *out) {
  double value = of->checks.raw[check];
  bt_text_add(out, " (");
  report_add_value(out, &of->quantity, value, report_reading_decimals(of, value));
  bt_text_add(out, ")");
}

static void add_clock(const bt_study *of, size_t check, bt_text *out) {
  bt_civil civil = bt_civil_of(of->checks.at[check]);
  bt_text_format(out, "%02d:%02d", civil.hour, civil.minute);
}

/* "retest at 07:45 failed (0.96), the last at 08:05 inside tolerance (0.9981)": the first that did,
 * of a check that did not. */
static void add_failed_retest(const bt_study *of, const report_retest *found, size_t failed,
                              bt_text *out) {
  bt_text_add(out, "retest at ");
  add_clock(of, failed, out);
  bt_text_add(out, " failed");
  add_value(of, failed, out);
  if (failed == found->last)
    return;
  bt_text_add(out, ", the last at ");
  add_clock(of, found->last, out);
  bt_text_add(out, is_outside(of, found->last) ? " as well" : " inside tolerance");
  add_value(of, found->last, out);
}

/* "retest at 08:05 inside tolerance (0.9981)"; after signals alone nothing failed that it could
 * pass. */
static void add_outcome(const bt_study *of, const report_retest *found, bt_text *out) {
  size_t n = found->last - found->first, failed = report_failing_check(of, found);
  if (!found->failed && failed != BT_NONE) {
    add_failed_retest(of, found, failed, out);
    return;
  }
  if (n > 1)
    bt_text_format(out, "%zu retests, the last at ", n);
  else
    bt_text_add(out, "retest at ");
  add_clock(of, found->last, out);
  if (is_outside(of, found->last))
    bt_text_add(out, " outside tolerance as well");
  else if (found->failed)
    bt_text_add(out, " inside tolerance");
  add_value(of, found->last, out);
}

void report_retest_at(const bt_study *of, const report_retest *found, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  if (report_has_clock(of->checks.at[found->first])) {
    bt_text_add(out, "at ");
    add_clock(of, found->first, out);
    bt_text_add(out, " ");
  }
  bt_text_format(out, "on %s", report_short_date(of->checks.at[found->first], date));
  add_value(of, found->first, out);
  if (found->last > found->first) {
    bt_text_add(out, ", ");
    add_outcome(of, found, out);
  }
}

void report_retest_words(const bt_study *of, const report_retest *found, bt_text *out) {
  bt_text_add(out, found->failed ? "failed " : "beyond its limits ");
  report_retest_at(of, found, out);
}

const char *report_retest_brief(const bt_study *of, size_t check) {
  report_retest found;
  if (!report_retest_of(of, check, &found) || !found.failed)
    return "";
  return is_outside(of, found.last) ? "; retest outside" : "; retest inside";
}

void report_retest_told(const bt_study *of, bt_text *out) {
  report_retest found;
  if (of->checks.n == 0 || !is_retest(of, of->checks.n - 1) ||
      !report_retest_of(of, of->checks.n - 1, &found))
    return;
  bt_text_add(out, ", a retest at ");
  add_clock(of, found.last, out);
  bt_text_add(out, ": the check at ");
  add_clock(of, found.first, out);
  bt_text_add(out, found.failed ? " failed" : " lay beyond the limits");
  add_value(of, found.first, out);
}
