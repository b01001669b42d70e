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
  X(PRESSURE_MBAR, pressure_mbar, "mbar", NOT_NEGATIVE)                                            \
  X(ENERGY_PCT, energy_pct, "%", NOT_NEGATIVE) /* measured pulse energy, of the set one */

typedef enum bt_reading {
#define X(ID, key, unit, sign) BT_READING_##ID,
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

/* The key ("energy_mj"), unit ("mJ") and sign rule of a reading; key of a text field. */
const char *bt_reading_key(bt_reading reading);
const char *bt_reading_unit(bt_reading reading);
bool bt_reading_may_be_negative(bt_reading reading);
const char *bt_text_field_key(bt_text_field field);

/* True and *field when key names one, exactly. */
bool bt_text_field_of(const char *key, bt_text_field *field) BT_MUST_CHECK;

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
  int64_t number;          /* the ledger's, by which a correction names it; 0 in what comes in */
  int64_t line, last_line; /* 0 for an event typed in by hand */
} bt_event;

/* Frees the texts of an event that owns them; accepts NULL. */
void bt_event_free(bt_event *event);

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
  bool serious;       /* the line held a failing self-test, a remark or a refill: listed first */
} bt_refusal;

typedef enum bt_source_kind { BT_SOURCE_CHECKS, BT_SOURCE_EVENTS } bt_source_kind;

enum { BT_SHA256_BYTES = 32, BT_SHA256_TEXT = 2 * BT_SHA256_BYTES + 1 };

/* The 64 hexadecimal digits, as sha256sum prints them, in the buffer of BT_SHA256_TEXT bytes. */
const char *bt_sha256_text(const unsigned char *sha256, char *buffer);

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

/* ---- What people decided about the record ---------------------------------------------------- */

/* Which of two records of one unit and time stands. */
typedef enum bt_keep { BT_KEEP_OLD, BT_KEEP_NEW, BT_KEEP_BOTH } bt_keep;

/* "old", "new", "both". */
const char *bt_keep_word(bt_keep keep);

enum { BT_ID_DIGITS = 8 };

/* Rows of one source that contradict what the ledger has of that unit and time. */
typedef struct bt_conflict {
  char id[BT_ID_DIGITS + 1]; /* first hex digits of the digest of its first row held back */
  bt_time time;
  bool has_clock;
  bool settled;
  bt_keep kept;  /* where settled, with by, why and when */
  bool replaced; /* settled, as OLD, by the entry that read its file again in another way */
  char *by, *why;
  bt_time settled_at;
  char *unit, *source; /* the source's file name */
  char *stored, *held; /* what the ledger has and what came, as "energy_mj 1.61, pattern pass",
                          several rows parted by "; "; readings that differ only */
  int64_t held_n;
} bt_conflict;

/* What superseded a record. */
typedef enum bt_correction_kind {
  BT_CORRECTED, /* another record took its place */
  BT_WITHDRAWN,
  BT_READ_AGAIN, /* its file was imported again, read in another way */
  BT_SETTLED,    /* a conflict was settled, whatever was kept */
  BT_REDACTED    /* a text of it was removed for good */
} bt_correction_kind;

/* "corrected", "withdrawn", "read again", "conflict settled", "text removed". */
const char *bt_correction_words(bt_correction_kind kind);

/* What of a check a correction changed, or what a withdrawn one held. */
typedef struct bt_touched {
  uint32_t readings; /* bit r set: reading r */
  bool place;        /* changed: unit, time or state, which say what all readings of the row are */
  bool refill;
  size_t own_n;
  char **own; /* keys of the clinic's own characteristics; owned */
} bt_touched;

typedef struct bt_correction {
  bt_correction_kind kind;
  bool of_event;
  char *unit;
  bt_time time; /* of the record that it is about */
  bool has_clock;
  int32_t sequence;   /* of a check */
  int64_t event;      /* number of an event; 0 for a check */
  char *changes;      /* "energy_mj 1.61 -> 1.59"; what a withdrawn record held; the field of a
                         removed text; what became of the rows of a conflict where no record was
                         superseded. For BT_READ_AGAIN "rows replaced by importing log.csv again",
                         one for all its rows */
  bt_touched touched; /* of a check that was corrected or withdrawn; else nothing */
  int64_t records;    /* how many records it is about: 1, but for BT_READ_AGAIN */
  bt_time at;         /* when it was entered, by whom, and why */
  char *by, *why;
} bt_correction;

/* Owned lists; each accepts NULL and 0. */
void bt_conflicts_free(bt_conflict *conflicts, size_t n);
void bt_corrections_free(bt_correction *corrections, size_t n);

/* What people concluded of an episode. It belongs to the episodes of its characteristic and side
 * that it overlaps in time. */
typedef struct bt_disposition {
  char episode[BT_ID_DIGITS + 1]; /* id of the episode as it was then */
  char *characteristic;           /* key */
  bool high;                      /* side */
  bt_time from, to;               /* first and last signalling point as they were then */
  int64_t baseline_version;       /* that judged it; 0 where it was only suggested */
  char *cause, *action;
  bool restart;       /* the CUSUM restarts once the action was done */
  bt_time restart_at; /* that was then; 0: nobody said, it restarts at the first point after `to` */
  bt_time at;         /* when it was entered */
  char *by;
} bt_disposition;

void bt_dispositions_free(bt_disposition *dispositions, size_t n);

/* A report that was issued. */
typedef struct bt_issued {
  char *unit;                            /* NULL: of all units */
  bt_time month;                         /* its first moment */
  int64_t number;                        /* revision, from 1 */
  unsigned char sha256[BT_SHA256_BYTES]; /* of the PDF */
  char state[21];                        /* ledger state that the report prints */
  bt_time at;
  char *by;
} bt_issued;

void bt_issued_free(bt_issued *issued, size_t n);

/* ---- The book: where a unit's record comes from, for a report's data page -------------------- */

typedef struct bt_book_source {
  char *name;
  bt_source_kind kind;
  unsigned char sha256[BT_SHA256_BYTES];
  int64_t bytes;
  int64_t rows, fresh, known, conflicts; /* of the unit; 0 of all for a log of events */
  int64_t refused;                       /* lines of the whole file */
  int64_t entry;
  bt_time at; /* of its import */
} bt_book_source;

typedef struct bt_book_refusal {
  char *source; /* file name */
  int64_t line;
  char *column; /* NULL: the line as a whole */
  char *reason;
  bool serious;
  bool past; /* a later reading of its log tells which lines are refused still; not counted */
} bt_book_refusal;

/* Refused lines of one log that a person left out at once. */
typedef struct bt_book_left_out {
  char *source;               /* file name */
  int64_t first, last, lines; /* the lines lie from `first` to `last` */
  bool serious;               /* of one of them at least */
  bt_time at;
  char *by, *why;
} bt_book_left_out;

/* A version of the settings, or a frozen baseline. */
typedef struct bt_book_decision {
  int64_t version;
  char *characteristic; /* key; NULL for settings */
  bt_time from, to;     /* of a baseline's period */
  int64_t n;            /* its points */
  bt_time at;
  char *by, *why;
} bt_book_decision;

/* An entry of the ledger, and what it concerned where that is known. */
typedef struct bt_book_entry {
  int64_t number;
  char *kind, *by, *why; /* by and why NULL where nobody gave them */
  char *about;           /* the file's name, the characteristic; NULL */
  int64_t checks;        /* of the unit that it brought */
  bt_time at;
} bt_book_entry;

typedef struct bt_book {
  size_t sources_n, refusals_n, left_out_n, settings_n, baselines_n, later_n;
  bt_book_source *sources;     /* in order of their import */
  bt_book_refusal *refusals;   /* past ones last, serious ones first; but those that stand and were
                                  left out */
  bt_book_left_out *left_out;  /* in order of their entry */
  bt_book_decision *settings;  /* in order of their version */
  bt_book_decision *baselines; /* of the unit, in order of their entry */
  bt_book_entry *later;        /* entries after the one that was asked about */
} bt_book;

void bt_book_free(bt_book *book);

/* The entry only says that a report was issued: nothing that a report shows comes from it. */
bool bt_is_issue(const bt_book_entry *entry);
/* An entry after the one that was asked about is more than an issue, or a newer version of the
 * ledger, which holds what the older one held. */
bool bt_book_has_news(const bt_book *book);

/* ---- Tables, for an export ------------------------------------------------------------------- */

typedef enum bt_cell_type {
  BT_CELL_EMPTY,
  BT_CELL_INTEGER,
  BT_CELL_REAL,
  BT_CELL_TEXT,
  BT_CELL_DAY,   /* of `integer`, a bt_time: "2026-08-17" */
  BT_CELL_CLOCK, /* "08:05", with seconds where they aren't zero */
  BT_CELL_MOMENT /* "2026-08-17T08:05", likewise */
} bt_cell_type;

typedef struct bt_cell {
  bt_cell_type type;
  int64_t integer;
  double real;
  const char *text; /* UTF-8, borrowed */
} bt_cell;

/* Who takes a table's rows; each may refuse to go on by its status. */
typedef struct bt_table_sink {
  void *context;
  bt_status (*columns)(void *context, const char *const *names, size_t n, bt_error *error);
  bt_status (*row)(void *context, const bt_cell *cells, size_t n, bt_error *error);
} bt_table_sink;

/* ---- What the ledger tells of an import, and of its record ----------------------------------- */

/* Rows of a file that a person should look at: how many, and the first. */
typedef struct bt_told_rows {
  int64_t n;
  int64_t line; /* this and what follows: of the first; of none where n is 0 */
  bt_time time;
  bool has_clock;
  int32_t sequence;
} bt_told_rows;

typedef struct bt_import_counts {
  int64_t rows;             /* rows of data in the file */
  int64_t fresh;            /* new to the ledger */
  int64_t known;            /* already there, from this or another source */
  int64_t conflicts;        /* held back: the ledger has other readings for that unit and time */
  int64_t conflicts_before; /* of these, rows that were held back before, and that nobody settled */
  int64_t refused;          /* not taken, each with its reason */
  int64_t left_out; /* of the refused lines, those that a person had left out by decision ... */
  int64_t
      left_out_serious; /* ... and of these, such with a failing self-test, a remark or a refill */
  int64_t superseded;   /* records of an earlier import of the same file that these took the place
                           of: 0 but for --again */
  int64_t closed;       /* conflicts of earlier imports of the same file that this one replaced */
  int64_t removed;      /* texts left out, of known rows too: a person had the text of that check or
                           event removed */
  bt_told_rows twins;   /* of `fresh`: rows that say the same as another row of the file */
  bt_told_rows reworded; /* of `known`: rows whose remark or operator the ledger does not have;
                            sequence is 0 */
  bool repeated;         /* this very file was imported before, read in the same way */
  bool unknown_units;    /* nothing was stored: it names units that the ledger does not know */
} bt_import_counts;

/* What a page says of where the numbers come from. */
typedef struct bt_provenance {
  int64_t sources;       /* log files by their names */
  int64_t sources_again; /* of these, those that were imported in more than one version */
  int64_t checks, events, refused;
  int64_t serious;   /* of the refused lines that nobody left out, those with a failing self-test, a
                        remark or a refill */
  int64_t left_out;  /* of the refused lines, those that a person left out by decision */
  int64_t conflicts; /* rows held back whose conflict nobody has settled */
  int64_t corrections; /* checks and events that were superseded, those of a file that was read
                          again as one; texts that were removed */
  char state[21];      /* ledger state, 20 hex digits */
} bt_provenance;

#endif
