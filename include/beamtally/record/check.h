/* A check: one row of a log, the readings of one calibration session of one unit at one time, and
 * the canonical columns that it has. */
#ifndef BEAMTALLY_RECORD_CHECK_H
#define BEAMTALLY_RECORD_CHECK_H

#include "beamtally/base.h"

/* Numeric readings, in canonical order: X(ID, key, unit, sign, size). The key is the column's name
 * in logs, maps, settings and the ledger. `sign`: whether a reading below zero is possible (ANY) or
 * a reason to refuse the field (NOT_NEGATIVE). `size`: STEADY, it stays within a factor of ten
 * while a laser and its map are in order, or VARIES. */
#define BT_READINGS(X)                                                                             \
  X(TARGET_MJ, target_mj, "mJ", NOT_NEGATIVE, STEADY)               /* set pulse energy */         \
  X(ENERGY_MJ, energy_mj, "mJ", NOT_NEGATIVE, STEADY)               /* measured pulse energy */    \
  X(ENERGY_SD_PCT, energy_sd_pct, "%", NOT_NEGATIVE, VARIES)        /* pulse-to-pulse spread */    \
  X(SPOT_MM, spot_mm, "mm", NOT_NEGATIVE, STEADY)                   /* spot diameter */            \
  X(FLUENCE_MJ_CM2, fluence_mj_cm2, "mJ/cm²", NOT_NEGATIVE, STEADY) /* fluence at the plane */     \
  X(FLUENCE_SETTING, fluence_setting, "", NOT_NEGATIVE, VARIES) /* what staff set to reach it */   \
  X(PLATE_DEPTH_UM, plate_depth_um, "µm", NOT_NEGATIVE, STEADY) /* depth in the test plate */      \
  X(PLATE_PULSES, plate_pulses, "", NOT_NEGATIVE, VARIES)       /* pulses fired to make it */      \
  X(OFFSET_X_UM, offset_x_um, "µm", ANY, VARIES)                /* eye-tracker offset */           \
  X(OFFSET_Y_UM, offset_y_um, "µm", ANY, VARIES)                                                   \
  X(SELFTEST_PASSED, selftest_passed, "", NOT_NEGATIVE, VARIES) /* subsystems that passed */       \
  X(SELFTEST_TOTAL, selftest_total, "", NOT_NEGATIVE, VARIES)   /* subsystems tested */            \
  X(HV_KV, hv_kv, "kV", NOT_NEGATIVE, STEADY)                   /* discharge voltage */            \
  X(PULSES, pulses, "", NOT_NEGATIVE, VARIES)                /* pulse counter of the gas fill */   \
  X(FILL_AGE_DAYS, fill_age_days, "d", NOT_NEGATIVE, VARIES) /* logged age of the gas fill */      \
  X(TEMP_C, temp_c, "°C", ANY, VARIES)                                                             \
  X(RH_PCT, rh_pct, "%", NOT_NEGATIVE, VARIES)                                                     \
  X(PRESSURE_MBAR, pressure_mbar, "mbar", NOT_NEGATIVE, STEADY)                                    \
  X(ENERGY_PCT, energy_pct, "%", NOT_NEGATIVE, STEADY) /* measured pulse energy, of the set one */

typedef enum bt_reading {
#define X(ID, ...) BT_READING_##ID,
  BT_READINGS(X)
#undef X
      BT_READING_COUNT,
  BT_READING_NONE = BT_READING_COUNT
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

/* A reading of a characteristic of the clinic's own (setup.h). */
typedef struct bt_own_reading {
  const char *key;
  double value; /* finite */
} bt_own_reading;

typedef struct bt_check {
  const char *unit; /* name of the unit as written, trimmed; never NULL */
  bt_time time;     /* wall clock; the day's first second where the log has no clock */
  bool has_clock;
  int32_t sequence; /* number among the unit's checks of the same time, from 0; set by the ledger */
  uint32_t present; /* bit r set: reading[r] was there; a missing reading is absent, never NaN */
  double reading[BT_READING_COUNT]; /* canonical units, finite where present */
  size_t own_n;
  const bt_own_reading *own;        /* each key at most once */
  const char *text[BT_FIELD_COUNT]; /* UTF-8, NULL where missing */
  bt_state state;
  bt_refill refill;
  int64_t line, last_line; /* physical lines of the source, from 1 */
} bt_check;

/* Frees the texts and the array of a check that owns them; accepts NULL. */
void bt_check_free(bt_check *check);

/* True when the check holds that reading. */
static inline bool bt_check_has(const bt_check *check, bt_reading reading) {
  return (check->present >> reading & 1U) != 0;
}

/* True when the check holds nothing that was found or done: no reading, pattern, failed self-test,
 * refill or remark; at most who read, with what and in which state. */
bool bt_check_says_nothing(const bt_check *check);

/* The key ("energy_mj"), unit ("mJ"), sign and size rule of a reading; key of a text field. */
const char *bt_reading_key(bt_reading reading);
const char *bt_reading_unit(bt_reading reading);
bool bt_reading_may_be_negative(bt_reading reading);
bool bt_reading_is_steady(bt_reading reading);
const char *bt_text_field_key(bt_text_field field);

/* True and *field when key names one, exactly. */
bool bt_text_field_of(const char *key, bt_text_field *field) BT_MUST_CHECK;

#endif
