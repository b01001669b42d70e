/* Writes the demo clinic's logs: invented readings of two invented lasers over 18 months.
 *
 *   make_demo_logs [--seed N] FOLDER
 *
 * What: a check each surgery morning, with its noise, the loss inside each gas fill, and the
 * episodes of the tables below, whose truth goes to truth.csv.
 * How: reading = level + episodes + sigma * normal variate; a level is the suite's mean, and for
 * the energy ratio 1 - sigma * loss * (fill age - mean fill age), ages in elapsed days. The
 * fluence is its mean times the level of the ratio, with a noise of its own.
 * Same bytes everywhere: the generator is splitmix64 (Steele, Lea and Flood 2014), the normal
 * variates come from Marsaglia's polar method (1964); each weekday draws the same number of
 * variates, used or not, so that a change to one table leaves the other days alone.
 * Checked: the test that makes the files again and compares them with those committed here. */
#include <errno.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- The clinic ------------------------------------------------------------------------------ */

enum { NORTH, SOUTH, SUITES };

typedef struct suite {
  const char *name;
  double target;      /* mJ */
  double ratio_sigma; /* of the energy ratio */
  double loss;        /* inside a fill, in sigma a day */
  double mean_age;    /* days; there the mean ratio is 1 */
  double fluence;     /* mJ/cm² */
  double fluence_sigma;
  double spread, spread_sigma;   /* % */
  double x, x_sigma, y, y_sigma; /* µm */
  double voltage, voltage_sigma; /* kV; Suite North logs none */
  int minute;                    /* of the day, usual time of the check */
  int refill_days;               /* planned from refill to refill: one less or more now and then */
  int selftests;
} suite;

static const suite suites[SUITES] = {
    {"Suite North", 1.61, 0.0040, 1.0, 0.9, 180.0, 0.90, 1.80, 0.15, 4.0, 6.0, -3.0, 5.0, 0.0, 0.0,
     7 * 60 + 45, 3, 9},
    {"Suite South", 2.05, 0.0035, 0.4, 6.0, 210.0, 1.05, 1.60, 0.12, -5.0, 7.0, 6.0, 6.0, 24.60,
     0.05, 7 * 60 + 30, 14, 23},
};

#define FIRST_DAY       "2025-04-01"
#define LAST_DAY        "2026-09-30"
#define FIRST_EXPORT_TO "2026-08-14" /* the last day of suite-north.csv */
#define SECOND_EXPORT   "2026-07-01" /* the first day of suite-north-2026-q3.csv */
#define BASELINE_TO     "2025-07-18" /* nothing but noise and the loss inside the fills till then */

static const double missed_share = 0.03;   /* mornings without a check */
static const double missing_share = 0.012; /* readings left out */

/* The poor bottle's loss inside the fills, as a multiple of the usual one. */
static const double steeper = 3.0;

/* Demand goes up by this much every 14 days, so many times. */
static const double demand_step = 0.010;
enum { DEMAND_STEPS = 8, DEMAND_STEP_DAYS = 14 };

/* A relative rise of the demand raises the voltage by this share of it. */
static const double voltage_gain = 0.25;

typedef struct span {
  const char *from, *to;
} span;

static const span closed[] = {
    {"2025-04-17", "2025-04-18"}, {"2025-05-02", "2025-05-02"}, {"2025-06-19", "2025-06-20"},
    {"2025-07-21", "2025-07-25"}, {"2025-10-03", "2025-10-03"}, {"2025-12-22", "2026-01-02"},
    {"2026-04-02", "2026-04-06"}, {"2026-05-14", "2026-05-15"}, {"2026-07-27", "2026-07-29"},
};

/* ---- Episodes -------------------------------------------------------------------------------- */

typedef enum quantity { RATIO, FLUENCE, TRACKER_X, SPREAD, DEMAND, VOLTAGE, FILL_LOSS } quantity;
typedef enum shape { STEP, RAMP, STAIRS, FOLLOWS } shape;

/* From the check of the day `from` on, until the day before `to`; FOLLOWS is there for truth.csv
 * alone: the effect comes through another quantity. */
typedef struct episode {
  int suite;
  quantity quantity;
  shape shape;
  const char *key, *characteristic, *from, *to;
  double sigmas; /* largest size; meaningless where the quantity has no noise */
  double size;   /* the same in `unit` */
  const char *unit, *words;
} episode;

static const episode episodes[] = {
    {NORTH, TRACKER_X, STEP, "tracker_step", "tracker_x", "2025-10-04", "2025-10-25", 3.0, 18.0,
     "um", "step after the unit was moved; cured by the recalibration"},
    {NORTH, RATIO, RAMP, "optics_loss", "energy_ratio", "2026-02-02", "2026-10-01", -4.82, -0.01928,
     "1", "slow loss of 0.02 sigma a day that refills do not restore; not cured in this log"},
    {NORTH, FLUENCE, FOLLOWS, "optics_loss", "fluence", "2026-02-02", "2026-10-01", -3.856, -3.4704,
     "mJ/cm2", "follows the energy ratio in the same proportion"},
    {SOUTH, FILL_LOSS, STEP, "poor_bottle", "energy_ratio", "2025-08-04", "2025-09-01", -0.8,
     -0.0028, "1/day", "loss inside the fills three times the usual; the size is the extra loss"},
    {SOUTH, FLUENCE, FOLLOWS, "poor_bottle", "fluence", "2025-08-04", "2025-09-01", -0.56, -0.588,
     "mJ/cm2/day", "follows the energy ratio in the same proportion"},
    {SOUTH, SPREAD, RAMP, "spread_growth", "energy_spread", "2025-10-18", "2025-11-22", 5.0, 0.60,
     "%", "grows over five weeks; cured by the service visit"},
    {SOUTH, DEMAND, STAIRS, "demand_creep", "demand", "2026-01-12", "2026-05-16", 0.0, 0.080, "mJ",
     "target raised by 0.010 mJ every two weeks to hold the fluence; ratio and fluence stay; set "
     "back at the service visit"},
    {SOUTH, VOLTAGE, FOLLOWS, "demand_creep", "high_voltage", "2026-01-12", "2026-05-16", 4.8, 0.24,
     "kV", "follows the demand"},
    {SOUTH, FLUENCE, RAMP, "delivery_loss", "fluence", "2026-06-20", "2026-08-15", -5.0, -5.25,
     "mJ/cm2",
     "delivery optics: fluence falls over eight weeks while the energy ratio stays; "
     "cured by cleaning"},
};

/* What was done to the units beside the gas refills. A new bottle comes with a refill. */
typedef struct deed {
  int suite;
  const char *day, *time, *event, *note;
} deed;

static const deed deeds[] = {
    {SOUTH, "2025-08-04", "06:35", "gas_bottle", "new bottle connected"},
    {NORTH, "2025-08-18", "06:40", "gas_bottle", "new bottle connected"},
    {SOUTH, "2025-09-01", "06:35", "gas_bottle", "bottle returned; bottle of the earlier batch"},
    {NORTH, "2025-09-13", "10:30", "optics_cleaned", "routine"},
    {NORTH, "2025-10-04", "14:00", "moved", "moved within the room for floor work"},
    {NORTH, "2025-10-25", "11:15", "recalibration", "tracker aligned anew"},
    {NORTH, "2025-11-15", "10:00", "meter_changed", "meter M1 to its yearly calibration; now M2"},
    {SOUTH, "2025-11-22", "10:30", "service", "discharge chamber serviced"},
    {SOUTH, "2026-01-05", "06:35", "gas_bottle", "new bottle connected"},
    {NORTH, "2026-01-12", "06:40", "gas_bottle", "new bottle connected"},
    {SOUTH, "2026-05-16", "09:30", "service", "yearly visit; target energy set back"},
    {SOUTH, "2026-06-01", "06:35", "gas_bottle", "new bottle connected"},
    {NORTH, "2026-06-15", "06:40", "gas_bottle", "new bottle connected"},
    {SOUTH, "2026-08-15", "10:00", "optics_cleaned", "delivery optics cleaned"},
};

#define METER_CHANGED "2025-11-15"

/* Single mornings. */
typedef enum oddity { NOTHING, MISREADING, SELFTEST, BAD_NUMBER, BAD_DATE, NEGATIVE } oddity;

typedef struct morning {
  int suite;
  const char *day;
  oddity oddity;
} morning;

static const morning mornings[] = {
    {NORTH, "2025-09-16", SELFTEST},   {NORTH, "2025-11-20", BAD_NUMBER},
    {NORTH, "2025-12-09", MISREADING}, {NORTH, "2026-03-02", BAD_DATE},
    {NORTH, "2026-05-19", NEGATIVE},   {SOUTH, "2025-09-24", BAD_NUMBER},
    {SOUTH, "2025-12-01", BAD_DATE},   {SOUTH, "2026-03-24", NEGATIVE},
};

/* The mis-reading, and how long after a check its retest comes. */
static const double misread_ratio = 0.9300;
enum { MISREADING_RETEST = 20, SELFTEST_RETEST = 25 };

#define COUNT(table) (sizeof(table) / sizeof(table)[0])

/* ---- Days ------------------------------------------------------------------------------------ */

/* Days since 1970-01-01 of a day of the Gregorian calendar. */
static int64_t day_number(int64_t year, int64_t month, int64_t day) {
  int64_t shifted = month > 2 ? year : year - 1; /* a year that begins in March */
  int64_t century = shifted / 100;
  int64_t month_days = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5;
  return 365 * shifted + shifted / 4 - century + century / 4 + month_days + day - 719469;
}

/* The day of a table's date; the tables are ours, so a wrong one ends the program. */
static int64_t day_of(const char *date) {
  int year = 0, month = 0, day = 0;
  if (sscanf(date, "%4d-%2d-%2d", &year, &month, &day) != 3) {
    fprintf(stderr, "make_demo_logs: \"%s\" in a table is no date\n", date);
    exit(EXIT_FAILURE);
  }
  return day_number(year, month, day);
}

typedef struct calendar_day {
  int year, month, day;
} calendar_day;

static calendar_day calendar_of(int64_t number) {
  int64_t year = 1970 + number / 366;
  while (day_number(year + 1, 1, 1) <= number)
    year++;
  int64_t month = 1;
  while (month < 12 && day_number(year, month + 1, 1) <= number)
    month++;
  return (calendar_day){(int)year, (int)month, (int)(number - day_number(year, month, 1)) + 1};
}

static bool is_weekday(int64_t day) {
  return (day + 3) % 7 < 5; /* day 0 was a Thursday */
}

static bool is_closed(int64_t day) {
  for (size_t i = 0; i < COUNT(closed); i++)
    if (day >= day_of(closed[i].from) && day <= day_of(closed[i].to))
      return true;
  return false;
}

/* ---- Chance ---------------------------------------------------------------------------------- */

static uint64_t splitmix(uint64_t *state) {
  uint64_t z = *state += 0x9e3779b97f4a7c15U;
  z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9U;
  z = (z ^ z >> 27) * 0x94d049bb133111ebU;
  return z ^ z >> 31;
}

/* In [0, 1), from the upper 53 bits. */
static double uniform(uint64_t *state) {
  return (double)(splitmix(state) >> 11) * 0x1p-53;
}

static double normal(uint64_t *state) {
  for (;;) {
    double u = 2.0 * uniform(state) - 1.0;
    double v = 2.0 * uniform(state) - 1.0;
    double s = u * u + v * v;
    if (s > 0.0 && s < 1.0)
      return u * sqrt(-2.0 * log(s) / s);
  }
}

/* All that one morning may need. Each morning has a state of its own, made from the seed, the suite
 * and the day. */
typedef struct chance {
  double missed, interval;
  double minute, refill_minute;
  double ratio, fluence, spread, x, y, voltage, temperature, humidity;
  double missing[5], mark, who;
} chance;

static chance chance_of(uint64_t seed, int which, int64_t day, int attempt) {
  uint64_t state = seed + (uint64_t)day * 16 + (uint64_t)which * 2 + (uint64_t)attempt;
  state = splitmix(&state);
  chance c;
  c.missed = uniform(&state);
  c.interval = uniform(&state);
  c.minute = normal(&state);
  c.refill_minute = normal(&state);
  c.ratio = normal(&state);
  c.fluence = normal(&state);
  c.spread = normal(&state);
  c.x = normal(&state);
  c.y = normal(&state);
  c.voltage = normal(&state);
  c.temperature = normal(&state);
  c.humidity = normal(&state);
  for (size_t i = 0; i < COUNT(c.missing); i++)
    c.missing[i] = uniform(&state);
  c.mark = uniform(&state);
  c.who = uniform(&state);
  return c;
}

/* ---- Readings -------------------------------------------------------------------------------- */

/* Sum of the episodes of that quantity on that day, in the episodes' own unit. */
static double effect(int which, quantity of, int64_t day) {
  double sum = 0.0;
  for (size_t i = 0; i < COUNT(episodes); i++) {
    const episode *e = &episodes[i];
    int64_t from = day_of(e->from), to = day_of(e->to);
    if (e->suite != which || e->quantity != of || day < from || day >= to)
      continue;
    int64_t steps = (day - from) / DEMAND_STEP_DAYS + 1;
    if (e->shape == STEP)
      sum += e->size;
    else if (e->shape == RAMP)
      sum += e->size * (double)(day - from) / (double)(to - from);
    else if (e->shape == STAIRS)
      sum += demand_step * (double)(steps < DEMAND_STEPS ? steps : DEMAND_STEPS);
  }
  return sum;
}

enum { SPREAD_CELL, FLUENCE_CELL, TRACKER_CELL, TEMPERATURE_CELL, HUMIDITY_CELL };

typedef struct check {
  int64_t day;
  int minute;
  double target, energy, spread, fluence, x, y, voltage, temperature, humidity;
  int selftest_passed;
  const char *missing[5]; /* what stands in the cell instead of the reading, or NULL */
  int who;
  const char *remark;
  oddity oddity;
} check;

/* The reading of that morning; `fill` is the time of the last refill in minutes. */
static check read_laser(int which, int64_t day, int minute, int64_t fill, const chance *c) {
  const suite *s = &suites[which];
  double age = (double)(day * 1440 + minute - fill) / 1440.0;
  double loss = s->loss * s->ratio_sigma;
  if (effect(which, FILL_LOSS, day) < 0.0)
    loss *= steeper;
  double base = 1.0 + s->loss * s->ratio_sigma * s->mean_age; /* of a fresh fill */
  double level = base - loss * age + effect(which, RATIO, day);
  double demand = effect(which, DEMAND, day);

  check r = {.day = day, .minute = minute, .selftest_passed = s->selftests, .remark = ""};
  r.target = s->target + demand;
  r.energy = r.target * (level + s->ratio_sigma * c->ratio);
  r.fluence = s->fluence * level + effect(which, FLUENCE, day) + s->fluence_sigma * c->fluence;
  r.spread = s->spread + effect(which, SPREAD, day) + s->spread_sigma * c->spread;
  r.x = s->x + effect(which, TRACKER_X, day) + s->x_sigma * c->x;
  r.y = s->y + s->y_sigma * c->y;
  r.voltage =
      s->voltage * (1.0 + voltage_gain * demand / s->target) + s->voltage_sigma * c->voltage;
  r.temperature = 21.5 + 0.5 * c->temperature;
  r.humidity = 43.0 + 3.5 * c->humidity;
  const char *marks[] = {"", "-", "n/a"};
  for (size_t i = 0; i < COUNT(r.missing); i++)
    if (c->missing[i] < missing_share)
      r.missing[i] = marks[(int)(3.0 * c->mark)];
  r.who = 1 + (int)(3.0 * c->who);
  return r;
}

/* ---- Files ----------------------------------------------------------------------------------- */

typedef struct log_file {
  FILE *file;
  const char *name;
  int lines;
} log_file;

typedef struct demo {
  uint64_t seed;
  log_file north, third_quarter, south, events, refused, truth;
} demo;

static void open_log(log_file *log, const char *folder, const char *name) {
  char path[4096];
  int length = snprintf(path, sizeof path, "%s/%s", folder, name);
  log->name = name;
  log->lines = 0;
  log->file = length > 0 && (size_t)length < sizeof path ? fopen(path, "wb") : NULL;
  if (log->file == NULL) {
    fprintf(stderr, "make_demo_logs: %s/%s can't be written: %s\n", folder, name, strerror(errno));
    exit(EXIT_FAILURE);
  }
}

static bool close_log(log_file *log) {
  bool written = ferror(log->file) == 0;
  return fclose(log->file) == 0 && written;
}

/* A number with that many decimals; with a decimal comma where `mark` says so. */
static void put_number(FILE *out, double value, int decimals, char mark) {
  char text[40];
  snprintf(text, sizeof text, "%.*f", decimals, value);
  char *point = strchr(text, '.');
  if (point != NULL)
    *point = mark;
  fputs(text, out);
}

static void put_cell(FILE *out, char delimiter, const char *missing, double value, int decimals,
                     char mark) {
  putc(delimiter, out);
  if (missing != NULL)
    fputs(missing, out);
  else
    put_number(out, value, decimals, mark);
}

/* The energy as it stands in the log: with its typing error or a sign that can't be. */
static void put_energy(FILE *out, char delimiter, const check *r, int decimals, char mark) {
  char text[40];
  snprintf(text, sizeof text, "%s%.*f", r->oddity == NEGATIVE ? "-" : "", decimals, r->energy);
  char *point = strchr(text, '.');
  if (r->oddity == BAD_NUMBER)
    point[1] = 'o'; /* an o for the digit: "1.o12" */
  *point = mark;
  fprintf(out, "%c%s", delimiter, text);
}

static void note_refused(demo *d, const log_file *log, const check *r, const char *date,
                         const char *energy) {
  const char *column = NULL, *words = NULL;
  switch (r->oddity) {
  case BAD_NUMBER:
    column = energy;
    words = "letter o typed for a digit";
    break;
  case BAD_DATE:
    column = date;
    words = "a day that no calendar has";
    break;
  case NEGATIVE:
    column = energy;
    words = "an energy below zero";
    break;
  default:
    return;
  }
  fprintf(d->refused.file, "%s,%d,%s,%s\n", log->name, log->lines, column, words);
}

static void write_north(demo *d, log_file *log, const check *r) {
  FILE *out = log->file;
  calendar_day c = calendar_of(r->day);
  if (r->oddity == BAD_DATE)
    fputs("2026-02-30", out);
  else
    fprintf(out, "%04d-%02d-%02d", c.year, c.month, c.day);
  fprintf(out, ",%02d:%02d,%s", r->minute / 60, r->minute % 60, suites[NORTH].name);
  put_cell(out, ',', NULL, r->target, 2, '.');
  put_energy(out, ',', r, 4, '.');
  put_cell(out, ',', r->missing[SPREAD_CELL], r->spread, 2, '.');
  put_cell(out, ',', r->missing[FLUENCE_CELL], r->fluence, 1, '.');
  put_cell(out, ',', r->missing[TRACKER_CELL], r->x, 1, '.');
  put_cell(out, ',', r->missing[TRACKER_CELL], r->y, 1, '.');
  fprintf(out, ",pass,%d,%d,%s", r->selftest_passed, suites[NORTH].selftests,
          r->selftest_passed < suites[NORTH].selftests ? "cooling flow" : "");
  put_cell(out, ',', r->missing[TEMPERATURE_CELL], r->temperature, 1, '.');
  put_cell(out, ',', r->missing[HUMIDITY_CELL], r->humidity, 0, '.');
  fprintf(out, ",%s,T%d,%s\n", r->day < day_of(METER_CHANGED) ? "M1" : "M2", r->who, r->remark);
  log->lines++;
  note_refused(d, log, r, "date", "energy_mj");
}

/* Windows-1252, lines end with CR LF. */
static void write_south(demo *d, log_file *log, const check *r) {
  FILE *out = log->file;
  calendar_day c = calendar_of(r->day);
  if (r->oddity == BAD_DATE)
    fputs("31.11.2025", out);
  else
    fprintf(out, "%02d.%02d.%04d", c.day, c.month, c.year);
  fprintf(out, ";%02d:%02d", r->minute / 60, r->minute % 60);
  put_cell(out, ';', NULL, r->target, 3, ',');
  put_energy(out, ';', r, 3, ',');
  put_cell(out, ';', r->missing[SPREAD_CELL], r->spread, 2, ',');
  put_cell(out, ';', r->missing[FLUENCE_CELL], r->fluence, 1, ',');
  put_cell(out, ';', r->missing[TRACKER_CELL], r->x, 1, ',');
  put_cell(out, ';', r->missing[TRACKER_CELL], r->y, 1, ',');
  fprintf(out, ";%d;%d", r->selftest_passed, suites[SOUTH].selftests);
  put_cell(out, ';', NULL, r->voltage, 2, ',');
  fprintf(out, ";%s\r\n", r->remark);
  log->lines++;
  note_refused(d, log, r, "Datum", "E Ist (mJ)");
}

static void write_check(demo *d, int which, const check *r) {
  if (which == SOUTH) {
    write_south(d, &d->south, r);
    return;
  }
  if (r->day <= day_of(FIRST_EXPORT_TO))
    write_north(d, &d->north, r);
  if (r->day >= day_of(SECOND_EXPORT))
    write_north(d, &d->third_quarter, r);
}

static void write_event(demo *d, int which, int64_t day, const char *time, const char *event,
                        const char *note) {
  calendar_day c = calendar_of(day);
  fprintf(d->events.file, "%04d-%02d-%02d,%s,%s,%s,%s\n", c.year, c.month, c.day, time,
          suites[which].name, event, note);
}

static void write_headers(demo *d) {
  static const char north[] =
      "date,time,unit,target_mj,energy_mj,energy_sd_pct,fluence_mj_cm2,offset_x_um,offset_y_um,"
      "pattern,selftest_passed,selftest_total,selftest_failed,temp_c,rh_pct,meter,operator,"
      "remark\n";
  fputs(north, d->north.file);
  fputs(north, d->third_quarter.file);
  d->north.lines = d->third_quarter.lines = 1;
  fputs("Kalibrierbuch Suite South\r\n"
        "Quellmoor Eye Clinic - Auszug f\xfcr die Qualit\xe4tssicherung\r\n"
        "Datum;Uhrzeit;E Soll (mJ);E Ist (mJ);Streuung %;Fluenz mJ/cm\xb2;x (\xb5m);y (\xb5m);"
        "Selbsttest ok;Selbsttest gesamt;HV kV;Bemerkung\r\n",
        d->south.file);
  d->south.lines = 3;
  fputs("date,time,unit,event,note\n", d->events.file);
  fputs("file,line,column,words\n", d->refused.file);
}

/* ---- The 18 months --------------------------------------------------------------------------- */

static oddity oddity_of(int which, int64_t day) {
  for (size_t i = 0; i < COUNT(mornings); i++)
    if (mornings[i].suite == which && day_of(mornings[i].day) == day)
      return mornings[i].oddity;
  return NOTHING;
}

/* Writes what was done on that day; true when a bottle was changed. */
static bool write_deeds(demo *d, int which, int64_t day) {
  bool bottle = false;
  for (size_t i = 0; i < COUNT(deeds); i++) {
    if (deeds[i].suite != which || day_of(deeds[i].day) != day)
      continue;
    write_event(d, which, day, deeds[i].time, deeds[i].event, deeds[i].note);
    bottle = bottle || strcmp(deeds[i].event, "gas_bottle") == 0;
  }
  return bottle;
}

/* The morning's check, and its retest where it asks for one. */
static void write_morning(demo *d, int which, int64_t day, int64_t fill, const chance *c) {
  oddity odd = oddity_of(which, day);
  int minute = suites[which].minute + (int)lround(5.0 * c->minute);
  check r = read_laser(which, day, minute, fill, c);
  r.oddity = odd;
  if (odd == MISREADING)
    r.energy = r.target * misread_ratio;
  if (odd == SELFTEST)
    r.selftest_passed--;
  if (fill / 1440 == day && which == SOUTH)
    r.remark = "Gas gewechselt, gepr\xfc"
               "ft";
  write_check(d, which, &r);
  if (odd != MISREADING && odd != SELFTEST)
    return;
  chance again = chance_of(d->seed, which, day, 1);
  minute += odd == MISREADING ? MISREADING_RETEST : SELFTEST_RETEST;
  r = read_laser(which, day, minute, fill, &again);
  r.remark = odd == MISREADING ? "retest; meter head had not been seated"
                               : "retest after the cooling was vented";
  write_check(d, which, &r);
}

static void write_suite(demo *d, int which) {
  int64_t fill = 0, due = 0; /* last refill in minutes; day from which the next is due */
  for (int64_t day = day_of(FIRST_DAY); day <= day_of(LAST_DAY); day++) {
    chance c = chance_of(d->seed, which, day, 0);
    bool bottle = write_deeds(d, which, day);
    bool wanted = bottle || fill == 0 || oddity_of(which, day) != NOTHING;
    if (!is_weekday(day) || is_closed(day) || (c.missed < missed_share && !wanted))
      continue;
    if (bottle || day >= due) {
      int minute = suites[which].minute - 35 + (int)lround(2.0 * c.refill_minute);
      char time[16];
      snprintf(time, sizeof time, "%02d:%02d", minute / 60, minute % 60);
      write_event(d, which, day, time, "gas_refill", "");
      fill = day * 1440 + minute;
      due = day + suites[which].refill_days - (c.interval < 0.15) + (c.interval > 0.85);
    }
    write_morning(d, which, day, fill, &c);
  }
}

/* ---- The truth ------------------------------------------------------------------------------- */

static void put_truth(FILE *out, const suite *s, const char *characteristic, const char *key,
                      double sigmas, double size, const char *unit, const char *words) {
  fprintf(out, "%s,%s,%s,%s,%s,%.6g,%.6g,%s,%s\n", s->name, characteristic, key, FIRST_DAY,
          LAST_DAY, sigmas, size, unit, words);
}

/* What holds all the time: means, sigmas, the loss inside the fills. */
static void write_constants(FILE *out, const suite *s) {
  static const char words[] = "standard deviation of one check; independent and normal";
  put_truth(out, s, "energy_ratio", "noise", 1.0, s->ratio_sigma, "1", words);
  put_truth(out, s, "fluence", "noise", 1.0, s->fluence_sigma, "mJ/cm2", words);
  put_truth(out, s, "energy_spread", "noise", 1.0, s->spread_sigma, "%", words);
  put_truth(out, s, "tracker_x", "noise", 1.0, s->x_sigma, "um", words);
  put_truth(out, s, "tracker_y", "noise", 1.0, s->y_sigma, "um", words);
  if (s->voltage > 0.0)
    put_truth(out, s, "high_voltage", "noise", 1.0, s->voltage_sigma, "kV", words);
  put_truth(out, s, "energy_ratio", "fill_loss", -s->loss, -s->loss * s->ratio_sigma, "1/day",
            "loss inside each fill for each elapsed day since the refill");
  double fluence_loss = s->loss * s->ratio_sigma * s->fluence;
  put_truth(out, s, "fluence", "fill_loss", -fluence_loss / s->fluence_sigma, -fluence_loss,
            "mJ/cm2/day", "follows the energy ratio in the same proportion");
}

static void write_truth(FILE *out) {
  fputs("unit,characteristic,episode,from,to,size_sigma,size,size_unit,words\n", out);
  for (int which = 0; which < SUITES; which++) {
    write_constants(out, &suites[which]);
    fprintf(out, "%s,all,baseline,%s,%s,,,,nothing but noise and the loss inside the fills\n",
            suites[which].name, FIRST_DAY, BASELINE_TO);
    for (size_t i = 0; i < COUNT(episodes); i++) {
      const episode *e = &episodes[i];
      calendar_day to = calendar_of(day_of(e->to) - 1);
      if (e->suite != which)
        continue;
      fprintf(out, "%s,%s,%s,%s,%04d-%02d-%02d,", suites[which].name, e->characteristic, e->key,
              e->from, to.year, to.month, to.day);
      if (e->quantity != DEMAND)
        fprintf(out, "%.6g", e->sigmas);
      fprintf(out, ",%.6g,%s,%s\n", e->size, e->unit, e->words);
    }
  }
  double misread = misread_ratio - 1.0;
  fprintf(out,
          "Suite North,energy_ratio,misreading,2025-12-09,2025-12-09,%.6g,%.6g,1,one check misread "
          "as a ratio of %.4f; the retest 20 minutes later is good\n",
          misread / suites[NORTH].ratio_sigma, misread, misread_ratio);
  fputs("Suite North,selftest,selftest_failed,2025-09-16,2025-09-16,,1,count,one of nine failed; "
        "the retest 25 minutes later passed\n",
        out);
}

int main(int argc, char **argv) {
  demo d = {.seed = 6};
  char *end = NULL;
  if (argc == 4 && strcmp(argv[1], "--seed") == 0)
    d.seed = strtoull(argv[2], &end, 10);
  if (argc != 2 && (end == NULL || end == argv[2] || *end != '\0')) {
    fputs("usage: make_demo_logs [--seed N] FOLDER\n", stderr);
    return 2;
  }
  const char *folder = argv[argc - 1];
  struct {
    log_file *log;
    const char *name;
  } files[] = {
      {&d.north, "suite-north.csv"}, {&d.third_quarter, "suite-north-2026-q3.csv"},
      {&d.south, "suite-south.txt"}, {&d.events, "events.csv"},
      {&d.refused, "refused.csv"},   {&d.truth, "truth.csv"},
  };
  for (size_t i = 0; i < COUNT(files); i++)
    open_log(files[i].log, folder, files[i].name);
  write_headers(&d);
  for (int which = 0; which < SUITES; which++)
    write_suite(&d, which);
  write_truth(d.truth.file);
  bool written = true;
  for (size_t i = 0; i < COUNT(files); i++)
    written = close_log(files[i].log) && written;
  if (!written) {
    fputs("make_demo_logs: not all could be written; make room on the disk and try again\n",
          stderr);
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
