/* What the pages of a case share. */
#ifndef REPORT_CASE_H
#define REPORT_CASE_H

#include "report_drift.h"

/* The document as it is composed. */
typedef struct case_pages {
  report_builder *builder;
  const bt_case *one;
  const bt_report_request *request;
  report_frame frame;
  double y;          /* where the next line begins */
  const char *title; /* of the page, and of those that go on with it */
  size_t part;       /* how many pages have that title */
} case_pages;

/* Begins a page with its heading and footer. */
void report_case_begin(case_pages *on, const char *title);
/* Whether a section may begin on this page. */
bool report_case_has_room(const case_pages *on);
/* Goes on below, under that title, where the page has room for some of it; else begins a page. */
void report_case_section(case_pages *on, const char *title);
/* Goes on with the same title on a further page where so much does not fit any more. */
void report_case_room(case_pages *on, double height);
void report_case_heading(case_pages *on, const char *words);
void report_case_paragraph(case_pages *on, bt_style style, bt_ink ink, const char *words);

/* The height of a table's row. */
double report_case_line(const case_pages *on);
/* One row of a table: cells begin at shares of the width, and are cut to their columns. */
void report_case_row(case_pages *on, const double *at, const char *const *cells, size_t n,
                     bt_style style, bt_ink ink);

/* Questions of page 1 and their answers; one without words is left out. */
enum { REPORT_CASE_QUESTIONS = 14 };
typedef struct case_answers {
  size_t n;
  const char *question[REPORT_CASE_QUESTIONS];
  bt_text words[REPORT_CASE_QUESTIONS];
} case_answers;

/* The words of a further question, to be written into. Borrowed. */
bt_text *report_case_ask(case_answers *answers, const char *question);
/* Writes them, all on this page above `bottom` where the smallest type allows it. */
void report_case_answers(case_pages *on, const case_answers *answers, double bottom);
void report_case_answers_free(case_answers *answers);

/* What changed past its threshold, in the order in which it is told (report_drift_order): the one
 * after `before`, of NULL the first, which leads the case; NULL where there is none. */
const bt_drift *report_case_changed_after(const bt_case *one, const bt_drift *before);
const bt_drift *report_case_leads(const bt_case *one);
/* Whether an event brought back a change of it, wholly or in part: the window's. */
bool report_case_brought_back(const bt_drift *drift);
/* Events of one day are one: readings cannot tell what each of them made. The first of the event's
 * day; a gas refill is alone. */
size_t report_case_first_of_day(const bt_case *one, size_t event);
/* Whether the event is one of those that are one with the first of their day. */
bool report_case_is_of_day(const bt_case *one, size_t first, size_t event);
/* Whether it is the first of a day that the case tells of. */
bool report_case_tells_first(const bt_case *one, size_t first);
/* "Service visit and recalibration" of that day, each kind once. */
void report_case_day_words(const bt_case *one, size_t first, bool capital, bt_text *words);
/* What the events of that day did to it, or NULL where nothing was compared. Borrowed. */
const bt_event_effect *report_case_effect(const bt_case *one, const bt_drift *drift, size_t first);
/* Whether the case tells of the event: of the span, no refill; or the one that it is about. */
bool report_case_tells(const bt_case *one, const bt_event *event);

/* Whether readings before and after events of that kind are compared at all. */
bool report_case_compared(bt_event_kind kind);
/* Whether any event of the span has a comparison of before and after. */
bool report_case_compares_within(const bt_case *one);

/* "Service visit", to begin a sentence; into the buffer of REPORT_NUMBER_TEXT bytes. */
const char *report_case_capital(bt_event_kind kind, char *buffer);

/* What fails its tolerance, what changed, then alarms of what didn't change, or changed back. */
void report_case_what(const bt_case *one, bt_text *words);
/* A blank before a further sentence of an answer. */
void report_case_sentence(bt_text *words);
/* The event that begins the window which drift is looked for in; there is one where it brought
 * something back. Borrowed. */
const bt_event *report_case_event(const bt_case *one, const bt_drift *drift);
/* Whether the event, no refill, lies inside the band of dates of a change. */
bool report_case_is_inside(const bt_change *change, const bt_event *event);
/* What was done inside that band, whether in the span or not. */
void report_case_inside(const bt_case *one, const bt_change *change, bt_text *words);
/* Changes that an event brought back, wholly or in part; of those before the span the event alone.
 */
void report_case_back(const bt_case *one, bt_text *words);
/* What was done in the span, and the last of each kind before it. */
void report_case_done(const bt_case *one, bt_text *words);

/* Checks of the span outside tolerance, and of the folder's rows before it. */
void report_case_outside(const bt_case *one, bt_text *words);
/* " Self-test: 1 failed, on 12 Feb 2026." of the span; nothing where none failed. */
void report_case_selftest_words(const bt_case *one, bt_text *words);
/* A list of both; nothing where there is none. */
void report_case_failed(case_pages *on);
/* Parts of that list, which has the latest of each: its head, a row, what was left out, the words
 * for a row's line of the log; the self-tests that failed in a time, and the rows of the n of the
 * folder. */
enum { REPORT_CASE_FAILED_COLUMNS = 6, REPORT_CASE_MOST_FAILED = 20 };
void report_case_failed_head(case_pages *on);
void report_case_failed_row(case_pages *on, const char *const *cells);
void report_case_left_out(case_pages *on, const char *title, size_t n, const char *where);
void report_case_line_words(const bt_case *one, bt_time time, int64_t source, int64_t line,
                            bt_text *out);
size_t report_case_selftests_failed(const bt_case *one, bt_time from, bt_time to);
void report_case_selftests(case_pages *on, size_t n);

/* The whole log, the folder's checks, and what is missing, refused or corrected. */
void report_case_record(const bt_case *one, bt_text *words);
/* A row each of what is charted, under a head. */
void report_case_table(case_pages *on);
/* Whether a chart of it would be a flat line: one value in the whole span, no limits, none outside
 * tolerance. A sentence under the table, of that height, stands for the charts of these. */
bool report_case_is_flat(const bt_case *one, const bt_study *of);
double report_case_flat_height(const case_pages *on);

void report_case_page(case_pages *on);   /* the case in one page */
void report_case_charts(case_pages *on); /* of the span, and about events that made a difference */
void report_case_events(case_pages *on); /* before and after each event */
void report_case_causes(case_pages *on); /* likely causes; the look-back list where asked for */
void report_case_method(case_pages *on);

#endif
