/* The demo clinic's program, shared by its files: what the tables hold, and the parts that read
 * them.
 *
 * Words. A *suite* is the room of one laser; a *deed* is something done to a laser beside the gas
 * refills; an *episode* is a change that was built into the readings. Dates in tables are texts
 * ("2025-04-01"), elsewhere days since 1970-01-01; clock times are minutes of the day.
 *
 * Ownership: all texts are constants. */
#ifndef DEMO_H
#define DEMO_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

/* ---- Tables: demo_tables.c ------------------------------------------------------------------- */

enum { NORTH, SOUTH, SUITES };

typedef struct suite {
  const char *name;
  double target, target_sigma;   /* mJ; sigma 0: staff set one figure, else a servo sets it */
  double ratio_sigma;            /* of the energy ratio */
  double loss;                   /* inside a fill, in sigma a day */
  double mean_age;               /* days; there the mean ratio is 1 */
  double fluence, fluence_sigma; /* mJ/cm² */
  double spread, spread_sigma;   /* % */
  double x, x_sigma, y, y_sigma; /* µm */
  double voltage, voltage_sigma; /* kV; 0: none is logged */
  int minute;                    /* usual time of the check */
  int refill_days;               /* planned from refill to refill: one less or more now and then */
  int selftests;
  bool logs_room; /* temperature and humidity stand in the log */
} suite;

extern const suite suites[SUITES];

#define FIRST_DAY       "2025-04-01"
#define LAST_DAY        "2026-09-30"
#define FIRST_EXPORT_TO "2026-08-14" /* the last day of suite-north.csv */
#define SECOND_EXPORT   "2026-07-01" /* the first day of suite-north-2026-q3.csv */
#define BASELINE_TO     "2025-07-18" /* nothing but noise and the loss inside the fills till then */
#define METER_CHANGED   "2025-11-15"

/* Room conditions, the same in both suites: mean and sigma. */
extern const double temperature_mean, temperature_sigma, humidity_mean, humidity_sigma;

extern const double missed_share;  /* mornings without a check */
extern const double missing_share; /* readings left out */

/* A relative rise of the demand raises the voltage by this share of it. */
extern const double voltage_gain;

/* The mis-reading, and how many minutes after a check its retest comes. */
extern const double misread_ratio;
enum { MISREADING_RETEST = 20, SELFTEST_RETEST = 25 };

/* Days without checks, both included. */
typedef struct closed_days {
  const char *from, *to;
} closed_days;

extern const closed_days closed[];
extern const size_t closed_n;

typedef enum quantity { RATIO, FLUENCE, TRACKER_X, SPREAD, DEMAND, VOLTAGE, FILL_LOSS } quantity;

/* STAIRS go up by an eighth of the size every 14 days. FOLLOWS is there for truth.csv alone: the
 * effect comes through the quantity of the same key. */
typedef enum shape { STEP, RAMP, STAIRS, FOLLOWS } shape;
enum { STAIRS_N = 8, STAIR_DAYS = 14 };

/* From the first check on or after `from` until the last before `to`. */
typedef struct episode {
  int suite;
  quantity quantity;
  shape shape;
  const char *key, *from, *to;
  double size; /* the largest, in the quantity's unit; 0 for FOLLOWS */
  const char *words;
} episode;

extern const episode episodes[];
extern const size_t episodes_n;

typedef struct deed {
  int suite;
  const char *day, *time, *event, *note;
} deed;

extern const deed deeds[];
extern const size_t deeds_n;

/* What is odd about a single morning. */
typedef enum oddity { NOTHING, MISREADING, SELFTEST, BAD_NUMBER, BAD_DATE, NEGATIVE } oddity;

typedef struct morning {
  int suite;
  const char *day;
  oddity oddity;
} morning;

extern const morning mornings[];
extern const size_t mornings_n;

/* ---- Days: demo_days.c ----------------------------------------------------------------------- */

typedef struct calendar_day {
  int year, month, day;
} calendar_day;

/* The day of a table's date; the tables are ours, so a wrong one ends the program. */
int64_t day_of(const char *date);
calendar_day calendar_of(int64_t day);
bool is_open(int64_t day);

/* ---- Chance: demo_chance.c ------------------------------------------------------------------- */

enum { SPREAD_CELL, FLUENCE_CELL, TRACKER_CELL, TEMPERATURE_CELL, HUMIDITY_CELL, CELLS };

/* All that one check may need: first uniform in [0, 1), then standard normal variates. */
typedef struct chance {
  double missed, interval, missing[CELLS], mark, who, target;
  double minute, refill_minute;
  double ratio, fluence, spread, x, y, voltage, temperature, humidity;
} chance;

/* Depends on its arguments alone; attempt 0 is the morning's check, 1 its retest. */
chance chance_of(uint64_t seed, int which, int64_t day, int attempt);

/* ---- Readings: demo_readings.c --------------------------------------------------------------- */

typedef struct check {
  int64_t day;
  int minute;
  double target, energy, spread, fluence, x, y, voltage, temperature, humidity;
  int selftest_passed;
  const char *missing[CELLS]; /* what stands in the cell instead of the reading, or NULL */
  int who;
  const char *remark;
  oddity oddity;
} check;

/* What the laser reads at that time; `fill` is the time of the last refill, in minutes since
 * 1970-01-01. */
check read_laser(int which, int64_t day, int minute, int64_t fill, const chance *c);

/* ---- Files: demo_files.c and demo_truth.c ---------------------------------------------------- */

typedef struct log_file {
  FILE *file;
  const char *name;
  int lines; /* written so far */
} log_file;

typedef struct demo_files {
  log_file north, third_quarter, south, events, refused, truth;
} demo_files;

/* False with errno, and *failed the file's name, where one can't be opened or closed. */
bool open_files(demo_files *files, const char *folder, const char **failed);
bool close_files(demo_files *files, const char **failed);

void write_headers(demo_files *files);
void write_check(demo_files *files, int which, const check *r);
void write_event(demo_files *files, int which, int64_t day, const char *time, const char *event,
                 const char *note);
void write_truth(FILE *out);

#endif
