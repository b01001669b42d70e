/* A source: a log file that is imported, and the refusals: its lines, or fields of them, that could
 * not be taken. */
#ifndef BEAMTALLY_RECORD_SOURCE_H
#define BEAMTALLY_RECORD_SOURCE_H

#include "beamtally/base.h"
#include "beamtally/record/digest.h"

typedef enum bt_source_kind { BT_SOURCE_CHECKS, BT_SOURCE_EVENTS } bt_source_kind;

/* A log file as the survey found it. */
typedef struct bt_source {
  const char *name; /* file name without folders, UTF-8 */
  bt_source_kind kind;
  unsigned char sha256[BT_SHA256_BYTES];
  int64_t bytes;
  const char *reading; /* canonical text of all that decided how it was read: delimiter, decimal
                          mark, encoding, date order, column map; two imports of one file are the
                          same when this text is, but for the name of the map (line "mapfile") and
                          for what columns are called */
} bt_source;

/* A time that can't be, for the clock that wrote it or the one that reads it. */
typedef enum bt_clock_doubt {
  BT_CLOCK_FINE,
  BT_CLOCK_EARLY, /* before any such laser had a log */
  BT_CLOCK_LATE   /* later than tomorrow */
} bt_clock_doubt;

/* What a refused line held that nobody may miss, in bits: it stands in no chart and no count. */
typedef enum bt_lost {
  BT_LOST_UNTOLD = 1,   /* one of the others; older ledgers do not tell which */
  BT_LOST_SELFTEST = 2, /* a failing self-test */
  BT_LOST_REMARK = 4,
  BT_LOST_REFILL = 8
} bt_lost;

/* Adds "a failed self-test, a remark or a refill": those that are set, the last joined with
 * `joint`, "and" or "or"; all of them where it isn't told which. */
void bt_lost_words(unsigned lost, const char *joint, bt_text *out);

/* Stands at the end of a reason where a refill is lost, if there is room for it. */
#define BT_REFUSED_REFILL "; the gas refill that the row notes is lost with it"

/* bt_lost bits that the reason of a refused line does not tell by itself. */
unsigned bt_lost_untold(unsigned lost, const char *reason);

/* Why a line was not taken. Never the raw line: it may hold what a QA record must not. */
typedef struct bt_refusal {
  int64_t line;
  const char *column;   /* header of the column, NULL when the line as a whole is meant */
  const char *field;    /* canonical key it was mapped to, NULL likewise */
  const char *value;    /* the mapped field as read, shown on the screen; cut at 80 bytes */
  const char *reason;   /* what was expected and what to do, one sentence */
  bt_clock_doubt clock; /* told, not stored */
  unsigned lost;        /* bt_lost bits; a line with any is listed first */
} bt_refusal;

#endif
