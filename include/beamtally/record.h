/* What a log or a person put in: checks, events, refused lines, sources.
 *
 * Words. A *check* is one row of a log: the readings of one calibration session of one unit at one
 * time. An *event* is something done to a unit at a time. A *source* is a log file, known by its
 * SHA-256. A *refusal* is a line (or a field of it) that could not be taken.
 *
 * Ownership: the texts in a record are borrowed; they live as long as whoever handed it out says.
 */
#ifndef BEAMTALLY_RECORD_H
#define BEAMTALLY_RECORD_H

#include "beamtally/base.h"

/* ---- Canonical columns of a check ------------------------------------------------------------ */

/* Numeric readings, in canonical order: X(ID, key, unit, sign). The key is the column's name in
 * logs, maps, settings and the ledger. `sign`: whether a reading below zero is possible (ANY) or a
 * reason to refuse the field (NOT_NEGATIVE). */
#define BT_READINGS(X)                                                                             \
  X(TARGET_MJ, target_mj, "mJ", NOT_NEGATIVE)               /* set pulse energy */                 \
  X(ENERGY_MJ, energy_mj, "mJ", NOT_NEGATIVE)               /* measured pulse energy */            \
  X(ENERGY_SD_PCT, energy_sd_pct, "%", NOT_NEGATIVE)        /* pulse-to-pulse spread */            \
  X(SPOT_MM, spot_mm, "mm", NOT_NEGATIVE)                   /* spot diameter */                    \
  X(FLUENCE_MJ_CM2, fluence_mj_cm2, "mJ/cm²", NOT_NEGATIVE) /* fluence at the plane */             \
  X(FLUENCE_SETTING, fluence_setting, "", NOT_NEGATIVE)     /* what staff set to reach it */       \
  X(PLATE_DEPTH_UM, plate_depth_um, "µm", NOT_NEGATIVE)     /* depth ablated in the test plate */  \
  X(PLATE_PULSES, plate_pulses, "", NOT_NEGATIVE)           /* pulses fired to make it */          \
  X(OFFSET_X_UM, offset_x_um, "µm", ANY)                    /* eye-tracker offset */               \
  X(OFFSET_Y_UM, offset_y_um, "µm", ANY)                                                           \
  X(SELFTEST_PASSED, selftest_passed, "", NOT_NEGATIVE) /* subsystems that passed */               \
  X(SELFTEST_TOTAL, selftest_total, "", NOT_NEGATIVE)   /* subsystems tested */                    \
  X(HV_KV, hv_kv, "kV", NOT_NEGATIVE)                   /* discharge voltage */                    \
  X(PULSES, pulses, "", NOT_NEGATIVE)                   /* pulse counter of the gas fill */        \
  X(FILL_AGE_DAYS, fill_age_days, "d", NOT_NEGATIVE)    /* logged age of the gas fill */           \
  X(TEMP_C, temp_c, "°C", ANY)                                                                     \
  X(RH_PCT, rh_pct, "%", NOT_NEGATIVE)                                                             \
  X(PRESSURE_MBAR, pressure_mbar, "mbar", NOT_NEGATIVE)

typedef enum bt_reading {
#define X(ID, key, unit, sign) BT_READING_##ID,
  BT_READINGS(X)
#undef X
      BT_READING_COUNT
} bt_reading;

/* Text fields, in canonical order: X(ID, key). */
#define BT_TEXTS(X)                                                                                \
  X(PATTERN, pattern)                 /* result of the test pattern: pass, fail, a grade */        \
  X(SELFTEST_FAILED, selftest_failed) /* which subsystems failed, as written */                    \
  X(METER, meter)                     /* the energy meter's id */                                  \
  X(OPERATOR, operator)               /* who checked: a code, never needed */                      \
  X(REMARK, remark)

typedef enum bt_text_field {
#define X(ID, key) BT_FIELD_##ID,
  BT_TEXTS(X)
#undef X
      BT_FIELD_COUNT
} bt_text_field;

/* Whether the unit was adjusted between arriving and this reading. */
typedef enum bt_state { BT_STATE_NONE, BT_AS_FOUND, BT_AS_LEFT } bt_state;

/* A refill noted in the check's own row. */
typedef enum bt_refill { BT_REFILL_NONE, BT_REFILL_BEFORE, BT_REFILL_AFTER } bt_refill;

typedef struct bt_check {
  const char *unit; /* name of the unit as written, trimmed; never NULL */
  bt_time time;     /* wall clock; the day's first second where the log has no clock */
  bool has_clock;
  int32_t sequence; /* number among the unit's checks of the same time, from 0; set by the ledger */
  uint32_t present; /* bit r set: reading[r] was there; a missing reading is absent, never NaN */
  double reading[BT_READING_COUNT]; /* canonical units, finite where present */
  const char *text[BT_FIELD_COUNT]; /* UTF-8, NULL where missing */
  bt_state state;
  bt_refill refill;
  int64_t line, last_line; /* physical lines of the source, from 1 */
} bt_check;

/* True when the check holds that reading. */
static inline bool bt_check_has(const bt_check *check, bt_reading reading) {
  return (check->present >> reading & 1U) != 0;
}

/* The key ("energy_mj"), unit ("mJ") and sign rule of a reading; key of a text field. */
const char *bt_reading_key(bt_reading reading);
const char *bt_reading_unit(bt_reading reading);
bool bt_reading_may_be_negative(bt_reading reading);
const char *bt_text_field_key(bt_text_field field);

/* ---- Events ---------------------------------------------------------------------------------- */

/* X(ID, key, words for a page). */
#define BT_EVENTS(X)                                                                               \
  X(GAS_REFILL, gas_refill, "gas refill")                                                          \
  X(GAS_BOTTLE, gas_bottle, "gas bottle changed")                                                  \
  X(OPTICS_CLEANED, optics_cleaned, "optics cleaned")                                              \
  X(SERVICE, service, "service visit")                                                             \
  X(RECALIBRATION, recalibration, "recalibration")                                                 \
  X(MOVED, moved, "moved")                                                                         \
  X(METER_CHANGED, meter_changed, "meter changed")                                                 \
  X(OTHER, other, "other")

typedef enum bt_event_kind {
#define X(ID, key, words) BT_EVENT_##ID,
  BT_EVENTS(X)
#undef X
      BT_EVENT_COUNT
} bt_event_kind;

typedef struct bt_event {
  const char *unit;
  bt_time time;
  bool has_clock;
  bt_event_kind kind;
  const char *note;        /* NULL where there is none */
  int64_t line, last_line; /* 0 for an event typed in by hand */
} bt_event;

const char *bt_event_key(bt_event_kind kind);
const char *bt_event_words(bt_event_kind kind);

/* True and *kind when key names a kind ("gas_refill"; case, blanks and hyphens don't matter). */
bool bt_event_kind_of(const char *key, bt_event_kind *kind) BT_MUST_CHECK;

/* ---- Refused lines, sources ------------------------------------------------------------------ */

/* Why a line was not taken. Never the raw line: it may hold what a QA record must not. */
typedef struct bt_refusal {
  int64_t line;
  const char *column; /* header of the column, NULL when the line as a whole is meant */
  const char *field;  /* canonical key it was mapped to, NULL likewise */
  const char *value;  /* the mapped field as read, shown on the screen; cut at 80 bytes */
  const char *reason; /* what was expected and what to do, one sentence */
  bool serious;       /* the line held a failing self-test or a remark: listed first */
} bt_refusal;

typedef enum bt_source_kind { BT_SOURCE_CHECKS, BT_SOURCE_EVENTS } bt_source_kind;

enum { BT_SHA256_BYTES = 32 };

/* A log file as the survey found it. */
typedef struct bt_source {
  const char *name; /* file name without folders, UTF-8 */
  bt_source_kind kind;
  unsigned char sha256[BT_SHA256_BYTES];
  int64_t bytes;
  const char *reading; /* canonical text of all that decided how it was read: delimiter, decimal
                          mark, encoding, date order, column map; two imports of one file are the
                          same when this text is */
} bt_source;

/* ---- What the ledger tells of an import ------------------------------------------------------ */

typedef struct bt_import_counts {
  int64_t rows;      /* rows of data in the file */
  int64_t fresh;     /* new to the ledger */
  int64_t known;     /* already there, from this or another source */
  int64_t conflicts; /* held back: the ledger has other readings for that unit and time */
  int64_t refused;   /* not taken, each with its reason */
  bool repeated;     /* this very file was imported before, read in the same way */
} bt_import_counts;

/* What a page says of where the numbers come from. */
typedef struct bt_provenance {
  int64_t sources, checks, events, refused, conflicts;
  char state[21]; /* ledger state, 20 hex digits */
} bt_provenance;

#endif
