/* What the data support as a cause, and the comparisons that it rests on. */
#ifndef BEAMTALLY_FINDING_CAUSE_H
#define BEAMTALLY_FINDING_CAUSE_H

#include "beamtally/base.h"
#include "beamtally/finding/change.h"
#include "beamtally/finding/fills.h"

/* Values of one side of an event. */
typedef struct bt_sample {
  size_t n;
  double mean, s; /* s 0 with under 2 values */
} bt_sample;

/* Before and after an event; of a single look. */
typedef struct bt_comparison {
  bool given; /* false: under 2 values on a side */
  bt_sample before, after;
  bt_sample as_found, as_left; /* the last 8 before, the first 8 after */
  bool has_interval;           /* false: no scatter on either side */
  double difference, se, df;   /* after less before; Welch */
  double low, high, p;
  bool has_ratio;                      /* false: no scatter on a side */
  double ratio, ratio_low, ratio_high; /* of the variances, after over before; F interval */
  double spread_p;                     /* of equal spread: Brown and Forsythe, about the medians */
} bt_comparison;

/* Effect of one covariate beside a straight trend over time; of a single look. */
typedef struct bt_effect {
  bool given; /* false: under 10 degrees of freedom, or no covariate apart from the trend */
  size_t n;
  double df;
  double slope, se, low, high; /* per unit of the covariate */
  double p;
} bt_effect;

/* What the likely causes are judged by. Days of all on one zero; zeroed is what isn't known. */
typedef struct bt_evidence {
  bt_moved energy, demand, voltage, spread, tracker;
  bt_moved fluence;   /* not derived from the same energy */
  bt_moved plate;     /* depth or fluence read off test material */
  bool ceiling_ahead; /* the voltage's forecast names a day, or it is beyond its ceiling */

  bt_moved own; /* the characteristic that what follows is of */
  int loss;     /* sign of a loss in it: -1 an energy or fluence, +1 a voltage or demand; 0: none */
  bt_parts parts;                        /* of its change; where not given, what follows */
  bt_slope baseline_slope, window_slope; /* inside the fills */
  bt_trend levels;
  bt_comparison cleaning, bottle; /* about the last such event */
  bt_comparison meter;            /* of the energy, about the last meter change */

  bool has_meter_event, has_move;
  double meter_day, move_day; /* last meter change, last move of the laser */
  bool meter_shared;          /* units that share a meter stepped together */
} bt_evidence;

/* Facts that causes rest on. */
enum {
  BT_FACT_ENERGY_FALLS = 1 << 0,
  BT_FACT_ENERGY_STEPS = 1 << 1,
  BT_FACT_ENERGY_UNCHANGED = 1 << 2,
  BT_FACT_VOLTAGE_CLIMBS = 1 << 3,
  BT_FACT_VOLTAGE_UNCHANGED = 1 << 4,
  BT_FACT_CEILING_AHEAD = 1 << 5,
  BT_FACT_DEMAND_CLIMBS = 1 << 6,
  BT_FACT_DEMAND_UNCHANGED = 1 << 7,
  BT_FACT_FLUENCE_FALLS = 1 << 8,
  BT_FACT_FLUENCE_UNCHANGED = 1 << 9,
  BT_FACT_PLATE_FALLS = 1 << 10,
  BT_FACT_PLATE_UNCHANGED = 1 << 11,
  BT_FACT_SPREAD_GROWS = 1 << 12,
  BT_FACT_SPREAD_FIRST = 1 << 13, /* before the energy moved, or while it doesn't */
  BT_FACT_TRACKER_STEPS = 1 << 14,
  BT_FACT_MOVED_THEN = 1 << 15,   /* the laser was moved at the tracker's change */
  BT_FACT_LOSS_STEEPER = 1 << 16, /* inside the fills, than in the baseline */
  BT_FACT_LOSS_UNCHANGED = 1 << 17,
  BT_FACT_LEVELS_FALL = 1 << 18, /* from fill to fill; of a voltage or demand: climb */
  BT_FACT_LEVELS_HOLD = 1 << 19,
  BT_FACT_CLEANING_RESTORED = 1 << 20, /* some of the loss */
  BT_FACT_BOTTLE_RESTORED = 1 << 21,
  BT_FACT_METER_DIFFERS = 1 << 22, /* the energy differs after a meter change */
  BT_FACT_METER_THEN = 1 << 23,    /* the meter was changed at the energy's change */
  BT_FACT_METER_SHARED = 1 << 24,
  BT_FACT_METER_ALIKE = 1 << 25 /* no difference before and after the meter change at its change */
};

typedef enum bt_cause_kind {
  BT_CAUSE_GAS_AGEING,
  BT_CAUSE_NOT_RESTORED_BY_REFILL, /* optics, cavity, gas supply or meter */
  BT_CAUSE_VOLTAGE_CEILING,
  BT_CAUSE_DEMAND_CREEP,
  BT_CAUSE_DELIVERY_OPTICS,
  BT_CAUSE_PLUME_OR_PLATE,
  BT_CAUSE_METER,
  BT_CAUSE_ALIGNMENT,
  BT_CAUSE_SPREAD, /* discharge */
  BT_CAUSE_COUNT
} bt_cause_kind;

typedef enum bt_cause_strength {
  BT_CAUSE_WEAK,
  BT_CAUSE_MODERATE,
  BT_CAUSE_STRONG
} bt_cause_strength;

/* What the data support: not a diagnosis. */
typedef struct bt_cause {
  bt_cause_kind kind;
  bt_cause_strength strength;
  uint32_t evidence, against; /* bits BT_FACT_...: for it, and speaking against it */
} bt_cause;

/* Facts as words, "; " between them: "levels fall from fill to fill; loss inside the fills
 * unchanged". A failure stays with the text. */
void bt_facts_words(uint32_t facts, bt_text *out);

#endif
