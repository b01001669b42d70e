/* All that is said of a unit, as one text in which tests look for words. */
#ifndef BEAMTALLY_TEST_REPORT_SAID_H
#define BEAMTALLY_TEST_REPORT_SAID_H

#include "beamtally/report.h"

/* Its pages but for the method, its screen, and the analysis of each study; wrapped lines joined.
 * Owned. */
bt_text said_of(const bt_unit_study *unit, const bt_report_request *request);

/* The chart page and the analysis of one study of it, likewise. */
bt_text said_of_one(const bt_unit_study *unit, const bt_study *of,
                    const bt_report_request *request);

size_t said_times(const bt_text *said, const char *words);
void said_is(const bt_text *said, const char *words);
void said_never(const bt_text *said, const char *words);

#endif
