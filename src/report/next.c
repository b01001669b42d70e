/* What to do next, in plain words: who, by when where the finding supports a day, and what: people
 * and procedures to consult, never an adjustment. Roles are the usual ones; local rules assign
 * them.
 */
#include "report_next.h"

#include <stdlib.h>

const char *const report_by_role = "roles as your local rules have them";

bt_time report_asks_since(const bt_unit_study *unit) {
  enum { QUARTER = 92 }; /* days: our own choice, no source */
  return (unit->has_check ? unit->last_check : unit->until) - QUARTER * BT_DAY;
}

static void tolerance_step(const bt_unit_study *unit, bt_text *out) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += report_wants_tolerance(unit, unit->studies[i]);
  if (n == 0)
    return;
  bt_text_format(out, "Responsible person: enter the %s of ", n == 1 ? "tolerance" : "tolerances");
  size_t named = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    if (report_wants_tolerance(unit, unit->studies[i])) {
      bt_text_format(out, "%s“%s”", report_list_join(named++, n), unit->studies[i]->quantity.title);
    }
  bt_text_format(out, " with %s: “beamtally settings”.", n == 1 ? "its source" : "their sources");
}

static void failing_step(const bt_unit_study *unit, bt_text *out) {
  if (report_add_flagged(unit, BT_VERDICT_OUT_OF_TOLERANCE, false, out) > 0)
    bt_text_add(
        out,
        ": the last check is outside tolerance: at once, act by your failure procedure, as said "
        "above.");
  if (unit->selftest.logged && unit->selftest.last_failed)
    bt_text_add(out, out->length > 0
                         ? " The last self-test failed as well."
                         : "The self-test failed: at once, act by your failure procedure, as said "
                           "above.");
}

/* Characteristics that nobody has read for long, while others were. */
static void stale_step(const bt_unit_study *unit, bt_text *out) {
  size_t n = 0, named = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += unit->studies[i]->stale_days > 0;
  if (n == 0 || !unit->current)
    return;
  bt_text_add(out, "Technician: ");
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    if (of->stale_days == 0)
      continue;
    bt_text_format(out, "%s%s (", report_list_join(named++, n), of->quantity.title);
    report_stale_words(unit, of, out);
    bt_text_add(out, ")");
  }
  bt_text_add(out, ": find out whether it is still read, and whether it reaches the log.");
}

static void data_step(const bt_unit_study *unit, bt_text *out) {
  if (unit->provenance.conflicts == 0)
    return;
  bt_text_add(out, "Technician: ");
  report_count(out, (uint64_t)unit->provenance.conflicts, "reading was", "readings were");
  bt_text_add(out, " held back because the ledger has others for the same time: find out which "
                   "are right, “beamtally conflicts” shows both.");
}

/* A failed self-test in a line that was refused is counted nowhere else. */
static void refused_step(const bt_unit_study *unit, bt_text *out) {
  const bt_provenance *from = &unit->provenance;
  bool one = from->with_loss == 1;
  if (from->with_loss == 0)
    return;
  bt_text_add(out, "Technician: ");
  report_count(out, (uint64_t)from->with_loss, "refused line", "refused lines");
  report_of_several(from->with_loss, from->lost_of_several, ", ", ",", out);
  bt_text_add(out, " ");
  bt_text_add(out, one ? "holds " : "hold ");
  bt_lost_words(from->lost, one ? "and" : "or", out);
  bt_text_format(out,
                 " that no page counts: “beamtally conflicts --refused” lists %s and says how "
                 "to mend %s.",
                 one ? "it" : "them", one ? "it" : "them");
}

/* Of the first characteristic that asks. */
static void refill_step(const bt_unit_study *unit, bt_text *out) {
  for (size_t i = 0; unit->drift != NULL && i < unit->drift->n; i++)
    if (report_refill_doubt(&unit->drift->drift[i], out))
      return;
}

/* In the order in which they stand. */
typedef enum step {
  FAILING_STEP,
  MEASURE_STEP,
  CURRENT_STEP,
  GAS_AGE_STEP,
  REFUSED_STEP,
  ALARM_STEP,
  CONCLUDED_STEP,
  PASSED_SELFTEST_STEP,
  PASSED_RETEST_STEP,
  FAR_STEP,
  DRIFT_STEP,
  METER_STEP,
  NOTICE_STEP,
  ENDED_STEP,
  RESOLVE_STEP,
  SECOND_METER_STEP,
  TOLERANCE_STEP,
  OTHER_TARGET_STEP,
  DRIFTING_BASELINE_STEP,
  BASELINE_STEP,
  DATA_STEP,
  STALE_STEP,
  REFILL_STEP,
  STEPS
} step;

/* That step, or nothing where it is not needed. Long, as each is a case of its own. */
static void add_step(const bt_unit_study *unit, bt_time since, step which, bool brief,
                     bt_text *out) {
  switch (which) {
  case FAILING_STEP:
    failing_step(unit, out);
    break;
  case MEASURE_STEP:
    report_measure_step(unit, brief, out);
    break;
  case CURRENT_STEP:
    report_current_step(unit, brief, out);
    break;
  case GAS_AGE_STEP:
    report_gas_age_step(unit, brief, out);
    break;
  case REFUSED_STEP:
    refused_step(unit, out);
    break;
  case ALARM_STEP:
    report_signal_step(unit, BT_VERDICT_ALARM, brief, out);
    break;
  case CONCLUDED_STEP:
    report_concluded_step(unit, out);
    break;
  case PASSED_SELFTEST_STEP:
    report_selftest_step(unit, brief, out);
    break;
  case PASSED_RETEST_STEP:
    report_retest_step(unit, brief, out);
    break;
  case FAR_STEP:
    report_far_step(unit, since, out);
    break;
  case DRIFT_STEP:
    report_drift_step(unit, out);
    break;
  case METER_STEP:
    report_meter_step(unit, since, brief, out);
    break;
  case NOTICE_STEP:
    report_signal_step(unit, BT_VERDICT_NOTICE, brief, out);
    break;
  case ENDED_STEP:
    report_ended_step(unit, since, brief, out);
    break;
  case RESOLVE_STEP:
    report_resolve_step(unit, brief, out);
    break;
  case SECOND_METER_STEP:
    report_second_meter_step(unit, brief, out);
    break;
  case TOLERANCE_STEP:
    tolerance_step(unit, out);
    break;
  case OTHER_TARGET_STEP:
    report_other_target_step(unit, out);
    break;
  case DRIFTING_BASELINE_STEP:
    report_baseline_steps(unit, true, out);
    break;
  case BASELINE_STEP:
    report_baseline_steps(unit, false, out);
    break;
  case DATA_STEP:
    data_step(unit, out);
    break;
  case STALE_STEP:
    stale_step(unit, out);
    break;
  case REFILL_STEP:
    refill_step(unit, out);
    break;
  case STEPS:
    break;
  }
}

static bool step_at(const bt_unit_study *unit, bt_time since, size_t i, bool brief, bt_text *out) {
  size_t written = 0;
  for (step which = 0; which < STEPS; which++) {
    bt_text_clear(out);
    add_step(unit, since, which, brief, out);
    if (out->length > 0 && written++ == i)
      return true;
  }
  bt_text_clear(out);
  if (written == 0 && i == 0)
    bt_text_add(out, "Technician: keep to your schedule of checks. This decides nothing about "
                     "treatment.");
  return out->length > 0;
}

bool report_next_step(const bt_unit_study *unit, bt_time since, size_t i, bt_text *out) {
  return step_at(unit, since, i, false, out);
}

bool report_next_step_brief(const bt_unit_study *unit, bt_time since, size_t i, bt_text *out) {
  return step_at(unit, since, i, true, out);
}
