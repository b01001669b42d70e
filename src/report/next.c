/* What to do next, in plain words: people and procedures to consult, never an adjustment. */
#include "report_room.h"

#include <stdlib.h>

static bool has_verdict(const bt_study *of, bt_verdict verdict) {
  return report_is_judged(of) && of->verdict == verdict;
}

static size_t count_of(const bt_unit_study *unit, bt_verdict verdict) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += has_verdict(unit->studies[i], verdict);
  return n;
}

/* The titles of the studies with that verdict, the first in capitals as titles are. */
static void names_of(const bt_unit_study *unit, bt_verdict verdict, bt_text *out) {
  size_t left = count_of(unit, verdict), named = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    if (!has_verdict(unit->studies[i], verdict))
      continue;
    left--;
    bt_text_format(out, "%s%s",
                   named == 0  ? ""
                   : left == 0 ? " and "
                               : ", ",
                   bt_characteristic_title(unit->studies[i]->characteristic));
    named++;
  }
}

static bool without_tolerance(const bt_study *of) {
  return report_is_judged(of) && of->tolerance.now == NULL;
}

static void tolerance_step(const bt_unit_study *unit, bt_text *out) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += without_tolerance(unit->studies[i]);
  if (n == 0)
    return;
  bt_text_add(out, "Enter the tolerance of ");
  size_t named = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    if (without_tolerance(unit->studies[i])) {
      named++;
      bt_text_format(out, "%s%s",
                     named == 1   ? ""
                     : named == n ? " and "
                                  : ", ",
                     bt_characteristic_title(unit->studies[i]->characteristic));
    }
  bt_text_add(out, " with its source: “beamtally settings”.");
}

static void signal_step(const bt_unit_study *unit, bt_verdict verdict, bt_text *out) {
  if (count_of(unit, verdict) == 0)
    return;
  names_of(unit, verdict, out);
  bt_text_add(out, verdict == BT_VERDICT_ALARM
                       ? ": look at what is shown with the responsible person, and tell the "
                         "manufacturer’s engineer."
                       : ": compare what is shown with what was done to the laser, and look "
                         "again after the next checks.");
}

static void baseline_step(const bt_unit_study *unit, bt_text *out) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_segment *segment = bt_study_now(unit->studies[i]);
    n += report_has_limits(segment) && segment->provisional && !segment->stated;
  }
  if (n == 0)
    return;
  bt_text_add(out, "Limits of ");
  report_count(out, n, "characteristic", "characteristics");
  bt_text_add(out, " are provisional: when the period they come from is known to be good, freeze "
                   "them with “beamtally baseline”.");
}

static void failing_step(const bt_unit_study *unit, bt_text *out) {
  if (count_of(unit, BT_VERDICT_OUT_OF_TOLERANCE) > 0) {
    names_of(unit, BT_VERDICT_OUT_OF_TOLERANCE, out);
    bt_text_add(
        out,
        ": the last check is outside tolerance: act by your failure procedure, as said above. ");
  }
  if (unit->selftest.logged && unit->selftest.last_failed)
    bt_text_add(out, "The last self-test failed. ");
}

static void current_step(const bt_unit_study *unit, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  if (!unit->has_check)
    bt_text_add(out,
                "The log holds no check up to then: import one with “beamtally import”, or ask "
                "for a later day.");
  else if (!unit->current)
    bt_text_format(out,
                   "The last check is of %s, and a newer one was expected: import the log with "
                   "“beamtally import”, or find out why none was made.",
                   report_short_date(unit->last_check, date));
}

static void data_step(const bt_unit_study *unit, bt_text *out) {
  if (unit->provenance.conflicts == 0)
    return;
  report_count(out, (uint64_t)unit->provenance.conflicts, "reading was", "readings were");
  bt_text_add(out, " held back because the ledger has others for the same time: find out which "
                   "are right.");
}

bool report_next_step(const bt_unit_study *unit, size_t i, bt_text *out) {
  size_t written = 0;
  for (int step = 0; step < 8; step++) {
    bt_text_clear(out);
    switch (step) {
    case 0:
      failing_step(unit, out);
      break;
    case 1:
      current_step(unit, out);
      break;
    case 2:
      signal_step(unit, BT_VERDICT_ALARM, out);
      break;
    case 3:
      signal_step(unit, BT_VERDICT_NOTICE, out);
      break;
    case 4:
      tolerance_step(unit, out);
      break;
    case 5:
      baseline_step(unit, out);
      break;
    case 6:
      data_step(unit, out);
      break;
    default:
      if (written == 0)
        bt_text_add(out, "Go on with the checks as your schedule says.");
      break;
    }
    if (out->length > 0 && written++ == i)
      return true;
  }
  return false;
}
