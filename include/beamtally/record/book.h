/* The book: where a unit's record comes from, for a report's data page. */
#ifndef BEAMTALLY_RECORD_BOOK_H
#define BEAMTALLY_RECORD_BOOK_H

#include "beamtally/base.h"
#include "beamtally/record/digest.h"
#include "beamtally/record/source.h"

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
  unsigned lost; /* bt_lost bits */
  bool past;     /* a later reading of its log tells which lines are refused still; not counted */
} bt_book_refusal;

/* Refused lines of one log that a person left out at once. */
typedef struct bt_book_left_out {
  char *source;               /* file name */
  int64_t first, last, lines; /* the lines lie from `first` to `last` */
  unsigned lost;              /* bt_lost bits of all of them */
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
  bt_book_refusal *refusals;   /* past ones last, those that lost something first; but those that
                                  stand and were left out */
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

#endif
