/* Likely causes: what the data support, each with the facts that it rests on. Hedged, always: the
 * log tells what moved together, not why; the manufacturer's engineer decides.
 *
 * Requirements
 *   E1  A characteristic moved when its change passes its look's threshold; unchanged is one that
 *       was looked at and didn't. What wasn't looked at is neither.
 *   E2  Slopes and levels speak only where the characteristic that they are of moved, to its losing
 *       side. Where the change could be parted (parts.c) its parts tell: loss_steeper and
 *       levels_fall when the fills' and the lasting part are shown on that side, loss_unchanged and
 *       levels_hold when the other part alone does; neither where either alone does.
 *       Else loss_steeper when the slope inside the fills differs from the baseline's to that side
 *       (95 % interval of the difference, Welch), loss_unchanged when that interval holds 0;
 *       levels_fall when Kendall's interval lies on that side.
 *   E3  A cause is named when all that it needs is there: moderate. It is strong with a fact that
 *       supports it, weak with one that speaks against it as a whole, moderate with both. An event
 *       without effect that puts but a part of it to the test (a bottle changed, of optics, cavity,
 *       gas supply or meter) leaves its strength.
 *   E4  An event goes with a change when it lies in the band of its dates, or up to 3 days before:
 *       the band begins with the first values after.
 *   E5  Strongest first, then in the order of the table.
 *   E6  A cleaning, bottle or meter change shows an effect when its comparison of before and after
 *       has p < 0.01: the p of a single look, at one event. A meter change that goes with a step of
 *       the energy and shows none speaks against the meter. Windows begin anew at these events, so
 *       that a step there shows in the comparison alone; of a loss since it tells nothing.
 *
 * Source: this program's design, section 7, by what an energy servo, gas, optics and meter do to
 * the readings; strengths are of this program's making, and not probabilities. Checked by hand-made
 * lasers (tests/unit/drift/causes.c). */
#include "beamtally/drift.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

enum { NEEDS = 3 };

static const double days_before = 3, event_p = 0.01;

/* Each of `needs` that isn't 0: one of its facts at least. `tells`: shown beside the others. */
static const struct cause_rule {
  bt_cause_kind kind;
  uint32_t needs[NEEDS];
  uint32_t supports, against, tells;
} rules[] = {
    {BT_CAUSE_GAS_AGEING,
     {BT_FACT_LOSS_STEEPER},
     BT_FACT_LEVELS_HOLD,
     BT_FACT_LEVELS_FALL,
     BT_FACT_BOTTLE_RESTORED},
    {BT_CAUSE_NOT_RESTORED_BY_REFILL,
     {BT_FACT_LEVELS_FALL},
     BT_FACT_LOSS_UNCHANGED,
     BT_FACT_LOSS_STEEPER,
     BT_FACT_CLEANING_RESTORED | BT_FACT_BOTTLE_RESTORED | BT_FACT_METER_SHARED},
    {BT_CAUSE_VOLTAGE_CEILING,
     {BT_FACT_VOLTAGE_CLIMBS, BT_FACT_CEILING_AHEAD},
     BT_FACT_ENERGY_FALLS,
     0,
     BT_FACT_ENERGY_UNCHANGED},
    {BT_CAUSE_DEMAND_CREEP,
     {BT_FACT_DEMAND_CLIMBS},
     BT_FACT_ENERGY_UNCHANGED,
     BT_FACT_METER_THEN,
     BT_FACT_VOLTAGE_CLIMBS},
    {BT_CAUSE_DELIVERY_OPTICS,
     {BT_FACT_ENERGY_UNCHANGED, BT_FACT_FLUENCE_FALLS},
     BT_FACT_PLATE_FALLS | BT_FACT_CLEANING_RESTORED,
     BT_FACT_PLATE_UNCHANGED,
     0},
    {BT_CAUSE_PLUME_OR_PLATE,
     {BT_FACT_ENERGY_UNCHANGED, BT_FACT_PLATE_FALLS},
     BT_FACT_FLUENCE_UNCHANGED,
     BT_FACT_FLUENCE_FALLS,
     0},
    {BT_CAUSE_METER,
     {BT_FACT_ENERGY_STEPS | BT_FACT_METER_DIFFERS,
      BT_FACT_METER_THEN | BT_FACT_METER_SHARED | BT_FACT_METER_DIFFERS},
     BT_FACT_VOLTAGE_UNCHANGED | BT_FACT_PLATE_UNCHANGED | BT_FACT_DEMAND_UNCHANGED,
     BT_FACT_VOLTAGE_CLIMBS | BT_FACT_PLATE_FALLS | BT_FACT_DEMAND_CLIMBS | BT_FACT_METER_ALIKE,
     0},
    {BT_CAUSE_ALIGNMENT,
     {BT_FACT_TRACKER_STEPS, BT_FACT_MOVED_THEN},
     BT_FACT_ENERGY_UNCHANGED,
     0,
     0},
    {BT_CAUSE_SPREAD,
     {BT_FACT_SPREAD_GROWS, BT_FACT_SPREAD_FIRST},
     BT_FACT_VOLTAGE_CLIMBS,
     0,
     BT_FACT_ENERGY_FALLS | BT_FACT_ENERGY_UNCHANGED},
};

bt_moved bt_moved_of(const bt_change *change, const bt_look *look) {
  bt_moved moved = {.looked_at = look->given};
  moved.changed = look->given && change->kind != BT_CHANGE_NONE &&
                  change->likelihood_ratio > look->threshold; /* E1 */
  if (!moved.changed)
    return moved;
  double size = change->kind == BT_CHANGE_STEP ? change->step.after - change->step.before
                                               : change->hinge.per_day;
  moved.kind = change->kind;
  moved.levelled = change->levelled && change->kind == BT_CHANGE_STEP;
  moved.sign = size < 0 ? -1 : 1;
  moved.from = change->from;
  moved.to = change->to;
  return moved;
}

double bt_change_per_cent(const bt_change *change) {
  bool step = change->kind == BT_CHANGE_STEP;
  double was = step ? change->step.before : change->hinge.before;
  double size = step ? change->step.after - was : change->hinge.per_day * BT_DAYS_A_MONTH;
  return was > 0 ? 100 * size / was : 0;
}

static bool went(const bt_moved *moved, int sign) {
  return moved->changed && moved->sign == sign;
}

static bool stayed(const bt_moved *moved) {
  return moved->looked_at && !moved->changed;
}

static bool steps(const bt_moved *moved) {
  return moved->changed && moved->kind == BT_CHANGE_STEP && !moved->levelled;
}

static bool goes_with(const bt_moved *moved, bool has_event, double day) {
  return has_event && moved->changed && day >= moved->from - days_before &&
         day <= moved->to; /* E4 */
}

/* The slope now less that of the baseline, signed so that a greater loss is positive; its 95 %
 * interval. */
static bool steeper(const bt_evidence *evidence, double *low, double *high) {
  const bt_slope *first = &evidence->baseline_slope, *now = &evidence->window_slope;
  double a = first->se * first->se, b = now->se * now->se;
  if (first->df < 1 || now->df < 1 || !(a + b > 0))
    return false;
  double df = (a + b) * (a + b) / (a * a / first->df + b * b / now->df);
  double half = gsl_cdf_tdist_Pinv(0.975, df) * sqrt(a + b);
  double more = evidence->loss * (now->per_day - first->per_day);
  *low = more - half;
  *high = more + half;
  return true;
}

/* E2, by the two parts of the change. */
static uint32_t facts_of_parts(const bt_evidence *evidence) {
  const bt_part *lasting = &evidence->parts.lasting, *fills = &evidence->parts.fills;
  uint32_t facts = 0;
  if (!lasting->shown && !fills->shown)
    return 0;
  if (!lasting->shown)
    facts |= BT_FACT_LEVELS_HOLD;
  else if (lasting->size * evidence->loss > 0)
    facts |= BT_FACT_LEVELS_FALL;
  if (!fills->shown)
    facts |= BT_FACT_LOSS_UNCHANGED;
  else if (fills->size * evidence->loss > 0)
    facts |= BT_FACT_LOSS_STEEPER;
  return facts;
}

/* E2 */
static uint32_t facts_of_fills(const bt_evidence *evidence) {
  uint32_t facts = 0;
  double low = 0, high = 0;
  if (evidence->loss == 0 || !went(&evidence->own, evidence->loss))
    return 0;
  if (evidence->parts.given)
    return facts_of_parts(evidence);
  if (steeper(evidence, &low, &high)) {
    if (low > 0)
      facts |= BT_FACT_LOSS_STEEPER;
    else if (high >= 0)
      facts |= BT_FACT_LOSS_UNCHANGED;
  }
  const bt_trend *levels = &evidence->levels;
  if (levels->given && levels->has_interval) {
    double least = evidence->loss > 0 ? levels->low : -levels->high;
    double most = evidence->loss > 0 ? levels->high : -levels->low;
    if (least > 0)
      facts |= BT_FACT_LEVELS_FALL;
    else if (most >= 0)
      facts |= BT_FACT_LEVELS_HOLD;
  }
  return facts;
}

/* E6 */
static bool differs(const bt_comparison *about) {
  return about->given && about->has_interval && about->p < event_p;
}

static bool alike(const bt_comparison *about) {
  return about->given && about->has_interval && about->p >= event_p;
}

/* An event that brought back some of the loss. */
static bool restored(const bt_evidence *evidence, const bt_comparison *about) {
  return differs(about) && about->difference * evidence->loss < 0;
}

static uint32_t facts_of_events(const bt_evidence *evidence) {
  uint32_t facts = 0;
  if (restored(evidence, &evidence->cleaning))
    facts |= BT_FACT_CLEANING_RESTORED;
  if (restored(evidence, &evidence->bottle))
    facts |= BT_FACT_BOTTLE_RESTORED;
  if (differs(&evidence->meter))
    facts |= BT_FACT_METER_DIFFERS;
  if (goes_with(&evidence->energy, evidence->has_meter_event, evidence->meter_day))
    facts |= BT_FACT_METER_THEN | (alike(&evidence->meter) ? BT_FACT_METER_ALIKE : 0);
  if (evidence->meter_shared)
    facts |= BT_FACT_METER_SHARED;
  if (goes_with(&evidence->tracker, evidence->has_move, evidence->move_day))
    facts |= BT_FACT_MOVED_THEN;
  return facts;
}

static uint32_t facts_of_readings(const bt_evidence *evidence) {
  const bt_moved *energy = &evidence->energy, *spread = &evidence->spread;
  const struct {
    bool holds;
    uint32_t fact;
  } table[] = {
      {went(energy, -1), BT_FACT_ENERGY_FALLS},
      {steps(energy), BT_FACT_ENERGY_STEPS},
      {stayed(energy), BT_FACT_ENERGY_UNCHANGED},
      {went(&evidence->voltage, 1), BT_FACT_VOLTAGE_CLIMBS},
      {stayed(&evidence->voltage), BT_FACT_VOLTAGE_UNCHANGED},
      {evidence->ceiling_ahead, BT_FACT_CEILING_AHEAD},
      {went(&evidence->demand, 1), BT_FACT_DEMAND_CLIMBS},
      {stayed(&evidence->demand), BT_FACT_DEMAND_UNCHANGED},
      {went(&evidence->fluence, -1), BT_FACT_FLUENCE_FALLS},
      {stayed(&evidence->fluence), BT_FACT_FLUENCE_UNCHANGED},
      {went(&evidence->plate, -1), BT_FACT_PLATE_FALLS},
      {stayed(&evidence->plate), BT_FACT_PLATE_UNCHANGED},
      {went(spread, 1), BT_FACT_SPREAD_GROWS},
      {went(spread, 1) && (stayed(energy) || (energy->changed && spread->from < energy->from)),
       BT_FACT_SPREAD_FIRST},
      {steps(&evidence->tracker), BT_FACT_TRACKER_STEPS},
  };
  uint32_t facts = 0;
  for (size_t k = 0; k < sizeof table / sizeof *table; k++)
    if (table[k].holds)
      facts |= table[k].fact;
  return facts;
}

/* E3 */
static bool names(const struct cause_rule *rule, uint32_t facts, bt_cause *cause) {
  uint32_t needed = 0;
  for (int k = 0; k < NEEDS; k++) {
    if (rule->needs[k] != 0 && (rule->needs[k] & facts) == 0)
      return false;
    needed |= rule->needs[k];
  }
  int strength = BT_CAUSE_MODERATE;
  strength += (rule->supports & facts) != 0;
  strength -= (rule->against & facts) != 0;
  *cause = (bt_cause){.kind = rule->kind,
                      .strength = (bt_cause_strength)strength,
                      .evidence = facts & (needed | rule->supports | rule->tells),
                      .against = facts & rule->against};
  return true;
}

size_t bt_causes_find(const bt_evidence *evidence, bt_cause causes[BT_CAUSE_COUNT]) {
  uint32_t facts =
      facts_of_readings(evidence) | facts_of_fills(evidence) | facts_of_events(evidence);
  size_t n = 0;
  for (size_t r = 0; r < sizeof rules / sizeof *rules; r++) {
    bt_cause cause;
    if (!names(&rules[r], facts, &cause))
      continue;
    size_t place = n++;
    for (; place > 0 && causes[place - 1].strength < cause.strength; place--)
      causes[place] = causes[place - 1]; /* E5 */
    causes[place] = cause;
  }
  return n;
}
