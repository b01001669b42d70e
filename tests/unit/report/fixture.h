/* Made-up studies for the report room's tests: filled by hand from a plan, rules and sums by plain
 * loops, noise from a small generator, so that every run sees the same. */
#ifndef BEAMTALLY_TEST_REPORT_FIXTURE_H
#define BEAMTALLY_TEST_REPORT_FIXTURE_H

#include "beamtally/report.h"

typedef struct fixture_plan {
  const char *unit, *clinic, *tell, *source, *frozen_by, *note;
  bt_characteristic characteristic;
  bt_own_characteristic own;   /* the clinic's own, for BT_CHARACTERISTIC_COUNT; texts are copied */
  size_t points;               /* one every `days` days, ending on 27 September 2026 */
  double days;                 /* between points */
  double centre, sigma, drift; /* drift in sigma a point over the last third */
  size_t baseline_n;           /* points of the baseline; 0: no segment at all */
  bool flat;                   /* all readings equal, sigma 0 */
  bool adjusted, provisional, tolerance, one_sided, fills;
  double tolerance_half; /* in sigma about the centre */
  size_t events;         /* other than refills, over the shown span */
  size_t retests, unknown_age, wild;
  bt_chart_state state;
  bool two_segments, restarted, coarse, screened, autocorrelated, selftest_failed, covariates;
  bool alarms;                /* budgeted limits of 4.07 sigma and h = 8.2 */
  bool within;                /* every third day has three checks */
  bool capable, first, refit; /* capability, an earlier baseline, another reading of this */
  bool drifting, accepted,
      resolved;            /* its period drifts; frozen all the same; a person's restart */
  bool axes;               /* with the studies of x and y: T² has its plot */
  size_t copies;           /* further studies of the same characteristic */
  size_t concluded, alone; /* dispositions of the first episodes; without an episode */
  size_t corrections, failures, held_back;
  size_t shown_days; /* span of the charts; 0: 150 */
} fixture_plan;

/* A plan with everything usual: 150 points, tolerance, frozen baseline, fills, two events. */
fixture_plan fixture_usual(void);

/* Owned (bt_unit_study_free). The request asks for September 2026. */
bt_unit_study *fixture_make(const fixture_plan *plan, bt_report_request *request);

/* Alarm limits as a plan with alarms has them. */
#define FIXTURE_ALARM_LIMIT 4.07
#define FIXTURE_ALARM_H     8.2
#define FIXTURE_T2_ALARM    19.5

/* The month's report of a plan. Owned (bt_document_free). */
void fixture_compose(const fixture_plan *plan, bt_paper paper, bt_document *document);

/* The chart's page of one characteristic. Owned, as above. */
void fixture_chart(const bt_unit_study *unit, const bt_study *of, const bt_report_request *request,
                   bt_document *document);

/* Appends a document's text form: every box, text, pane and mark on a line of its own. */
void fixture_text(const bt_document *document, bt_text *out);

/* For the fixture's own files: zeroed memory or the end of the test; what judges a study. */
void *fixture_filled(size_t n, size_t size);
void fixture_judge(const fixture_plan *plan, bt_unit_study *unit, bt_study *of);
void fixture_trust(const fixture_plan *plan, bt_study *of);
void fixture_decide(const fixture_plan *plan, bt_study *of);
void fixture_keep_record(const fixture_plan *plan, bt_unit_study *unit);
bt_verdict fixture_verdict(const fixture_plan *plan, const bt_study *of);

/* A measure with fixed widths: 0.5 em a character, lines of 1.22 em. */
extern const bt_measure fixture_measure;

/* Finds what is wrong with a document: texts off the page or over each other, panes under words of
 * others, bars and marks off their panes, type under 7 pt. Each complaint is a line of *out. */
void fixture_check(const bt_document *document, bt_text *out);

/* Compares the control limits that a page draws and names with those that judged: each level, the
 * numbers at the right of the main chart, and which points lie beyond. */
void fixture_check_limits(const bt_study *of, const bt_page *page, bt_text *out);

#endif
