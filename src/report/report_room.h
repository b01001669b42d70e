/* What the files of the report room share: the page builder, words, facts, and the chart.
 *
 * The builder remembers its first failure, as growing text does: compose as much as you like and
 * ask report_status once at the end. Lengths are millimetres, chart times are days since 1970. */
#ifndef BEAMTALLY_REPORT_ROOM_H
#define BEAMTALLY_REPORT_ROOM_H

#include "beamtally/finding.h"
#include "beamtally/page.h"
#include "beamtally/report.h"

#define REPORT_MINUS "\xE2\x88\x92" /* U+2212 */
#define REPORT_DASH  "\xE2\x80\x93" /* U+2013 */
#define REPORT_JOIN  "\xC2\xA0"     /* U+00A0: a blank that no line breaks at */

enum { REPORT_NAME = 64 };

/* ---- Builder --------------------------------------------------------------------------------- */

/* Words that name a page by its number, which is known once all pages are there. */
typedef struct report_reference {
  size_t at; /* page that they stand on */
  double x, y;
  bt_style style;
  bt_align align;
  char before[80], name[REPORT_NAME]; /* "3 more on page "; the page's name */
} report_reference;

typedef struct report_builder {
  bt_document *document;
  size_t at; /* index of the page being composed */
  report_reference *references;
  size_t references_n, references_room;
  size_t steps;       /* of what to do next, that the summary had room for */
  bool measures_only; /* texts, boxes, lines and references are measured, none is put */
  const bt_measure *measure;
  bt_error *error;
  bt_status status;
  bt_pane spare; /* handed out after a failure: stays empty */
  /* "DRAFT, not issued", "Revision 2, issued (month up to 29 Nov 2026)"; empty on a chart */
  char edition[96];
} report_builder;

typedef struct report_size {
  double width, height;
} report_size;

/* Text with bold ranges. Zeroed, it is empty; freed by report_words_free. */
typedef struct report_words {
  bt_text text;
  size_t strong_n;
  bt_strong strong[6];
} report_words;

void report_words_add(report_words *words, const char *format, ...) BT_PRINTF(2, 3);
void report_words_bold(report_words *words, const char *format, ...) BT_PRINTF(2, 3);
void report_words_next(report_words *words); /* a blank before the next sentence, if any came */
void report_words_free(report_words *words);

void report_begin(report_builder *builder, bt_document *document, bt_paper paper,
                  const bt_measure *measure, bt_error *error);
/* Begins a page; one without a title has no bookmark. */
void report_page(report_builder *builder, const char *title, const char *name);
/* Puts words and the number of that page, linked, when report_resolve is called; nothing where no
 * page has that name. */
void report_refer(report_builder *builder, double x, double y, bt_style style, bt_align align,
                  const char *before, const char *name);
void report_resolve(report_builder *builder);
void report_end(report_builder *builder); /* frees what the builder itself owns */

/* BT_OK, or the first failure. */
bt_status report_status(const report_builder *builder) BT_MUST_CHECK;
void report_no_memory(report_builder *builder);
/* Frees a text that goes no further; its failure is the builder's, or that of the text it went
 * into. */
void report_text_end(report_builder *builder, bt_text *text);
void report_text_pass(bt_text *text, bt_text *out);

report_size report_measure(report_builder *builder, bt_style style, const char *text, double wrap);
report_size report_text(report_builder *builder, double x, double y, bt_style style, bt_ink ink,
                        bt_align align, const char *text);
report_size report_wrapped(report_builder *builder, double x, double y, double wrap, bt_style style,
                           bt_ink ink, const char *text);
report_size report_paragraph(report_builder *builder, double x, double y, double wrap,
                             bt_style style, bt_ink ink, const report_words *words);
/* Turned to read upwards, centred on the middle between y1 and y2; its right edge at x. */
void report_turned(report_builder *builder, double x, double y1, double y2, bt_style style,
                   bt_ink ink, const char *text);
void report_link(report_builder *builder, const char *name); /* for the text put last */
void report_box(report_builder *builder, double x, double y, double width, double height,
                bt_ink ink);
void report_line(report_builder *builder, double x1, double y1, double x2, double y2,
                 double width_mm, bt_ink ink);

/* Text cut to fit one line of that width, with an ellipsis; owned by `out`, which is cleared. */
const char *report_cut(report_builder *builder, bt_style style, const char *text, double width,
                       bt_text *out);

/* Cut to as many lines, with an ellipsis; owned by `out`, which is cleared. */
const char *report_cut_to(report_builder *builder, bt_style style, const char *text, double wrap,
                          double height, bt_text *out);
/* Whether one of those styles, the largest first, holds the text in that room, and which. */
bool report_fits(report_builder *builder, double wrap, double height, const bt_style *styles,
                 size_t n, const char *text, bt_style *style);
/* Puts it in that style; where none holds it, in the last one, cut. */
report_size report_fit(report_builder *builder, double x, double y, double wrap, double height,
                       const bt_style *styles, size_t n, bt_ink ink, const char *text);
/* The title of a page, on one line or, smaller, on a few; returns its height. */
double report_title(report_builder *builder, double x, double y, double width, const char *text);

/* report.c: a document with its title, author and date; what was composed, or all of it freed. */
bt_status report_begin_document(report_builder *builder, const bt_unit_study *study,
                                const bt_report_request *request, const bt_measure *measure,
                                bt_document *document, const char *subject,
                                bt_error *error) BT_MUST_CHECK;
bt_status report_end_document(report_builder *builder, bt_document *document) BT_MUST_CHECK;

/* ---- Panes ----------------------------------------------------------------------------------- */

/* The pane stays valid until the next one is begun. */
bt_pane *report_pane(report_builder *builder, double x, double y, double width, double height);
void report_span(report_builder *builder, bt_pane *pane, double from, double to, bt_ink ink);
void report_bar(report_builder *builder, bt_pane *pane, bt_bar bar);
void report_level(report_builder *builder, bt_pane *pane, double at, double width_mm, bt_ink ink,
                  bt_dash dash);
void report_vertical(report_builder *builder, bt_pane *pane, double at, double width_mm, bt_ink ink,
                     bt_dash dash);
void report_x_tick(report_builder *builder, bt_pane *pane, double at);
void report_y_tick(report_builder *builder, bt_pane *pane, double at);
/* With room for so many corners, or marks, of which there are none yet; NULL after a failure or
 * without any room. Each is added by itself, within that room; to NULL nothing is. */
bt_polyline *report_polyline(report_builder *builder, bt_pane *pane, size_t room, bt_ink ink,
                             double width_mm);
bt_marks *report_marks(report_builder *builder, bt_pane *pane, size_t room, bt_shape shape,
                       bt_ink ink, double size_mm);
void report_polyline_add(bt_polyline *line, double x, double y);
void report_marks_add(bt_marks *marks, double x, double y);
/* A level line over part of the pane, solid or in the dashes and dots of an alarm limit; nothing
 * where it lies outside. */
void report_stretch(report_builder *builder, bt_pane *pane, double from, double to, double at,
                    double width_mm, bt_ink ink);
void report_dash_dot(report_builder *builder, bt_pane *pane, double from, double to, double at,
                     double width_mm, bt_ink ink);

/* ---- Words ----------------------------------------------------------------------------------- */

enum { REPORT_NUMBER_TEXT = 64, REPORT_DATE_TEXT = 96 };

const char *report_number(double value, int decimals, char *buffer);
const char *report_signed(double value, int decimals, char *buffer); /* with + or a minus */
const char *report_plain(double value, char *buffer);                /* as few digits as it has */
/* `fixed` decimals where these show sigma as at least `least` units of the last one; one more where
 * it is fewer units; three digits of sigma where it is none at all, or over 10 000. What is
 * computed shows two digits of sigma, a reading one. */
int report_digits(int fixed, double sigma, double least);
int report_decimals(const bt_quantity *quantity, double sigma);
int report_reading_decimals(const bt_study *of, double value);
/* A blank and the unit, where there is one; a number with its unit. */
void report_add_unit(bt_text *out, const bt_quantity *quantity);
void report_add_value(bt_text *out, const bt_quantity *quantity, double value, int decimals);

/* Dates are written one way: "24 Jul 2026". The year is left out only beside an axis or a heading
 * that has it. */
const char *report_short_date(bt_time time, char *buffer);
/* The same with a time of day, where there is one: "24 Jul 2026, 08:05". */
const char *report_short_moment(bt_time time, bool has_clock, char *buffer);
/* "1 May – 27 Sep 2026"; both days within; the year once where it is the same. */
const char *report_short_period(bt_time from, bt_time to, char *buffer);
/* "from 1 May to 27 Sep 2026", or "on 27 Sep 2026". */
const char *report_from_to(bt_time from, bt_time to, char *buffer);

/* Named destination of a characteristic's page: [a-z0-9_-], whatever letters the clinic's own key
 * has. */
const char *report_page_name(const bt_study *of, char *buffer);

/* "1 check", "2 checks". */
void report_count(bt_text *out, uint64_t n, const char *one, const char *many);

/* The rows of a lane, top row first, and their labels; how many they are. `of` decides the wording
 * of its limit. A row has a notice, the alarm that goes beyond it, or both. */
typedef struct report_rule {
  bt_rules notice, alarm; /* bits, or 0 */
  const char *label;
} report_rule;
size_t report_rules(const bt_study *of, report_rule rows[BT_RULE_COUNT]);
/* The rules of those bits as the lane names them; “CUSUM > h” (past the alarm limit) where its bar
 * is tall there, which stands for the notice that the alarm goes beyond. */
void report_rule_names(const bt_study *of, bt_rules bits, bt_text *out);

/* ---- What a study says ----------------------------------------------------------------------- */

/* Points [*first, *last) have a time in [from, to). */
void report_between(const bt_series *series, bt_time from, bt_time to, size_t *first, size_t *last);

/* Signals that are alarms. */
/* "at 20 checks a month about 2.6 false signals a year". */
void report_rate_words(double checks_a_month, double a_year, bt_text *words);

/* A baseline of fewer points has uncertain limits, and notices only. */
enum { REPORT_FEW_POINTS = 30 };

/* True when limits are drawn: a baseline, digits enough, not a covariate. */
bool report_has_limits(const bt_segment *segment);
bool report_has_zones(const bt_study *of, const bt_segment *segment);
/* The radius and T² have one limit, on the high side: neither zones, ranges, CUSUM nor EWMA. */
bool report_has_one_limit(const bt_study *of);
/* The upper limit that judges: the radius has its own, which is not that of an individuals chart;
 * for T² that of the newest phase. */
double report_upper_limit(const bt_study *of, const bt_segment *segment);
/* Where its alarm limits stand, in the characteristic's unit; false where it has none. T² has the
 * high one only. */
bool report_alarm_limits(const bt_study *of, const bt_segment *segment, double *low, double *high);
/* The budgeted h of its CUSUM, in sigma; 0 where it has none. */
double report_alarm_h(const bt_study *of, const bt_segment *segment);

/* A room condition is judged by nothing: it has no tolerance, open side or failing morning. */
bool report_is_judged(const bt_study *of);
/* Nobody is asked for a tolerance of T², which has no unit; one that was entered counts. */
bool report_may_have_tolerance(const bt_study *of);
/* A tolerance could be entered and none is; not of an energy demand that never changes, nor of the
 * tracker's offset where it has one the other way, radial or along both x and y. */
bool report_wants_tolerance(const bt_unit_study *unit, const bt_study *of);
const bt_tolerance *report_tolerance(const bt_study *of); /* or NULL */
bool report_fails(const bt_study *of);

/* The newest open episode of that side, or NULL. */
const bt_episode *report_open_on(const bt_study *of, bt_side side);
/* Whether that side holds a signal of the open strength: a notice on the low side doesn't share the
 * alarm of the high one. */
bool report_is_open_side(const bt_study *of, bt_side side);

/* What sentences speak of: the log up to its end; as there, but checks are counted in the span
 * shown alone, whose end is the log's; or nothing but the days shown. */
typedef enum report_speaks {
  REPORT_SPEAKS_OF_LOG,
  REPORT_SPEAKS_OF_SPAN,
  REPORT_SPEAKS_OF_DAYS
} report_speaks;

/* The sentences at the head of a page: what it shows; what it stands on; the failing morning. */
void report_shows(const bt_unit_study *unit, const bt_study *of, report_speaks speaks, bt_time from,
                  bt_time to, report_words *words);
void report_shows_days(const bt_unit_study *unit, const bt_study *of, bt_time from, bt_time to,
                       report_words *words);
/* Parts of them: tolerance first; that of [from, to) alone. */
void report_tolerance_sentences(const bt_unit_study *unit, const bt_study *of, report_speaks speaks,
                                bt_time from, bt_time to, report_words *words);
void report_tolerance_in_days(const bt_unit_study *unit, const bt_study *of, bt_time from,
                              bt_time to, report_words *words);
/* Checks of [from, to) with a tolerance in force, those outside it, and the last of these. */
typedef struct report_tolerance_counts {
  size_t checks, judged, outside, last;
} report_tolerance_counts;
report_tolerance_counts report_count_tolerance(const bt_unit_study *unit, const bt_study *of,
                                               bt_time from, bt_time to);
/* Days whose checks differ more among themselves than the baseline's did. */
void report_within_sentence(const bt_study *of, bt_time from, bt_time to, report_words *words);
/* Points that no rule judges, and checks that are in no point. */
void report_aside_sentences(const bt_study *of, bt_time from, bt_time to, report_words *words);
void report_basis(const bt_study *of, report_words *words);
/* Points of the baseline's period that could not be moved to the mean fill age, as theirs is not
 * known; those left out for their value are not counted again. */
size_t report_without_age(const bt_study *of, const bt_segment *segment);
void report_failing_morning(const bt_unit_study *unit, report_words *words);
bool report_is_failing(bt_verdict verdict);

/* Banner: words, with arrow and side where an episode is open, the date where nothing is. */
void report_banner_words(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of,
                         bt_text *out);
/* A baseline whose readings are all alike has no chart: whether a point after it differs from them;
 * the first that does, BT_NONE where none does or the baseline is another. */
bool report_is_moved(const bt_study *of, const bt_segment *segment, size_t point);
size_t report_first_moved(const bt_study *of);
/* Days since the last reading at the end of the record, 0 where it is not long ago; and in words,
 * or nothing. */
int64_t report_stale_days(const bt_unit_study *unit, const bt_study *of);
void report_stale_words(const bt_unit_study *unit, const bt_study *of, bt_text *out);
/* Its last reading is of the unit's last check, which is not current and was said to be of then. */
bool report_is_told_current(const bt_unit_study *unit, const bt_study *of);

/* other_target.c: "since 3 Mar 2026 the target is ..." of voltages that held another target than
 * their baseline's; the same as a sentence of what a chart shows, and as a step to do next. Nothing
 * where the newest point is of its baseline's target. */
void report_other_target_words(const bt_study *of, bt_text *out);
void report_other_target_sentence(const bt_study *of, report_words *words);
void report_other_target_step(const bt_unit_study *unit, bt_text *out);
/* The summary's half-sentences on one characteristic. */
void report_lead(const bt_unit_study *unit, const bt_study *of, report_words *words);
/* A part of it, after a blank: its reading is of long ago. */
void report_lead_stale(const bt_unit_study *unit, const bt_study *of, report_words *words);
/* Without a current check: the last one's date, how often one is expected, and what to do; nothing
 * where there is one. */
void report_lead_current(const bt_unit_study *unit, report_words *words);
/* A distance in the characteristic's unit, a ratio's in per cent, with its sign. */
void report_add_size(const bt_study *of, double size, bt_text *out);
/* The verdict without arrow and date; "NO OPEN SIGNAL" where the log holds signals of the past. */
const char *report_verdict_words(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of);
bt_ink report_banner_ink(bt_verdict verdict);
/* The unit's, where a missing tolerance or check stands before an open alarm: that of the alarm. */
bt_ink report_unit_ink(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of);

/* "In numbers": label and value of each row, shared by page and text; a page leaves out what stands
 * beside its chart. */
typedef struct report_fact {
  char *label, *value;
} report_fact;
typedef struct report_facts {
  size_t n, room;
  report_fact *fact;
  bool failed;
} report_facts;
void report_facts_collect(const bt_study *of, bool on_page, report_facts *facts);
/* Day of each thing that happened to a change (`drift`, or NULL) and to open episodes, a row each;
 * none where nothing changed and nothing is open. */
void report_dates(const bt_study *of, const bt_drift *drift, report_facts *facts);
/* The first excursion of the newest run of the CUSUM that signalled in the episode, or NULL. */
const bt_excursion *report_excursion_of(const bt_study *of, const bt_episode *episode);
/* Takes both texts, which are empty then. */
void report_fact_add(report_facts *facts, bt_text *label, bt_text *value);
void report_capability_facts(const bt_study *of, bool on_page, report_facts *facts);
void report_facts_free(report_facts *facts);
void report_tolerance_range(const bt_tolerance *tolerance, const bt_quantity *quantity,
                            bt_text *out);
void report_loss_words(const bt_study *of, const bt_segment *segment, bt_text *out);

/* A rate a year as people say it; "p 0.034". Into the buffer. */
const char *report_rate(double rate, char *buffer);
const char *report_p(double p, char *buffer);

/* Sentences of the basis. */
void report_alarm_sentence(const bt_study *of, const bt_segment *segment, report_words *words);
void report_stability_sentence(const bt_segment *segment, report_words *words);
void report_refit_sentence(const bt_study *of, const bt_segment *segment, report_words *words);

/* What was concluded of an episode, or NULL. */
const bt_disposition *report_disposition(const bt_study *of, const bt_episode *episode);
/* "cause: ...; action: ...; M. Reader, 3 Sep 2026"; "low side, 1 – 3 Aug 2026". */
void report_disposition_words(const bt_disposition *disposition, bt_text *out);
/* The same of an episode that has one, and how often it was revised. */
void report_concluded_words(const bt_study *of, const bt_episode *episode, bt_text *out);
void report_disposition_about(const bt_disposition *disposition, bt_text *out);
/* "undecided", or of when and by whom. */
void report_episode_state(const bt_study *of, const bt_episode *episode, bt_text *out);
/* " (88 alarms, 53 notices)": of the signals of an episode, as the lane draws them. */
void report_add_strengths(size_t alarms, size_t notices, bt_text *out);
void report_episode_strengths(const bt_study *of, const bt_episode *episode, bt_text *out);
/* Asks of the newest jump back to the usual in [from, to) behind signals, where no event is
 * recorded; nothing without one. */
void report_jump_words(const bt_unit_study *unit, const bt_study *of, bt_time from, bt_time to,
                       bt_text *out);
/* "“pass” at 171 checks, the last on 25 Sep 2026": what the log writes of the test pattern; nothing
 * where it holds none. */
void report_pattern_words(const bt_unit_study *unit, bt_time from, bt_time to, bt_text *out);
bool report_pattern_varies(const bt_unit_study *unit); /* not the same words at all checks */
const char *report_strength_word(bt_strength strength);
/* Of an open episode: what its side says at the last points, as its characteristic's own page does,
 * and that it was an alarm before. */
const char *report_open_word(const bt_study *of, const bt_episode *episode);
/* ", first on 28 May 2026 (first signal 16 May 2026)" of an open episode: its first alarm, where it
 * is one, else its first signal. No "since": charts flag days, and date no change. */
void report_open_first(const bt_study *of, const bt_episode *episode, bt_text *out);
/* That point. */
size_t report_open_from(const bt_study *of, const bt_episode *episode);
/* True where something is open and all of it has a disposition. */
bool report_is_concluded(const bt_study *of);
/* ", concluded by M. Reader on 3 Oct 2026"; nothing of one that nobody has concluded anything of.
 */
void report_add_concluded(const bt_study *of, const bt_episode *episode, bt_text *out);
/* "open alarm", "open notice (alarm earlier)", "past alarm": open as above; past: nothing of it in
 * the last 8 points, and the worst that it was. */
void report_episode_word(const bt_study *of, const bt_episode *episode, bt_text *out);
/* The open episodes with their ids and states; nothing where none is open. */
void report_open_episodes(const bt_study *of, bt_text *out);

/* A check and its retests, checks [first, last] of the study: `failed` outside tolerance, else only
 * beyond its limits. The one that this check is of; false where it was not repeated at once. */
typedef struct report_retest {
  size_t first, last;
  bool failed;
} report_retest;
bool report_retest_of(const bt_study *of, size_t check, report_retest *found);
/* "failed at 07:50 on 30 Sep 2026 (0.941), retest at 08:05 inside tolerance (0.9981)". */
void report_retest_words(const bt_study *of, const report_retest *found, bt_text *out);
/* Of a failed check: "; retest inside", or nothing where it was not repeated at once. */
const char *report_retest_brief(const bt_study *of, size_t check);
/* Behind words of the last check, where it is a retest: ", a retest at 08:05: the check at 07:50
 * failed (0.941)". */
void report_retest_told(const bt_study *of, bt_text *out);
/* Those of a month, the newest first; nothing where there is none. */
void report_retests_between(const bt_study *of, bt_time from, bt_time to, size_t most,
                            bt_text *out);

/* Parts of the summary, shared with the status screen. */
void report_tolerance_state(const bt_study *of, bt_text *out);
/* "11 Nov 2025, 4 Oct 2025 and 3 days before, the first 2 Feb 2025": days with a check outside
 * tolerance; nothing where there is none. */
void report_failed_dates(const bt_study *of, size_t most, bt_text *out);
void report_control_state(const bt_study *of, bt_text *out);
/* True where tolerance leaves too few of a baseline's points: `failed` of `points` take no part. */
bool report_is_barred(const bt_study *of, size_t *failed, size_t *points);
/* "58 of its 60 points have a check outside tolerance and take no part". */
void report_barred_words(size_t failed, size_t points, bt_text *out);
void report_last_value(const bt_study *of, bool with_date, bt_text *out);
void report_selftest_words(const bt_unit_study *unit, bt_text *out);
/* Sentences on failures, each after a blank; nothing where there was none. */
void report_rare_words(const bt_unit_study *unit, bt_text *out);
/* How many false alarms all charts together are expected to give. */
void report_alarm_words(const bt_unit_study *unit, bt_text *out);
/* " Ledger ac0d 1e01 ...": the state, as people compare it. */
void report_state_words(const char *state, bt_text *out);
void report_provenance_words(const bt_unit_study *unit, bt_text *out);
/* Step i, from 0, of what to do next, in plain words; false when there are no more. Alarms that
 * ended before `since` are not asked about any more. */
bool report_next_step(const bt_unit_study *unit, bt_time since, size_t i, bt_text *out);
/* The same step where room is short: without the commands, which stand where it is told in full. */
bool report_next_step_brief(const bt_unit_study *unit, bt_time since, size_t i, bt_text *out);
/* From when the screen, which shows no span, asks about them: the quarter before the last check. */
bt_time report_asks_since(const bt_unit_study *unit);
/* Behind the heading of what to do next. */
extern const char *const report_by_role;

extern const char *const report_caution;       /* the sentence of every footer */
extern const char *const report_cautions_full; /* the summary's paragraph */

/* ---- Plain text ------------------------------------------------------------------------------ */

/* Appends text wrapped at 80 columns; the first line begins with `head`, the others are indented
 * as far. */
void report_wrap_plain(bt_text *out, const char *head, const char *text);
size_t report_columns(const char *text); /* characters of UTF-8 text */

/* ---- The chart ------------------------------------------------------------------------------- */

/* A label beside a pane, moved apart from its neighbours. */
typedef struct report_label {
  double y, height; /* middle wanted, then given */
  bt_ink ink;
  char text[REPORT_NUMBER_TEXT + 32];
} report_label;

enum { REPORT_LABELS = 10 };

/* What lies beyond one side of the main chart's axis. */
typedef struct report_edge {
  size_t points, checks, marks; /* marks: of those that no signal's mark shows */
  double furthest;
  bt_time at;
} report_edge;

typedef struct report_chart {
  report_builder *builder;
  const bt_unit_study *unit;
  const bt_study *of;
  bt_time from, to;
  size_t first, last;             /* points shown */
  size_t first_check, last_check; /* checks shown */
  double page_left;               /* words begin here */
  double left, width;             /* of every pane */
  double right_edge;              /* words end here */
  double x_low, x_high;
  /* What the legend has to explain. */
  bool beyond_limit, beyond_alarm, alarm_limits, ewma, within, lane_alarms, within_beyond;
  bool outside_tolerance, retests, aged, other_target, crosses, raw, repeats, crowd, baseline,
      restarts;
  bool lane_marks, lane_gaps, lane_aside; /* hatched for want of checks, of a rule that judges */
  double lane_longest;                    /* days without a check that are no gap yet */
  bool fills, fills_too_many;
  bool capped;         /* a lower pane ends below what a far reading or a long run would need */
  bool corrected;      /* some day shown has a correction of its readings */
  bool cusum_later;    /* too few points shown are behind the baseline for a line of the CUSUM */
  report_edge edge[2]; /* by side */
} report_chart;

/* Which points and checks are shown. */
void report_chart_prepare(report_chart *chart);
/* The whole chart between top and bottom. */
void report_chart_compose(report_chart *chart, double top, double bottom);

double report_days(bt_time time);
bt_pane *report_time_pane(report_chart *chart, double y, double height, double y_low,
                          double y_high);
void report_labels_place(report_chart *chart, report_label *labels, size_t n, double top,
                         double bottom);
/* The segment's place on the axis, in days; false when none of it is shown. */
bool report_segment_shown(const report_chart *chart, size_t segment, double *from, double *to);
/* Round ticks of an axis with labels at the left; about `wanted` of them. */
void report_value_axis(report_chart *chart, bt_pane *pane, int wanted);
/* Smallest of 1, 2, 5 times a power of ten that is at least `step`, and the decimals it needs. */
double report_round_step(double step, int *decimals);

double report_events_height(report_chart *chart);
void report_events_compose(report_chart *chart, double pane_top);
void report_main_reach(const report_chart *chart, double height, double *low, double *high);
/* The value, or the edge of the pane where it lies beyond; a reading keeps clear of the edge, so
 * that a mark beside it stays inside. */
double report_at_edge(const bt_pane *pane, double value);
double report_shown_at(const bt_pane *pane, double value);
/* More days stand on a millimetre than can be told apart: their values are drawn as one line from
 * the lowest to the highest, broken at gaps. It has room for two places a value. */
bool report_is_crowded(const report_chart *chart);
/* Whether check i is one of several that its day's point is the mean of. */
bool report_is_repeat(const report_chart *chart, size_t i);
/* Marks at the edge of the axis for what lies beyond, and what the legend says of it. */
void report_edge_compose(report_chart *chart, bt_pane *pane);
void report_edge_legend(const report_chart *chart, bt_text *out);
/* Whether a correction of a check is of the readings that the characteristic is made of; of a
 * conflict that was settled only where a record was superseded. */
bool report_correction_touches(const bt_unit_study *unit, const bt_study *of,
                               const bt_correction *correction);
void report_crowd_put(const report_chart *chart, bt_polyline *crowd, double x, double y);
void report_limits_compose(report_chart *chart, bt_pane *pane);
void report_points_compose(report_chart *chart, bt_pane *pane);
bt_pane *report_main_compose(report_chart *chart, double top, double height);
size_t report_lane_rows(const report_chart *chart);
bt_pane *report_lane_compose(report_chart *chart, double top, double row_height);
/* Days that may lie between two points without a gap; whether more do before that point (or it is
 * the log's first). */
double report_longest_step(report_chart *chart);
bool report_is_gap(const report_chart *chart, size_t point, double longest);
/* Hatches what that rule did not judge; a point stands for `half` a day to both sides. */
void report_hatch_row(report_chart *chart, bt_pane *pane, size_t row, double row_height,
                      const report_rule *rule, double longest, double half);
/* The shorter name where the pane is too low for the longer one. */
void report_pane_name(report_chart *chart, double top, double height, const char *words,
                      const char *brief);
void report_range_compose(report_chart *chart, double top, double height);
bool report_has_within(const report_chart *chart); /* some day shown has a within-day limit */
void report_within_compose(report_chart *chart, double top, double height);
bt_pane *report_cusum_compose(report_chart *chart, double top, double height);
bool report_has_plot(const report_chart *chart); /* T², with both axes to plot */
void report_plot_compose(report_chart *chart, double top, double bottom);
void report_time_axis(report_chart *chart, bt_pane *pane, double labels_top);
void report_legend(const report_chart *chart, bt_text *out);

/* ---- Pages ----------------------------------------------------------------------------------- */

typedef struct report_frame {
  double left, right, top, bottom; /* inside the margins; bottom is above the footer */
  double panel_left;
} report_frame;

report_frame report_frame_of(const report_builder *builder);
/* Banner in the upper right corner; returns its height. */
double report_banner(report_builder *builder, const bt_unit_study *unit, bt_verdict verdict,
                     const bt_study *of);
/* With a table of dates above the numbers, where there are any. */
void report_panel(report_builder *builder, const report_chart *chart, const report_facts *dates,
                  double top, double bottom);
/* Of every page of the document. */
void report_footers(report_builder *builder, const bt_unit_study *unit,
                    const bt_report_request *request);
/* Whether the span shown holds any reading: without one there is no page. */
bool report_has_page(const bt_study *of, const bt_report_request *request);
/* Every reading of the span is the same and none fails: it has a line on the page of the self-test
 * instead of a chart's. */
bool report_is_constant(const bt_study *of, const bt_report_request *request);
bool report_has_chart_page(const bt_study *of, const bt_report_request *request);
void report_characteristic_page(report_builder *builder, const bt_unit_study *unit,
                                const bt_study *of, const bt_report_request *request,
                                report_speaks speaks);
/* Gas refills in [from, to), those that were noted in checks among them. */
size_t report_refills(const bt_unit_study *unit, bt_time from, bt_time to);
/* The month's events in that area of the page. */
void report_events_list(report_builder *builder, const bt_unit_study *unit, bt_time month,
                        double left, double right, double top, double bottom);

/* Pages of text that go on as long as they have to. */
typedef struct report_sheet {
  report_builder *builder;
  report_frame frame;
  const char *title, *name, *subtitle; /* borrowed */
  size_t pages;                        /* so far */
  double y, line;                      /* where the next line begins; height of one with its gap */
  bool empty;                          /* nothing but the head stands on this page */
} report_sheet;

typedef struct report_column {
  double at; /* where it begins, as a share of the width */
  const char *head;
} report_column;

void report_sheet_begin(report_sheet *sheet, report_builder *builder, const char *title,
                        const char *name, const char *subtitle);
/* Begins the next page where so much height is not left; true when it did. */
bool report_sheet_room(report_sheet *sheet, double height);
void report_sheet_heading(report_sheet *sheet, const char *words);
void report_sheet_paragraph(report_sheet *sheet, bt_ink ink, const char *words);
void report_sheet_heads(report_sheet *sheet, const report_column *columns, size_t n);
void report_sheet_row(report_sheet *sheet, const report_column *columns, size_t n,
                      const char *const *cells);
/* "and 12 more, see ...". */
void report_sheet_rest(report_sheet *sheet, size_t n, const char *one, const char *many,
                       const char *command);

/* What a characteristic of that key is called, or the key where none has it. */
const char *report_title_of(const bt_unit_study *unit, const char *key);

/* A table of corrections, shared by two pages. */
void report_correction_heads(report_sheet *sheet);
void report_correction_row(report_sheet *sheet, const bt_correction *correction);

/* What the record shows, the finding on drift first, in `most` paragraphs or fewer; returns where
 * they end. */
double report_summary_leads(report_builder *builder, const bt_unit_study *unit, size_t most,
                            double y);
/* The lines of drift under the table: those that no lead told, and what became of the others, in
 * few words where `terse`. */
double report_summary_drift_lines(report_builder *builder, const bt_unit_study *unit, size_t most,
                                  bool terse, double y);
/* A label and its words, wrapped; returns where the next line begins. */
double report_summary_line(report_builder *builder, double y, const char *label, const char *value);
bool report_summary_fits(report_builder *builder, const char *value); /* on one line */
/* `below` is what stays free under it: its rows have second lines only as far as there is room;
 * where they `drop` those without a signal are counted before it gives any of that up. */
double report_verdict_table(report_builder *builder, const bt_unit_study *unit,
                            const bt_report_request *request, double below, bool drop, double y);
void report_summary_page(report_builder *builder, const bt_unit_study *unit,
                         const bt_report_request *request);
/* Self-tests, the worst item first, the days between failures, what did not vary, and the room. */
void report_selftest_page(report_builder *builder, const bt_unit_study *unit,
                          const bt_report_request *request);
/* The page that has them: their own, or, where there is nothing to draw, that of the record. */
const char *report_selftest_place(const bt_unit_study *unit, const bt_report_request *request);
void report_selftest_section(report_sheet *sheet, const bt_unit_study *unit,
                             const bt_report_request *request);
/* Steps that the summary had no room for, episodes and what was concluded of them, events. */
void report_record_page(report_builder *builder, const bt_unit_study *unit,
                        const bt_report_request *request);
/* What changed since the revision before; nothing in a first one. */
void report_changes_page(report_builder *builder, const bt_unit_study *unit,
                         const bt_report_request *request);
/* Its section on events. */
void report_changes_events(report_sheet *sheet, const bt_unit_study *unit,
                           const bt_unit_study *before);
/* Sources, refused lines, corrections, conflicts, settings, frozen baselines. */
void report_data_page(report_builder *builder, const bt_unit_study *unit,
                      const bt_report_request *request);
void report_glossary(report_sheet *sheet); /* a section of the page "Method" */
/* How it was computed, what judges, and a glossary. */
void report_method_page(report_builder *builder, const bt_unit_study *unit,
                        const bt_report_request *request);

#endif
