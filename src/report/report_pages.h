/* The pages of the monthly report, and the parts of them that several files put down. */
#ifndef BEAMTALLY_REPORT_PAGES_H
#define BEAMTALLY_REPORT_PAGES_H

#include "report_chart.h"
#include "report_facts.h"
#include "report_sentences.h"
#include "report_sheet.h"

/* In the order in which they stand, but for that of drift (report_drift.h). A page without anything
 * to say is not begun. */
void report_summary_page(report_builder *builder, const bt_unit_study *unit,
                         const bt_report_request *request);
void report_characteristic_page(report_builder *builder, const bt_unit_study *unit,
                                const bt_study *of, const bt_report_request *request,
                                report_speaks speaks);
/* Self-tests, the worst item first, the days between failures, what did not vary, and the room. */
void report_selftest_page(report_builder *builder, const bt_unit_study *unit,
                          const bt_report_request *request);
/* Steps that the summary had no room for, episodes and what was concluded of them, events. */
void report_record_page(report_builder *builder, const bt_unit_study *unit,
                        const bt_report_request *request);
/* What changed since the revision before. */
void report_changes_page(report_builder *builder, const bt_unit_study *unit,
                         const bt_report_request *request);
/* Sources, refused lines, corrections, conflicts, settings, frozen baselines. */
void report_data_page(report_builder *builder, const bt_unit_study *unit,
                      const bt_report_request *request);
/* How it was computed, what judges, and a glossary. */
void report_method_page(report_builder *builder, const bt_unit_study *unit,
                        const bt_report_request *request);

/* ---- A characteristic's ---------------------------------------------------------------------- */

/* Named destination of its page, in a buffer of REPORT_NAME bytes: [a-z0-9_-], whatever letters the
 * clinic's own key has. */
const char *report_page_name(const bt_study *of, char *buffer);
/* Whether the span shown holds any reading: without one there is no page. */
bool report_has_page(const bt_study *of, const bt_report_request *request);
/* Every reading of the span is the same and none fails: it has a line on the page of the self-test
 * instead of a chart's. */
bool report_is_constant(const bt_study *of, const bt_report_request *request);
bool report_has_chart_page(const bt_study *of, const bt_report_request *request);
/* The panel beside its chart, with a table of dates above the numbers, where there are any. */
void report_panel(report_builder *builder, const report_chart *chart, const report_facts *dates,
                  double top, double bottom);

/* ---- Parts of the summary -------------------------------------------------------------------- */

/* What failed within the month, and what the record shows, the finding on drift first, in `most`
 * paragraphs or fewer; returns where they end. */
double report_summary_leads(report_builder *builder, const bt_unit_study *unit, bt_time month,
                            size_t most, double y);
/* The lines of drift under the table: those that no lead told, and what became of the others, in
 * few words where `terse`. */
double report_summary_drift_lines(report_builder *builder, const bt_unit_study *unit, size_t most,
                                  bool terse, double y);
/* The lines under the table, those of drift among them; returns where they end. */
double report_summary_month(report_builder *builder, const bt_unit_study *unit,
                            const bt_report_request *request, size_t most, bool terse, double y);
/* Links to those pages (NULL: there is none), cautions and signatures, from the bottom up; returns
 * where they begin. */
double report_summary_foot(report_builder *builder, const char *first_chart, const char *drift,
                           const char *selftest, bool changes);
/* A label and its words, wrapped; returns where the next line begins. */
double report_summary_line(report_builder *builder, double y, const char *label, const char *value);
bool report_summary_fits(report_builder *builder, const char *value); /* on one line */
/* `below` is what stays free under it: its rows have second lines only as far as there is room;
 * where they `drop` those without a signal are counted before it gives any of that up. */
double report_verdict_table(report_builder *builder, const bt_unit_study *unit,
                            const bt_report_request *request, double below, bool drop, double y);
/* The month's events in that area of the page. */
void report_events_list(report_builder *builder, const bt_unit_study *unit, bt_time month,
                        double left, double right, double top, double bottom);

/* ---- Parts of other pages -------------------------------------------------------------------- */

/* The name of the page that has self-tests and room: their own, or, where there is nothing to draw,
 * that of the record, which has them as a section. */
const char *report_selftest_place(const bt_unit_study *unit, const bt_report_request *request);
void report_selftest_section(report_sheet *sheet, const bt_unit_study *unit,
                             const bt_report_request *request);
/* The study of the same characteristic in another unit study, or NULL. */
const bt_study *report_same_in(const bt_unit_study *unit, const bt_study *of);
/* Sections on what changed: findings, episodes, events. */
void report_changes_findings(report_sheet *sheet, const bt_unit_study *unit,
                             const bt_unit_study *before);
void report_changes_episodes(report_sheet *sheet, const bt_unit_study *unit,
                             const bt_unit_study *before);
void report_changes_events(report_sheet *sheet, const bt_unit_study *unit,
                           const bt_unit_study *before);
/* The one scale of all charts in the comparison of units. */
void report_overview_scale(const bt_overview_row *rows, size_t n, double *low, double *high);
/* A table of corrections, shared by two pages. */
void report_correction_heads(report_sheet *sheet);
void report_correction_row(report_sheet *sheet, const bt_correction *correction);
void report_glossary(report_sheet *sheet); /* a section of the page "Method" */

#endif
