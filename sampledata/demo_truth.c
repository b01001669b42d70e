/* truth.csv: what was built into the demo clinic's readings, in sigma and in the reading's unit. */
#include <math.h>
#include <string.h>

#include "demo.h"

/* How a quantity stands in truth.csv, and the sigma of one check, 0 where it has no noise. */
typedef struct quantity_facts {
  const char *characteristic, *unit;
  double sigma;
} quantity_facts;

static quantity_facts facts_of(const suite *s, quantity of) {
  switch (of) {
  case RATIO:
    return (quantity_facts){"energy_ratio", "1", s->ratio_sigma};
  case FILL_LOSS:
    return (quantity_facts){"energy_ratio", "1/day", s->ratio_sigma};
  case FLUENCE:
    return (quantity_facts){"fluence", "mJ/cm2", s->fluence_sigma};
  case TRACKER_X:
    return (quantity_facts){"tracker_x", "um", s->x_sigma};
  case SPREAD:
    return (quantity_facts){"energy_spread", "%", s->spread_sigma};
  case VOLTAGE:
    return (quantity_facts){"high_voltage", "kV", s->voltage_sigma};
  case DEMAND:
    break;
  }
  return (quantity_facts){"demand", "mJ", s->target_sigma};
}

/* The size in sigma stands empty where there is no sigma. */
static void put_row(FILE *out, const suite *s, const char *key, const char *from, const char *to,
                    quantity_facts facts, double size, const char *words) {
  fprintf(out, "%s,%s,%s,%s,%s,", s->name, facts.characteristic, key, from, to);
  if (facts.sigma > 0.0)
    fprintf(out, "%.6g", size / facts.sigma);
  fprintf(out, ",%.6g,%s,%s\n", size, facts.unit, words);
}

/* What holds all the time: sigmas, and the loss inside the fills. */
static void write_constants(FILE *out, const suite *s) {
  const quantity_facts noisy[] = {
      facts_of(s, RATIO),
      facts_of(s, DEMAND),
      facts_of(s, FLUENCE),
      facts_of(s, SPREAD),
      facts_of(s, TRACKER_X),
      {"tracker_y", "um", s->y_sigma},
      facts_of(s, VOLTAGE),
      {"temp_c", "C", s->logs_room ? temperature_sigma : 0.0},
      {"rh_pct", "%", s->logs_room ? humidity_sigma : 0.0},
  };
  for (size_t i = 0; i < sizeof noisy / sizeof noisy[0]; i++)
    if (noisy[i].sigma > 0.0)
      put_row(out, s, "noise", FIRST_DAY, LAST_DAY, noisy[i], noisy[i].sigma,
              "standard deviation of one check; independent and normal");
  double loss = s->loss * s->ratio_sigma;
  put_row(out, s, "fill_loss", FIRST_DAY, LAST_DAY, facts_of(s, FILL_LOSS), -loss,
          "loss inside each fill for each elapsed day since the refill");
  quantity_facts fluence = {"fluence", "mJ/cm2/day", s->fluence_sigma};
  put_row(out, s, "fill_loss", FIRST_DAY, LAST_DAY, fluence, -loss * s->fluence,
          "follows the energy ratio in the same proportion");
  fprintf(out, "%s,all,baseline,%s,%s,,,,nothing but noise and the loss inside the fills\n",
          s->name, FIRST_DAY, BASELINE_TO);
}

/* The size of an episode that comes through another quantity: of that one's size, in proportion. */
static double size_that_follows(const episode *e, const suite *s, quantity *followed) {
  for (size_t i = 0; i < episodes_n; i++) {
    const episode *other = &episodes[i];
    if (other->shape == FOLLOWS || other->suite != e->suite || strcmp(other->key, e->key) != 0)
      continue;
    *followed = other->quantity;
    if (e->quantity == VOLTAGE)
      return voltage_gain * other->size / s->target * s->voltage;
    return other->size * s->fluence;
  }
  return 0.0;
}

static void write_episode(FILE *out, const episode *e) {
  const suite *s = &suites[e->suite];
  quantity_facts facts = facts_of(s, e->quantity);
  double size = e->size;
  if (e->shape == FOLLOWS) {
    quantity followed = e->quantity;
    size = size_that_follows(e, s, &followed);
    if (followed == FILL_LOSS)
      facts.unit = "mJ/cm2/day";
  }
  calendar_day last = calendar_of(day_of(e->to) - 1);
  char to[40];
  snprintf(to, sizeof to, "%04d-%02d-%02d", last.year, last.month, last.day);
  put_row(out, s, e->key, e->from, to, facts, size, e->words);
}

static void write_odd_morning(FILE *out, const morning *m) {
  const suite *s = &suites[m->suite];
  if (m->oddity == MISREADING)
    put_row(out, s, "misreading", m->day, m->day, facts_of(s, RATIO), misread_ratio - 1.0,
            "one check misread; the retest 20 minutes later is good; size against a ratio of 1");
  if (m->oddity == SELFTEST)
    put_row(out, s, "selftest_failed", m->day, m->day, (quantity_facts){"selftest", "count", 0.0},
            1.0, "one of nine failed; the retest 25 minutes later passed");
}

void write_truth(FILE *out) {
  fputs("unit,characteristic,episode,from,to,size_sigma,size,size_unit,words\n", out);
  for (int which = 0; which < SUITES; which++) {
    write_constants(out, &suites[which]);
    for (size_t i = 0; i < episodes_n; i++)
      if (episodes[i].suite == which)
        write_episode(out, &episodes[i]);
    for (size_t i = 0; i < mornings_n; i++)
      if (mornings[i].suite == which)
        write_odd_morning(out, &mornings[i]);
  }
}
