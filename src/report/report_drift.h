/* Sentences on drift that text and page share. Each appends; a failure stays with the text. */
#ifndef BEAMTALLY_REPORT_DRIFT_H
#define BEAMTALLY_REPORT_DRIFT_H

#include "report_facts.h"
#include "report_pages.h"

/* ---- What a drift is ------------------------------------------------------------------------- */

bool report_drift_is_changed(const bt_drift *drift);
/* Told in full where all are: it changed, or a cause is named without a change of its own (a meter
 * change moved it, the test plate reads low). */
bool report_drift_is_told(const bt_drift *drift);
/* It has days to look back to: of its change, or of one that an event has brought back since. */
bool report_drift_looks_back(const bt_drift *drift);
/* Something changed before the event that began the window, whether that brought it back or not. */
bool report_drift_was_changed(const bt_drift *drift);
/* The same, and nothing has changed since. */
bool report_drift_changed_earlier(const bt_drift *drift);
/* Not looked at, since no two readings differ. */
bool report_drift_is_constant(const bt_drift *drift);
/* The gas fills act on it, or its readings follow their age; else all is said by time alone. */
bool report_drift_by_fills(const bt_drift *drift);
/* A forecast is given. */
bool report_drift_is_ahead(const bt_drift *drift);
/* Whether the first alarm came before the likeliest day of the change, which wants a word. */
bool report_drift_alarm_is_older(const bt_drift *drift);
/* Whether it came with the change before, that another event ended, and is open since. */
bool report_drift_alarm_is_of_before(const bt_drift *drift);
/* Evidence of that cause; 0 where it is not named. */
uint32_t report_drift_evidence(const bt_drift *drift, bt_cause_kind kind);
/* How many were looked at. */
size_t report_drift_looked(const bt_unit_drift *all);

/* Which of the forecast's days have gone by (report_known_to). */
typedef enum report_passed {
  REPORT_PASSED_NONE,
  REPORT_PASSED_FIRST, /* the 5 % day */
  REPORT_PASSED_BOTH   /* the 50 % day as well */
} report_passed;
report_passed report_drift_passed(const bt_unit_study *unit, const bt_drift *drift);
/* "a check failed already, on 20 Nov 2026 (0.9552; retest inside)", of the checks since the change;
 * false, and nothing, where none did. Briefly without its reading; `opens`: a sentence. */
bool report_drift_failed(const bt_drift *drift, bool brief, bool opens, bt_text *out);
/* "a check below 0.96 mJ at a fill’s end", of the forecast; "another one" where one failed. */
void report_drift_failing(const bt_drift *drift, bt_text *out);
/* "this date has passed", "the first of them has passed" where `two` are told; nothing where none
 * did. */
void report_drift_passed_words(const bt_unit_study *unit, const bt_drift *drift, bool two,
                               bt_text *out);

bt_time report_drift_time(double day); /* the day's first moment */
const char *report_drift_date(double day, char *buffer);
const char *report_drift_log_end(const bt_drift *drift, char *buffer); /* day of the last check */

/* "−0.0048 a month": a slope a day, over that many days, in the characteristic's unit. */
void report_drift_rate(const bt_drift *drift, double per_day, double low, double high,
                       const char *what, double days, bt_text *out);

/* ---- In one sentence ------------------------------------------------------------------------- */

/* "Pulse-energy ratio: falling since a day between ..." */
void report_drift_short(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* What it says where nothing changed: "no change past the threshold", since which event, and by how
 * much that moved the level. */
void report_drift_unchanged(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* "falling since", "lower, in a step, since". */
void report_drift_went(const bt_moved *moved, bt_text *out);
/* The same as a line among others, with what its chart has open beside “no change”. */
void report_drift_brief(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* How an open signal and “no change” can both be; false, and nothing, where there is no such line.
 */
bool report_drift_both(const bt_unit_drift *all, bt_text *out);
/* With its forecast, and whether its days have passed; on page 1 with one date of the change;
 * nothing where neither a cause is named nor a forecast stands. */
void report_drift_headline(const bt_unit_study *unit, const bt_drift *drift, bool page_1,
                           bt_text *out);
/* The same as one line for `status`, with the command that says more; of a change without them that
 * it is one; else nothing. */
void report_drift_line(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* "−2.49 % (−2.57 to −2.41)": how far it has gone since it began; ", by −2.5 %". */
void report_drift_gone(const bt_drift *drift, bt_text *out);
void report_drift_gone_brief(const bt_drift *drift, bt_text *out);
/* "Side by side, since 17 Jan 2026, of what each was before: Pulse-energy ratio −2.5 %, Fluence
 * −2.2 %."; nothing where not both lost. */
void report_drift_together(const bt_unit_study *unit, bt_text *out);
/* "a day between ... and ...", or its one date. */
void report_drift_between(const bt_change *change, const char *day, bt_text *out);
/* "Depth a pulse in the test plate: lower, ..., by −2.0 %"; false where it was not looked at by
 * itself. */
bool report_drift_plate(const bt_unit_drift *all, bt_text *out);
/* "there is no baseline yet (...)": why it was not looked at; nothing where it was. */
void report_drift_why_not(const bt_drift *drift, bt_text *out);
/* "not looked at: ..." with the reasons, once where all have the same; nothing where all were. */
void report_drift_not_looked(const bt_unit_drift *all, bt_text *out);
/* What became of the look for drift where no line of a characteristic says so; on a page with the
 * page that tells more, on a screen with the command. */
void report_drift_none(const bt_unit_study *unit, bool page, bt_text *out);
/* "its last check, of 30 Sep 2026": what level and forecast are of. */
void report_drift_last(const bt_drift *drift, bt_text *out);
/* " at a fill’s end" where means and forecasts are of checks then (bt_drift.fill_end_days); else
 * "". */
const char *report_end_of_fill(const bt_drift *drift);

/* ---- Which is told first --------------------------------------------------------------------- */

/* The first day from which a failing check is to be reckoned with: the 5 % day, else the 50 % day;
 * HUGE_VAL where the forecast has none. */
double report_drift_first_day(const bt_drift *drift);
/* Below 0 where `a` is told before `b`, both of one unit: what fails its tolerance, then what comes
 * to it, the nearest day first, then all else. */
int report_drift_order(const bt_drift *a, const bt_drift *b);
/* The one that follows `before` in that order, told or not; of NULL the first. NULL: no more. */
const bt_drift *report_drift_after(const bt_unit_study *unit, const bt_drift *before);
/* "it comes to its tolerance first": why that one leads; NULL where no tolerance says so. */
const char *report_drift_why_first(const bt_drift *drift);

/* ---- The dates of a change, on the first page ------------------------------------------------ */

/* "about mid January 2026"; its day where that is known to a week. */
const char *report_drift_about(const bt_change *change, char *buffer);
/* In one sentence with that date alone; of one that did not change as elsewhere. */
void report_drift_short_about(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* "Pulse-energy ratio began 23 Dec 2025 – 5 Feb 2026 (likeliest ...), first signal ..., first alarm
 * ...; ..." of all that changed, in fewer words where `terse`; nothing where none did. */
void report_drift_dates(const bt_unit_study *unit, bool terse, bt_text *out);
/* Whether they tell when that study's signals began. */
bool report_drift_has_dates(const bt_unit_study *unit, const bt_study *of);

/* ---- On the first page ----------------------------------------------------------------------- */

/* What drifts, since when, how fast, the likely cause, when it matters; a check outside tolerance
 * before it. `above`, or NULL, is told before it: the same cause is told once. */
void report_drift_lead(const bt_unit_study *unit, const bt_drift *drift, const bt_drift *above,
                       report_words *words);
/* Where no paragraph has room: what drifts, since about when, how far it is from its centre, and by
 * when a failing check must be reckoned with. The title is strong. */
void report_drift_one_line(const bt_unit_study *unit, const bt_drift *drift, report_words *words);
/* "no change past the threshold in Tracker offset x and Tracker offset y; not looked at: ...": all
 * that is not told; nothing where all are. */
void report_drift_quiet(const bt_unit_study *unit, bt_text *out);
/* The same on one line, without the reasons. */
void report_drift_quiet_brief(const bt_unit_study *unit, bt_text *out);
/* Where nothing is told: what was looked at, what not, and why; nothing where none was. */
void report_drift_looked_at(const bt_unit_study *unit, bt_text *out);

/* ---- The answers, in the order in which they are asked --------------------------------------- */

void report_drift_is(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
void report_drift_level(const bt_drift *drift, bt_text *out);
/* The number behind it, for whoever computes it anew. */
void report_drift_likelihood(const bt_drift *drift, bt_text *out);
/* What it was until the event that began the window, and what that brought back; nothing where
 * nothing had changed. */
void report_drift_until_event(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* The same, what came since where nothing changed again, and the command that tells what was named
 * until then. */
void report_drift_before(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);

/* Beside what changed now, in short: ", to −4.6 mJ/cm² from the centre of its baseline; before,
 * until 14 Sep 2026 (optics cleaned), it was falling since a day between …". On page 1 with the
 * date as it is told there. Nothing where it was not. */
void report_drift_earlier(const bt_unit_study *unit, const bt_drift *drift, bool page_1,
                          bt_text *out);
/* By how much the event that the days looked at begin with moved the level, and what the log cannot
 * tell apart there; nothing where none moved it, or the two above have told it. */
void report_drift_at_event(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* What the meter change that they begin with, that day or with another event of it, did; NULL: they
 * begin with none. */
const bt_event_effect *report_drift_meter_change(const bt_unit_study *unit, const bt_drift *drift);
/* The effect of the event that they begin with; NULL: none, or none is known. */
const bt_event_effect *report_drift_window_effect(const bt_drift *drift);
void report_drift_since(const bt_drift *drift, bt_text *out); /* with its pace */
/* Briefly behind words that say how far it has gone. */
void report_drift_pace(const bt_drift *drift, bool brief, bt_text *out);
/* When it matters: that a check failed already, then what is ahead; or the latter alone. */
void report_drift_when(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
void report_drift_when_ahead(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* Step i, from 0, of what to do next; false when there are no more. */
bool report_drift_next(const bt_unit_study *unit, const bt_drift *drift, size_t i, bt_text *out);
/* Beside the chart of a characteristic that changed; nothing of one that did not, or where drift
 * was not looked for. */
void report_drift_facts(const bt_unit_study *unit, const bt_study *of, report_facts *facts);

/* ---- Is it the gas? -------------------------------------------------------------------------- */

/* Of those that the gas acts on and that were looked at, the one that says most of it; or NULL. */
const bt_drift *report_drift_of_gas(const bt_unit_study *unit);
/* "Gas: yes, likely: ...", "Gas: no sign ..." or "The log cannot tell ...": one line by what is
 * named; `drift` NULL: no reading that the gas acts on was looked at. */
void report_drift_gas_line(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* The same behind "Is it the gas?": "yes, likely: ... (Pulse-energy ratio)"; without its reason
 * where not `whole`. */
void report_drift_gas_brief(const bt_unit_study *unit, const bt_drift *drift, bool whole,
                            bt_text *out);
/* The loss inside the fills and how long one would last; nothing of what the gas does not act on.
 */
void report_drift_gas_numbers(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* Both; nothing where it was not looked at. */
void report_drift_gas(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);
/* " 1 jump looks like a refill that nobody recorded, ...": what the gas's answer ends with. */
void report_drift_suspected(const bt_drift *drift, bt_text *out);
/* Whether refills that a log's rows note may stand on the wrong side of their readings: true with a
 * sentence that asks. */
bool report_refill_doubt(const bt_drift *drift, bt_text *out);
/* Whether a reading's fill is far older than fills get in that log: true with a sentence. */
bool report_refills_missing(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);

/* ---- What the data support ------------------------------------------------------------------- */

const char *report_cause_words(const bt_drift *drift, const bt_cause *cause);
const char *report_cause_strength(bt_cause_strength strength);
/* What was looked for where no cause is named; `by_fills`: the gas acts on what was looked at. */
void report_causes_sought(bool by_fills, bt_text *out);
/* Facts for it, and events that may have made up for some of the change, of a single look. */
void report_cause_for(const bt_unit_study *unit, const bt_drift *drift, const bt_cause *cause,
                      bt_text *out);
/* "...; gas bottle changed: on 15 Jun 2026 −0.1 % after minus before (−0.3 to +0.1), no difference
 * told from chance, which ...": facts against it and events without effect, or that there is
 * nothing. */
void report_cause_against(const bt_unit_study *unit, const bt_drift *drift, const bt_cause *cause,
                          bt_text *out);
/* One of them, for the first page: "gas bottle changed 15 Jun 2026, no difference shows: the gas
 * supply is less likely", or "against it: " and the first fact; false where there is none. */
bool report_cause_against_brief(const bt_unit_study *unit, const bt_drift *drift,
                                const bt_cause *cause, bt_text *out);

/* ---- Details --------------------------------------------------------------------------------- */

/* From where values are looked at, and why; the trend as Theil and Sen have it. */
void report_drift_span(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);

/* How many points of the window are not looked at, and why; nothing where all are. */
void report_drift_left_out(const bt_drift *drift, bt_text *out);
void report_drift_trend(const bt_drift *drift, bt_text *out);
/* Which readings were left out as far from those around them; nothing where none was. */
void report_drift_far(const bt_drift *drift, bt_text *out);
/* When the charts first spoke of it, and why that is not when it began. */
void report_drift_first_signals(const bt_drift *drift, bt_text *out);
/* How the forecasts of month ends before compare with what came; nothing where none was given. */
void report_drift_past_score(const bt_drift *drift, bt_text *out);
/* "186.9 to 180.2 mJ/cm², by the blow-off model ...", behind "from"; `threshold` leads to it. */
void report_dioptre_words(const bt_dioptres *of, const char *threshold, bt_text *out);
/* "Last good check before the change: ...": without a tolerance none can be called good. */
void report_drift_last_good(const bt_drift *drift, bt_text *out);
/* "17, 18 Jul 2025, 1 Aug 2025" */
void report_drift_days(const bt_time *day, size_t n, bt_text *out);
enum { REPORT_DAYS_ONE_BY_ONE = 12 };
/* More than that by the month: "9 from 16 to 30 Jan 2026, 3 Feb 2026". */
void report_drift_days_by_month(const bt_time *day, size_t n, bt_text *out);

/* Of the screen: a paragraph under its head, nothing where there are no words, which it empties;
 * the score of past forecasts and each of them; the details under the answers. */
void report_drift_answer(bt_text *out, const char *head, bt_text *words);
void report_drift_past(const bt_drift *drift, bt_text *out);
void report_drift_details(const bt_unit_study *unit, const bt_drift *drift, bt_text *out);

/* ---- The page -------------------------------------------------------------------------------- */

/* What it is of; NULL: nothing was looked at, and there is no page. */
const bt_drift *report_drift_chosen(const bt_unit_study *unit);
/* The drift that it answers for whether it is the gas; NULL: none. */
const bt_drift *report_drift_asked_for_gas(const bt_unit_study *unit);
/* False of a laser whose gas nothing looked at speaks of: the page is of time alone. */
bool report_drift_asks_for_gas(const bt_unit_study *unit);
const char *report_drift_page_title(const bt_unit_study *unit);
/* The same before a page's number; NULL where there is no such page. */
const char *report_drift_page_link(const bt_unit_study *unit);
void report_drift_page(report_builder *builder, const bt_unit_study *unit);
/* Its two charts in that area, or the one of what no fill is known of. */
void report_drift_charts(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                         double top, double bottom);
/* Below `top`, a line each of what the page is not of; put down where `put`, else measured. How
 * tall it is: 0 where there is nothing else, or not room for all. */
double report_drift_others(report_builder *builder, bool put, const bt_unit_study *unit,
                           const bt_drift *drift, double top, double room);
/* Its two charts in that area; false: no fill of known age, so that nothing is put there. */
bool report_drift_fills(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                        double left, double right, double top, double bottom);
void report_drift_levels(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                         double left, double right, double top, double bottom);

#endif
