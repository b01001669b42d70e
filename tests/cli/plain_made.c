/* Random histories of all shapes. */
#include "plain_chart.h"

#include <math.h>
#include <time.h>

enum { DAY = 1440, FORMS = 8 };

static uint64_t state;

/* splitmix64: Steele, Lea and Flood (2014). */
static double uniform(void) {
  uint64_t x = state += 0x9E3779B97F4A7C15U;
  x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9U;
  x = (x ^ (x >> 27)) * 0x94D049BB133111EBU;
  return (double)((x ^ (x >> 31)) >> 11) * 0x1p-53;
}

static long below(long n) {
  return (long)(uniform() * (double)n);
}

static double normal(void) {
  return sqrt(-2 * log(1 - uniform())) * cos(6.283185307179586 * uniform());
}

const char *plain_moment(long minutes, char text[32]) {
  time_t at = 1736121600 + minutes * 60; /* a Monday, the sixth of January */
  struct tm parts;
  (void)gmtime_r(&at, &parts);
  (void)strftime(text, 32, "%Y-%m-%dT%H:%M", &parts);
  return text;
}

const char *plain_day(long day, char text[32]) {
  (void)plain_moment(day * DAY, text);
  text[10] = '\0';
  return text;
}

static double one_value(long form, long day, double level) {
  switch (form) {
  case 0:
    return normal();
  case 1:
    return (double)below(9) - 4; /* on the lines of a stated centre and sigma */
  case 2:
    return below(30) == 0 ? 20 * normal() : 0.3 * normal(); /* spikes */
  case 3:
    return level; /* a plateau */
  case 4:
    return (day / 12 % 2 == 0 ? 1.25 : -1.25) + 0.5 * normal();
  case 5:
    return 0.03 * (double)day + normal(); /* a drift */
  case 6:
    return floor(4 * normal()) / 4; /* few digits: ties */
  default:
    return level + 1.5 * normal();
  }
}

/* Four decimals, as the log will have them. */
static void add_check(plain_chart *of, long at, double value, bool as_left) {
  of->at[of->n] = at;
  of->raw[of->n] = round(value * 1e4) / 1e4;
  of->as_left[of->n++] = as_left;
}

static void make_checks(plain_chart *of, long days) {
  long form = below(FORMS), most = below(3) == 0 ? 3 : 1;
  long gap_from = below(200), gap_to = gap_from + below(30);
  double level = 3 * normal(), missing = below(3) == 0 ? 0.3 : 0.02;
  bool wild = of->has_low || of->has_high;
  for (long day = 0; day < days; day++) {
    if (uniform() < missing || (day >= gap_from && day < gap_to))
      continue;
    long checks = 1 + below(most);
    for (long k = 0; k < checks; k++) {
      long at = day * DAY + 420 + k * 150 + below(60);
      double value = 100 + one_value(form, day, level);
      if (wild && below(40) == 0) {
        add_check(of, at, value + (below(2) == 0 ? 9 : -9), false);
        add_check(of, at + 25, value, false);
      } else
        add_check(of, at, value, below(40) == 0);
      if (below(40) == 0)
        add_check(of, at + 70, 100 + one_value(form, day, level), true);
    }
  }
}

/* Target energies: none, one; one that changes for good or to and fro, creeps, is mistyped or
 * missing now and then; two a day. Changes of 1 % exactly are of the same target. */
static void make_targets(plain_chart *of, long days) {
  static const double steps[] = {0.05, 0.02, 0.01, -0.05, 0.005};
  long form = below(7), change = below(days + 1), back = change + below(days + 1);
  double step = steps[below(5)];
  if (form == 0)
    return;
  for (size_t i = 0; i < of->n; i++) {
    long day = of->at[i] / DAY;
    double factor = 1;
    if (form == 2 || form == 3)
      factor += day >= change && (form == 2 || day < back) ? step : 0;
    if (form == 4)
      factor += day < back ? 0.007 * (double)(day / 15) : 0; /* a creep, set back at once */
    if (form == 5)
      factor += of->at[i] % DAY >= 600 ? step : 0;
    if (form >= 3 && below(25) == 0)
      factor = 10;
    of->target[i] = form >= 4 && below(20) == 0 ? 0 : round(2 * factor * 1e4) / 1e4;
    of->raw[i] += factor < 2 ? round(100 * (factor - 1) * 1e4) / 1e4 : 0; /* the voltage follows */
  }
}

/* Periods one after the other, with days between them that the one before judges. */
static void make_periods(plain_chart *of, long days) {
  of->periods_n = of->mode == PLAIN_FROZEN ? 1 + (size_t)below(PLAIN_PERIODS) : 1;
  long part = days / (long)of->periods_n;
  for (size_t k = 0; k < of->periods_n; k++) {
    long from = (long)k * part + below(part / 4 + 1);
    of->period[k] = (plain_period){.from = from,
                                   .to = from + part / 4 + below(part / 2 + 1),
                                   .screen = of->mode == PLAIN_FROZEN && below(2) == 0};
  }
}

void plain_make(plain_chart *of, uint64_t *seed) {
  static const plain_mode modes[] = {PLAIN_FIRST,  PLAIN_FIRST, PLAIN_STATED, PLAIN_STATED,
                                     PLAIN_FROZEN, PLAIN_ASKED, PLAIN_FROZEN};
  state = *seed;
  *of = (plain_chart){.mode = modes[below(7)], .centre = 100, .sigma = 1, .low = 92, .high = 108};
  long days = below(8) == 0 ? below(4) : 4 + below(127);
  of->has_low = below(3) == 0;
  of->has_high = below(3) == 0;
  of->every = of->mode == PLAIN_STATED && below(2) == 0;
  make_checks(of, days);
  make_targets(of, days);
  if (of->mode != PLAIN_FIRST && of->mode != PLAIN_STATED)
    make_periods(of, days);
  for (long day = below(30); day < days && of->events_n < PLAIN_EVENTS; day += 1 + below(60)) {
    of->event_at[of->events_n] = day * DAY + 360 + below(600);
    of->event[of->events_n++] = (int)below(5);
  }
  *seed = state;
}
