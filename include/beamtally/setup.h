/* What the clinic decided: units, tolerances, chart choices, schedule, budget, baselines, and how
 * a log's columns are to be read.
 *
 * Ownership: strings and arrays inside a value belong to it and go with its free function. */
#ifndef BEAMTALLY_SETUP_H
#define BEAMTALLY_SETUP_H

#include "beamtally/base.h"
#include "beamtally/record.h"

/* ---- Characteristics ------------------------------------------------------------------------- */

/* A measured quantity that is charted:
 * X(ID, key, title, unit, decimals, reading, judging, gas).
 * decimals  how many a page prints for a single reading
 * reading   the one (record.h) that it is, as logged; NONE where it follows from several or from
 *           settings (src/study/derive.c)
 * judging   ALARMS: it has a share of the budget of false alarms. TRACKER: likewise, but with the
 *           tracker's others together as one chart. NOTICES: it gives notices only. NOTHING: a
 *           condition of the room, a covariate: shown, never judged
 * gas       what ageing gas does to it: FALLS, RISES, or NONE. What gas acts on is moved to the
 *           baseline's mean fill age */
#define BT_CHARACTERISTICS(X)                                                                      \
  X(ENERGY_RATIO, energy_ratio, "Pulse-energy ratio", "", 4, NONE, ALARMS, FALLS)                  \
  X(DEMAND, demand, "Energy demand", "mJ", 3, TARGET_MJ, ALARMS, NONE)                             \
  X(FLUENCE, fluence, "Fluence", "mJ/cm²", 1, NONE, ALARMS, FALLS)                                 \
  X(TRACKER_X, tracker_x, "Tracker offset x", "µm", 1, OFFSET_X_UM, TRACKER, NONE)                 \
  X(TRACKER_Y, tracker_y, "Tracker offset y", "µm", 1, OFFSET_Y_UM, TRACKER, NONE)                 \
  X(TRACKER_RADIAL, tracker_radial, "Tracker offset, radial", "µm", 1, NONE, NOTICES, NONE)        \
  X(TRACKER_VECTOR, tracker_vector, "Tracker offset, T²", "", 2, NONE, TRACKER, NONE)              \
  X(HIGH_VOLTAGE, high_voltage, "Discharge voltage", "kV", 2, HV_KV, ALARMS, RISES)                \
  X(ENERGY_SPREAD, energy_spread, "Pulse-energy spread", "%", 2, ENERGY_SD_PCT, ALARMS, NONE)      \
  X(TEMPERATURE, temp_c, "Room temperature", "°C", 1, TEMP_C, NOTHING, NONE)                       \
  X(HUMIDITY, rh_pct, "Room humidity", "%", 0, RH_PCT, NOTHING, NONE)

typedef enum bt_characteristic {
#define X(ID, ...) BT_##ID,
  BT_CHARACTERISTICS(X)
#undef X
      BT_CHARACTERISTIC_COUNT
} bt_characteristic;

/* Of a built-in one; bt_settings_quantity names those of the clinic's own as well. */
const char *bt_characteristic_key(bt_characteristic characteristic);
int bt_characteristic_decimals(bt_characteristic characteristic);

/* The reading that a characteristic is, as logged; BT_READING_NONE of one that is derived, or of
 * the clinic's own. */
bt_reading bt_characteristic_reading(bt_characteristic characteristic);

typedef enum bt_judging {
  BT_JUDGING_ALARMS,
  BT_JUDGING_TRACKER,
  BT_JUDGING_NOTICES,
  BT_JUDGING_NOTHING
} bt_judging;

/* Of the clinic's own: notices. */
bt_judging bt_characteristic_judging(bt_characteristic characteristic);

typedef enum bt_gas { BT_GAS_FALLS = -1, BT_GAS_NONE = 0, BT_GAS_RISES = 1 } bt_gas;

/* Which way it goes as the gas ages; none of the clinic's own. */
bt_gas bt_characteristic_gas(bt_characteristic characteristic);

/* A further numeric column of the clinic's logs that it wants charted. In the code it is a
 * bt_characteristic as well: BT_CHARACTERISTIC_COUNT + its index in bt_settings.own. */
typedef struct bt_own_characteristic {
  char *key;   /* "door_force": letters, digits and _, unlike any canonical column or key */
  char *title; /* "Door closing force"; a log's header of this name is recognised too */
  char *unit;  /* "N"; "" where it has none */
  int decimals;
} bt_own_characteristic;

enum { BT_OWN_MOST = 32 };

/* How a characteristic is named on pages and in files. Borrowed texts. */
typedef struct bt_quantity {
  const char *key, *title, *unit;
  int decimals;
} bt_quantity;

/* Room conditions are covariates: shown, never judged by rules. */
bool bt_characteristic_is_covariate(bt_characteristic characteristic);

/* True and *characteristic when key names one. */
bool bt_characteristic_of(const char *key, bt_characteristic *characteristic) BT_MUST_CHECK;

/* ---- Settings -------------------------------------------------------------------------------- */

/* Spot model of a unit: without it no fluence is derived from energy and spot. */
typedef enum bt_beam { BT_BEAM_UNDECLARED, BT_BEAM_FLAT_TOP, BT_BEAM_GAUSSIAN } bt_beam;

/* Where fluence comes from: one derivation, as the clinic chose it. */
typedef enum bt_fluence_from {
  BT_FLUENCE_LOGGED, /* the log's own column; the default */
  BT_FLUENCE_ENERGY, /* energy and spot: no second witness beside the energy */
  BT_FLUENCE_PLATE   /* depth in the test plate, by the blow-off model */
} bt_fluence_from;

/* Whether energy_sd_pct is one or two standard deviations. */
typedef enum bt_spread_is { BT_SPREAD_UNSTATED, BT_SPREAD_1S, BT_SPREAD_2S } bt_spread_is;

typedef struct bt_unit_setting {
  char *name;
  bt_beam beam;
  bt_fluence_from fluence;
  bool has_plate;            /* both plate constants were given */
  double plate_alpha_per_um; /* absorption of the plate's material, 1/µm */
  double plate_threshold;    /* ablation threshold of the material, mJ/cm² */
  bt_spread_is spread;
  double refill_interval_days; /* what the clinic plans; 0 where unsaid */
  double pulses_per_day;       /* fill age is counted by pulses, so many of which are a day; 0: it
                                  is the time since the refill */
  double expected_days;        /* a check is expected within so many days; 0: from the schedule */
} bt_unit_setting;

/* What the clinic must keep, from the manufacturer or its own policy. */
typedef struct bt_tolerance {
  char *unit;
  bt_characteristic characteristic;
  bool has_low, has_high;
  double low, high; /* in the characteristic's unit; a reading equal to a limit is inside */
  char *source;     /* "instructions for use, section 7.2" */
  bt_time from;     /* in force from this day on, until a later one of the same characteristic */
} bt_tolerance;

typedef struct bt_settings {
  size_t units_n;
  bt_unit_setting *units;
  size_t tolerances_n;
  bt_tolerance *tolerances;
  uint32_t weekdays; /* bit d set: checks are made on ISO weekday d (1 Monday); 0 unsaid */
  double alarms_per_unit_year; /* budget; 1 by default */
  char *tell;                  /* whom to tell when a check fails; NULL where unsaid */
  char *clinic;                /* heads the report; NULL where unsaid */
  char *font;                  /* file of a face for characters that the pages' own lacks, as typed;
                                  NULL where unsaid */
  size_t own_n;
  bt_own_characteristic *own;
} bt_settings;

void bt_settings_free(bt_settings *settings);

/* The setting of that unit (names compared by bt_same_name), or NULL. Borrowed. */
const bt_unit_setting *bt_settings_unit(const bt_settings *settings, const char *unit);

/* True and *characteristic when key names one of the clinic's own or a built-in one. */
bool bt_settings_characteristic(const bt_settings *settings, const char *key,
                                bt_characteristic *characteristic) BT_MUST_CHECK;

/* Whether a built-in one is hidden by one of the clinic's own of the same key, declared before
 * Beamtally had it: what stands under that key is of the own one. */
bool bt_settings_hide(const bt_settings *settings, bt_characteristic characteristic);

/* How that characteristic is named; borrowed from the settings for the clinic's own. */
bt_quantity bt_settings_quantity(const bt_settings *settings, bt_characteristic characteristic);

/* The tolerance in force at that time, or NULL. Borrowed. */
const bt_tolerance *bt_settings_tolerance(const bt_settings *settings, const char *unit,
                                          bt_characteristic characteristic, bt_time at);

/* The next one to come into force after that time, or NULL. Borrowed. */
const bt_tolerance *bt_settings_next_tolerance(const bt_settings *settings, const char *unit,
                                               bt_characteristic characteristic, bt_time at);

/* The stretch of time in which one tolerance is in force. Zeroed at first. */
typedef struct bt_tolerance_stretch {
  bool known;
  const bt_tolerance *tolerance; /* or NULL */
  bt_time from, to;              /* [from, to) */
} bt_tolerance_stretch;

/* The same for one moment after another, of one unit and characteristic: names are compared only
 * where the stretch, which it keeps, ends. */
const bt_tolerance *bt_settings_tolerance_along(const bt_settings *settings, const char *unit,
                                                bt_characteristic characteristic, bt_time at,
                                                bt_tolerance_stretch *stretch);

/* ---- Baselines ------------------------------------------------------------------------------- */

/* A point that was left out of a baseline when it was frozen. */
typedef struct bt_baseline_exclusion {
  bt_time at; /* of the point */
  int32_t sequence;
  int pass; /* screening pass, from 1; 0: a check of it was outside tolerance */
  double z; /* its distance from that pass's centre, in that pass's sigma; 0 for pass 0 */
} bt_baseline_exclusion;

/* A frozen Phase I period. The numbers that follow from it are computed once, when it is frozen,
 * and stored, so that a later correction can be seen against them. */
typedef struct bt_baseline {
  int64_t version; /* counted from 1 for each unit and characteristic; 0: suggested, not frozen */
  bt_characteristic characteristic;
  bt_time from, to;           /* days, both within */
  bool screen;                /* points beyond 3 sigma are left out, one pass at a time */
  bool has_centre, has_sigma; /* frozen or stated */
  double centre, sigma;       /* of the charted series */
  bool adjusted;              /* charted series is moved to the baseline's mean fill age */
  double slope_per_day;       /* within-fill slope b; meaningful when adjusted */
  double slope_se, slope_low, slope_high; /* standard error and 95 % interval of b */
  int64_t fills;                          /* gas fills that b rests on */
  double mean_age_days;
  double oldest_age_days;
  double radial_limit; /* of the tracker's radius, 0 for all else */
  int64_t derivation;  /* which derivation the values came from: the limits hold for no other */
  int64_t n;           /* points that entered */
  /* tracker_vector only, else 0: means and covariance of (x, y) that T² is counted from */
  double mean_x, mean_y, var_x, var_y, cov_xy;
  bool from_differences;  /* that covariance is from successive differences */
  bool drift_accepted;    /* frozen though the tests below spoke of drift (--accept-drift) */
  double trend_p, step_p; /* of the tests at freezing; 1 where they could not be made */
  char *by, *why;
  size_t exclusions_n;
  bt_baseline_exclusion *exclusions; /* as a ledger tells them of a frozen one; owned */
} bt_baseline;

void bt_baseline_free(bt_baseline *baseline);

/* ---- How a log is read ----------------------------------------------------------------------- */

typedef enum bt_date_order {
  BT_DATES_AUTO,
  BT_DATES_YMD,
  BT_DATES_DMY,
  BT_DATES_MDY
} bt_date_order;
typedef enum bt_decimal_mark {
  BT_DECIMAL_AUTO,
  BT_DECIMAL_POINT,
  BT_DECIMAL_COMMA
} bt_decimal_mark;

/* The mark between groups of three digits; NONE: none is read. */
typedef enum bt_thousands {
  BT_THOUSANDS_NONE,
  BT_THOUSANDS_POINT,
  BT_THOUSANDS_COMMA,
  BT_THOUSANDS_SPACE, /* of any width */
  BT_THOUSANDS_APOSTROPHE
} bt_thousands;

/* One line of a map's [columns]: canonical key = header of the log's column. */
typedef struct bt_column_choice {
  char *key;       /* canonical column: "energy_mj", "date", "event" ... */
  char *header;    /* as written in the log; NULL when chosen by position */
  int position;    /* from 1; 0 when chosen by header. Neither: only the unit of a reading is said,
                      in long form */
  char *from_unit; /* unit of the log's column ("J"), converted to the canonical; NULL: canonical */
} bt_column_choice;

/* One line of a map's [values]: what a cell's text means. */
typedef struct bt_value_choice {
  char *key;    /* "event.gas_refill", "pattern", "selftest_passed", in long form "energy_mj" ... or
                   "not_stored" */
  char *header; /* the log's column */
  char *value;  /* cell text, compared by bt_same_name */
  char *result; /* "before" or "after" for a refill; the canonical text for a text field; the number
                   for a reading or a characteristic of the clinic's own; NULL where the text is
                   the name of a reading, in long form */
} bt_value_choice;

typedef struct bt_reading_choices {
  bool long_form;                   /* one row a reading: columns characteristic and value */
  const bt_own_characteristic *own; /* the clinic's own, that columns may hold; borrowed */
  size_t own_n;
  char delimiter; /* 0: decided by the survey */
  bt_decimal_mark decimal;
  bt_thousands thousands; /* never decided by the survey */
  bt_date_order dates;
  char *encoding;  /* NULL: decided by the survey */
  char *unit;      /* unit of every row, where the log has no such column */
  bool all_events; /* every row is an event of this kind: a list of refills */
  bt_event_kind event;
  size_t columns_n;
  bt_column_choice *columns; /* from a map; without any, columns are recognised by name */
  size_t values_n;
  bt_value_choice *values;
  const char *map;          /* the map's name, to be told; decides nothing. NULL: none. Borrowed */
  int64_t most_bytes;       /* of what can be read only once; 0: as many as any log may have */
  const char *spool_beside; /* what can be read only once is copied into the folder of this file;
                               NULL: the working folder. Borrowed */
} bt_reading_choices;

void bt_reading_choices_free(bt_reading_choices *choices);

#endif
