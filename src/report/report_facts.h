/* "In numbers" and "Dates": a label and its value each, shared by page and text. */
#ifndef BEAMTALLY_REPORT_FACTS_H
#define BEAMTALLY_REPORT_FACTS_H

#include "report_words.h"

typedef struct report_fact {
  char *label, *value; /* owned */
} report_fact;

typedef struct report_facts {
  size_t n, room;
  report_fact *fact;
  bool failed;
} report_facts;

/* Takes both texts, which are empty then. */
void report_fact_add(report_facts *facts, bt_text *label, bt_text *value);
void report_facts_free(report_facts *facts);

/* A page leaves out what stands beside its chart. */
void report_facts_collect(const bt_study *of, bool on_page, report_facts *facts);
void report_capability_facts(const bt_study *of, bool on_page, report_facts *facts);
/* Day of each thing that happened to a change (`drift`, or NULL) and to open episodes, a row each;
 * none where nothing changed and nothing is open. An episode that opened before `from`, the first
 * day shown, is said to have; 0: all days are. */
void report_dates(const bt_study *of, const bt_drift *drift, bt_time from, report_facts *facts);

#endif
