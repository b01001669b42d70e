/* The report room: findings to words, tables and pages. It recomputes no number.
 *
 * Ownership: a document that comes out is owned (bt_document_free); texts are appended. */
#ifndef BEAMTALLY_REPORT_H
#define BEAMTALLY_REPORT_H

#include "beamtally/base.h"
#include "beamtally/finding.h"
#include "beamtally/page.h"

typedef enum bt_paper { BT_PAPER_A4, BT_PAPER_LETTER } bt_paper;

typedef struct bt_report_request {
  bt_time month;       /* any moment of the month reported on */
  bt_time from, to;    /* what the charts show: [from, to) */
  bt_paper paper;      /* landscape */
  bt_time created;     /* document date */
  int64_t revision;    /* of the issued monthly report; 0: a draft, as each of its pages says */
  const bt_book *book; /* NULL: the data page has neither files nor decisions */
  /* What the revision before was issued of: the unit as it stood then, and that issue. NULL in a
   * first one. The book's later entries are those after it. */
  const bt_unit_study *before;
  const bt_issued *before_issue;
  const char *heading; /* of a characteristic's page; NULL: its title */
  size_t missing;      /* characters that no font at hand has, which the footers count */
} bt_report_request;

/* The subject of a monthly report's document; of a draft, a comma and these words behind it, which
 * tell a draft from a report that was issued and altered. */
#define BT_REPORT_SUBJECT "Calibration history, monthly report"
#define BT_REPORT_DRAFT   "DRAFT, not issued"

/* The monthly PDF of one unit: a summary page, then a page for each characteristic. */
bt_status bt_report_month(const bt_unit_study *study, const bt_report_request *request,
                          const bt_measure *measure, bt_document *document,
                          bt_error *error) BT_MUST_CHECK;

/* A unit's row in the comparison of all units: what its own report says, in short. */
typedef struct bt_overview_row {
  char *unit, *verdict, *checked, *tolerance, *signals, *drift, *next; /* owned */
  char *file; /* owned: its report and revision */
  bt_verdict rank;
  bt_ink ink;       /* of the verdict's words */
  bt_deviation off; /* its worst characteristic */
  int64_t revision; /* of its report; 0: a draft */
  /* Its pulse-energy ratio in the span shown, raw, one value a point: n 0 where it has none. */
  size_t n;
  double *day, *ratio;
  uint8_t *outside; /* a check of that point is outside tolerance */
  bool has_low, has_high, has_centre;
  double low, high, centre, sigma; /* tolerance in force; baseline */
} bt_overview_row;

/* `file` is the name of the unit's own report, or NULL. study->drift was looked for. */
bt_status bt_overview_row_make(const bt_unit_study *study, const bt_report_request *request,
                               const char *file, bt_overview_row *row,
                               bt_error *error) BT_MUST_CHECK;
void bt_overview_row_free(bt_overview_row *row);

/* All units beside each other, the worst verdict first, of one verdict the farthest off: sorts the
 * rows. `clinic` may be NULL; `state` is the ledger's. */
bt_status bt_report_overview(bt_overview_row *rows, size_t n, const char *clinic, const char *state,
                             const bt_report_request *request, const bt_measure *measure,
                             bt_document *document, bt_error *error) BT_MUST_CHECK;

/* The case for the manufacturer's engineer: one page that says it, before and after each event with
 * likely causes, charts, and the method. The drift of the unit must have been looked for. */
bt_status bt_report_case(const bt_case *one, const bt_report_request *request,
                         const bt_measure *measure, bt_document *document,
                         bt_error *error) BT_MUST_CHECK;

/* A page with the chart of each of these characteristics, one or more. */
bt_status bt_report_charts(const bt_unit_study *study, const bt_study *const *of, size_t n,
                           const bt_report_request *request, const bt_measure *measure,
                           bt_document *document, bt_error *error) BT_MUST_CHECK;

/* The daily screen for one unit, plain text, lines of at most 80 columns. `colour` adds terminal
 * colour to words that already say it. */
bt_status bt_report_status(const bt_unit_study *study, bool colour, bt_text *out,
                           bt_error *error) BT_MUST_CHECK;

/* The glossary of the pages, plain text in 80 columns: all of it with NULL, else the entries named
 * so, or that speak of it. Appends nothing where there is none. */
bt_status bt_report_words(const char *word, bt_text *out, bt_error *error) BT_MUST_CHECK;

/* One laser in a list of several, in 80 columns: its name, its verdict, and the characteristics
 * with an open alarm. */
bt_status bt_report_status_line(const bt_unit_study *study, bt_text *out,
                                bt_error *error) BT_MUST_CHECK;

/* `analyse --format text`: what the page says of [from, to), its numbers panel, and the episodes
 * that reach into it, in 80 columns. */
bt_status bt_report_analysis(const bt_unit_study *study, const bt_study *of, bt_time from,
                             bt_time to, bt_text *out, bt_error *error) BT_MUST_CHECK;

/* `drift --format text`: the drift of one characteristic, or with NULL of all that changed and a
 * line for each other one, in 80 columns. study->drift was looked for. */
bt_status bt_report_drift(const bt_unit_study *study, const bt_drift *only, bt_text *out,
                          bt_error *error) BT_MUST_CHECK;

/* `runlength --format text`: what each chart costs in control and how soon it finds a shift, in
 * words and a small table, in 80 columns. */
bt_status bt_report_run_lengths(const bt_run_table *tables, size_t n, bt_text *out,
                                bt_error *error) BT_MUST_CHECK;

/* The same for charts used together, and for charts that keep a budget, in 80 columns. */
bt_status bt_report_run_set(const bt_run_set *set, bt_text *out, bt_error *error) BT_MUST_CHECK;
bt_status bt_report_suggestions(const bt_budget *budget, const bt_suggestion *suggestions, size_t n,
                                bt_text *out, bt_error *error) BT_MUST_CHECK;

#endif
