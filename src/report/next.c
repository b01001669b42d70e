/* What to do next, in plain words: people and procedures to consult, never an adjustment. */
#include "report_drift.h"

#include <stdlib.h>

static bool is_signal(bt_verdict verdict) {
  return verdict == BT_VERDICT_ALARM || verdict == BT_VERDICT_NOTICE;
}

/* Of a signal: one that nobody has concluded anything of, which has a step of its own else. */
static bool has_verdict(const bt_study *of, bt_verdict verdict) {
  return report_is_judged(of) && bt_study_shown_verdict(of) == verdict &&
         !(is_signal(verdict) && report_is_concluded(of));
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
                   unit->studies[i]->quantity.title);
    named++;
  }
}

static void tolerance_step(const bt_unit_study *unit, bt_text *out) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += report_wants_tolerance(unit, unit->studies[i]);
  if (n == 0)
    return;
  bt_text_format(out, "Enter the %s of ", n == 1 ? "tolerance" : "tolerances");
  size_t named = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    if (report_wants_tolerance(unit, unit->studies[i])) {
      named++;
      bt_text_format(out, "%s“%s”",
                     named == 1   ? ""
                     : named == n ? " and "
                                  : ", ",
                     unit->studies[i]->quantity.title);
    }
  bt_text_format(out, " with %s: “beamtally settings”.", n == 1 ? "its source" : "their sources");
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

/* What people have concluded something of asks for no engineer, and stays open all the same. */
static void concluded_step(const bt_unit_study *unit, bt_text *out) {
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    if (!report_is_judged(of) || !is_signal(bt_study_shown_verdict(of)) || !report_is_concluded(of))
      continue;
    const bt_episode *low = report_open_on(of, BT_LOW);
    bt_text_format(out, "%s%s", out->length > 0 ? "; " : "", of->quantity.title);
    report_add_concluded(of, low != NULL ? low : report_open_on(of, BT_HIGH), out);
  }
  if (out->length > 0)
    bt_text_add(out, ": open until 8 points in a row are without a signal; look whether what was "
                     "done has helped.");
}

/* The worst open episode that nobody has concluded anything of, the newest among equals; and how
 * many there are. */
static const bt_episode *undecided(const bt_unit_study *unit, const bt_study **whose, size_t *n) {
  const bt_episode *worst = NULL;
  bt_strength strongest = BT_QUIET;
  *n = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
      const bt_episode *episode = report_open_on(of, side);
      if (episode == NULL || report_disposition(of, episode) != NULL)
        continue;
      ++*n;
      bt_strength open = bt_study_open_strength_on(of, side);
      if (worst == NULL || open > strongest) {
        worst = episode;
        strongest = open;
        *whose = of;
      }
    }
  }
  return worst;
}

static void resolve_step(const bt_unit_study *unit, bt_text *out) {
  const bt_study *of = NULL;
  size_t n = 0;
  const bt_episode *episode = undecided(unit, &of, &n);
  if (episode == NULL)
    return;
  bt_text_format(
      out,
      "When it is known what episode %s was (%s, %s, %s side), write it down: “beamtally "
      "resolve %s --cause TEXT --action TEXT --by NAME”.",
      episode->id, of->quantity.title, report_open_word(of, episode),
      episode->side == BT_LOW ? "low" : "high", episode->id);
  if (n > 1) {
    bt_text_add(out, " ");
    report_count(out, n - 1, "other open episode waits", "other open episodes wait");
    bt_text_add(out, " for the same: “beamtally signals --open”.");
  }
}

static void baseline_step(const bt_unit_study *unit, bt_text *out) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_segment *segment = bt_study_now(unit->studies[i]);
    n += report_has_limits(segment) && segment->provisional && !segment->stated;
  }
  if (n == 0)
    return;
  if (n == 1)
    bt_text_add(out, "The limits of one characteristic");
  else
    bt_text_format(out, "The limits of %zu characteristics", n);
  bt_text_add(out, " are provisional: when the period they come from is known to be good, freeze "
                   "them with “beamtally baseline”.");
}

static void failing_step(const bt_unit_study *unit, bt_text *out) {
  if (count_of(unit, BT_VERDICT_OUT_OF_TOLERANCE) > 0) {
    names_of(unit, BT_VERDICT_OUT_OF_TOLERANCE, out);
    bt_text_add(
        out,
        ": the last check is outside tolerance: act by your failure procedure, as said above.");
  }
  if (unit->selftest.logged && unit->selftest.last_failed)
    bt_text_add(out, out->length > 0
                         ? " The last self-test failed as well."
                         : "The self-test: act by your failure procedure, as said above.");
}

static void current_step(const bt_unit_study *unit, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  if (!unit->has_check)
    bt_text_add(out, "No check is stored for this laser up to then: import its log of checks with "
                     "“beamtally import”.");
  else if (!unit->current)
    bt_text_format(out,
                   "The last check is of %s, and a newer one was expected: import the log with "
                   "“beamtally import”, or find out why none was made.",
                   report_short_date(unit->last_check, date));
}

/* Characteristics that nobody has read for long, while others were. */
static void stale_step(const bt_unit_study *unit, bt_text *out) {
  size_t n = 0, named = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += report_stale_days(unit, unit->studies[i]) > 0;
  if (n == 0 || !unit->current)
    return;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    if (report_stale_days(unit, of) == 0)
      continue;
    named++;
    bt_text_format(out, "%s%s (",
                   named == 1   ? ""
                   : named == n ? " and "
                                : ", ",
                   of->quantity.title);
    report_stale_words(unit, of, out);
    bt_text_add(out, ")");
  }
  bt_text_add(out, ": find out whether it is still read, and whether it reaches the log.");
}

static void data_step(const bt_unit_study *unit, bt_text *out) {
  if (unit->provenance.conflicts == 0)
    return;
  report_count(out, (uint64_t)unit->provenance.conflicts, "reading was", "readings were");
  bt_text_add(out, " held back because the ledger has others for the same time: find out which "
                   "are right, “beamtally conflicts” shows both.");
}

/* A failed self-test in a line that was refused is counted nowhere else. */
static void refused_step(const bt_unit_study *unit, bt_text *out) {
  if (unit->provenance.serious == 0)
    return;
  report_count(out, (uint64_t)unit->provenance.serious, "refused line holds", "refused lines hold");
  bt_text_format(
      out,
      " a failed self-test, a remark or a refill that no page counts: look at the log, mend the "
      "line%s and import it again; “beamtally conflicts --refused” lists %s.",
      unit->provenance.serious == 1 ? "" : "s", unit->provenance.serious == 1 ? "it" : "them");
}

/* Of the first characteristic that asks. */
static void refill_step(const bt_unit_study *unit, bt_text *out) {
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++)
    if (report_refill_doubt(unit, &unit->drift->drift[i], out))
      return;
}

bool report_next_step(const bt_unit_study *unit, size_t i, bt_text *out) {
  size_t written = 0;
  for (int step = 0; step < 14; step++) {
    bt_text_clear(out);
    switch (step) {
    case 0:
      failing_step(unit, out);
      break;
    case 1:
      current_step(unit, out);
      break;
    case 2:
      refused_step(unit, out);
      break;
    case 3:
      signal_step(unit, BT_VERDICT_ALARM, out);
      break;
    case 4:
      signal_step(unit, BT_VERDICT_NOTICE, out);
      break;
    case 5:
      resolve_step(unit, out);
      break;
    case 6:
      tolerance_step(unit, out);
      break;
    case 7:
      report_other_target_step(unit, out);
      break;
    case 8:
      baseline_step(unit, out);
      break;
    case 9:
      data_step(unit, out);
      break;
    case 10:
      stale_step(unit, out);
      break;
    case 11:
      refill_step(unit, out);
      break;
    case 12:
      concluded_step(unit, out);
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
