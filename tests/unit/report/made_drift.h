/* A unit whose energy ratio is looked at for drift, made by hand, and what is said of it. */
#ifndef MADE_DRIFT_H
#define MADE_DRIFT_H

#include "fixture.h"

enum { MADE_DRIFT_VALUES = 90, MADE_DRIFT_FROM = 20600 /* 27 May 2026, a value a day */ };

/* Loses 0.0002 a day from the 40th day on where it changed, and has a forecast; else nothing. */
bt_unit_study *made_drift(bool changed, bt_report_request *request);
/* The first study of another plan likewise. */
bt_unit_study *made_drift_of(const fixture_plan *plan, bool changed, bt_report_request *request);

/* What `drift` prints of that one characteristic, or of all, on one line, blanks and line breaks as
 * one blank. Owned. */
char *made_drift_printed(const bt_unit_study *unit, bool one);

/* A screen with its blanks and line breaks as one blank, that at the end left out. */
void on_one_line(const char *text, bt_text *flat);

/* The page, NULL where there is none; its texts, a line each. Owned. */
const bt_page *made_drift_page(const bt_document *document);
char *made_drift_page_text(const bt_unit_study *unit, const bt_report_request *request);

void must_say(const char *text, const char *words);
/* Lines of at most 80 columns; no word that promises anything of a laser. */
void must_be_plain(const char *text);
size_t count_of(const char *text, const char *words);

#endif
