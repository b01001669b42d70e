/* What is said of a characteristic and of a unit: verdicts, sentences of a page, short states, and
 * what to do next. Each appends; a failure stays with the text. */
#ifndef BEAMTALLY_REPORT_SENTENCES_H
#define BEAMTALLY_REPORT_SENTENCES_H

#include "report_study.h"
#include "report_words.h"

/* ---- Verdicts and cautions ------------------------------------------------------------------- */

extern const char report_words_at[];           /* where words are explained, for a screen */
extern const char *const report_caution;       /* the sentence of every footer */
extern const char *const report_cautions_full; /* the summary's paragraph */

/* Of a failed check or self-test: the first thing to do; that with all that follows. */
extern const char *const report_failure_sentence;
void report_failing_morning(const bt_unit_study *unit, report_words *words);

/* The verdict without arrow and date; "NO OPEN SIGNAL" where the log holds signals of the past. */
const char *report_verdict_words(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of);
/* Banner: words, with arrow and side where an episode is open, the date where nothing is. */
void report_banner_words(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of,
                         bt_text *out);
/* The verdict's; of a unit where a missing tolerance or check stands before an open alarm (`of`
 * NULL) that of the alarm. */
bt_ink report_unit_ink(const bt_unit_study *unit, bt_verdict verdict, const bt_study *of);

/* ---- At the head of a page ------------------------------------------------------------------- */

/* What sentences speak of: the log up to its end; as there, but checks are counted in the span
 * shown alone, whose end is the log's; or nothing but the days shown. */
typedef enum report_speaks {
  REPORT_SPEAKS_OF_LOG,
  REPORT_SPEAKS_OF_SPAN,
  REPORT_SPEAKS_OF_DAYS
} report_speaks;

/* What the page shows; of the days of [from, to) alone. */
void report_shows(const bt_unit_study *unit, const bt_study *of, report_speaks speaks, bt_time from,
                  bt_time to, report_words *words);
void report_shows_days(const bt_unit_study *unit, const bt_study *of, bt_time from, bt_time to,
                       report_words *words);
/* Parts of them: tolerance first; that of [from, to) alone. */
void report_tolerance_sentences(const bt_unit_study *unit, const bt_study *of, report_speaks speaks,
                                bt_time from, bt_time to, report_words *words);
void report_tolerance_in_days(const bt_unit_study *unit, const bt_study *of, bt_time from,
                              bt_time to, report_words *words);
/* Days whose checks differ more among themselves than the baseline's did. */
void report_within_sentence(const bt_study *of, bt_time from, bt_time to, report_words *words);
/* Points that no rule judges, and checks that are in no point. */
void report_aside_sentences(const bt_study *of, bt_time from, bt_time to, report_words *words);
/* Asks of the newest jump of [from, to) what was done; nothing without one. */
void report_jump_words(const bt_study *of, bt_time from, bt_time to, bt_text *out);
/* "since 3 Mar 2026 the target is ..." of voltages that held another target than their baseline's;
 * the same as a sentence, and as a step to do next. Nothing where the newest point is of its
 * baseline's target. */
void report_other_target_words(const bt_study *of, bt_text *out);
void report_other_target_sentence(const bt_study *of, report_words *words);
void report_other_target_step(const bt_unit_study *unit, bt_text *out);

/* What the page stands on, and its parts. */
void report_basis(const bt_study *of, report_words *words);
/* What a reader of the chart must know of it: whose limits, from which days, how often alarms come
 * falsely, and each doubt. The rest stands under the method. */
void report_basis_brief(const bt_study *of, report_words *words);
/* What that leaves out of its baseline, after the characteristic's name; or nothing. */
void report_basis_rest(const bt_study *of, bt_text *out);
void report_alarm_sentence(const bt_study *of, const bt_segment *segment, report_words *words);
void report_alarm_brief(const bt_study *of, const bt_segment *segment, report_words *words);
void report_stability_sentence(const bt_segment *segment, report_words *words);
void report_refit_sentence(const bt_study *of, const bt_segment *segment, report_words *words);
/* By how much the reading changes inside a fill, a day. */
void report_loss_words(const bt_study *of, const bt_segment *segment, bt_text *out);

extern const char *const report_room_sentence; /* that nothing judges the room */

/* ---- In short -------------------------------------------------------------------------------- */

void report_tolerance_range(const bt_tolerance *tolerance, const bt_quantity *quantity,
                            bt_text *out);
/* A distance in the characteristic's unit, a ratio's in per cent, with its sign. */
void report_add_size(const bt_study *of, double size, bt_text *out);
void report_tolerance_state(const bt_study *of, bt_text *out);
/* Signals that are open, and since when where `dated`; else why there are none. */
void report_control_state(const bt_study *of, bool dated, bt_text *out);
void report_last_value(const bt_study *of, bool with_date, bt_text *out);
/* "11 Nov 2025, 4 Oct 2025 and 3 days before, the first 2 Feb 2025": days with a check outside
 * tolerance; nothing where there is none. */
void report_failed_dates(const bt_study *of, size_t most, bt_text *out);
/* "58 of its 60 points have a check outside tolerance and take no part". */
void report_barred_words(size_t failed, size_t points, bt_text *out);
/* That the last reading is of long ago; nothing where it is not. */
void report_stale_words(const bt_unit_study *unit, const bt_study *of, bt_text *out);

/* The summary's half-sentences on one characteristic; the part of them that a reading is of long
 * ago, after a blank. */
void report_lead(const bt_unit_study *unit, const bt_study *of, report_words *words);
void report_lead_stale(const bt_unit_study *unit, const bt_study *of, report_words *words);
/* Without a current check: the last one's date, how often one is expected, and what to do; nothing
 * where there is one. */
void report_lead_current(const bt_unit_study *unit, report_words *words);
/* The checks and self-tests of [from, to) that failed although the last one did not, and what came
 * after; nothing where there are none. */
void report_lead_failed(const bt_unit_study *unit, bt_time from, bt_time to, report_words *words);

/* ---- Of the unit ----------------------------------------------------------------------------- */

void report_selftest_words(const bt_unit_study *unit, bt_text *out);
/* Of a row of the history: whether it has a self-test, with numbers of items or failed ones that
 * are named (borrowed, or NULL), and whether that failed. */
bool report_is_selftest(const bt_history *history, size_t row);
bool report_selftest_is_counted(const bt_history *history, size_t row);
bool report_selftest_is_failed(const bt_history *history, size_t row);
const char *report_selftest_items(const bt_history *history, size_t row);
/* The row of the failed self-test of that time, and of the first one after a row that passed;
 * BT_NONE where there is none. */
size_t report_selftest_failed_at(const bt_history *history, bt_time at);
size_t report_selftest_passed_after(const bt_history *history, size_t row);
/* Sentences on failures, each after a blank; nothing where there was none. */
void report_rare_words(const bt_unit_study *unit, bt_text *out);
/* "“pass” at 171 checks, the last on 25 Sep 2026": what the log writes of the test pattern; nothing
 * where it holds none. */
void report_pattern_words(const bt_unit_study *unit, bt_time from, bt_time to, bt_text *out);
bool report_pattern_varies(const bt_unit_study *unit); /* not the same words at all checks */
/* How many false alarms all charts together are expected to give. */
void report_alarm_words(const bt_unit_study *unit, bt_text *out);
/* "at 20 checks a month about 2.6 false signals a year". */
void report_rate_words(double checks_a_month, double a_year, bt_text *words);
/* "ac0d 1e01 ...": the ledger's state, as people compare it; " Ledger ac0d 1e01 ...." */
void report_state_words(const char *state, bt_text *out);
/* ", 2 of them of this laser or of another of the same log,", between `before` and `after`, of so
 * many lines whose laser is not known; nothing where it is of all of them. */
void report_of_several(int64_t lines, int64_t of_several, const char *before, const char *after,
                       bt_text *out);
void report_provenance_words(const bt_unit_study *unit, bt_text *out);
/* What a characteristic of that key is called, or the key where none has it. */
const char *report_title_of(const bt_unit_study *unit, const char *key);

/* Step i, from 0, of what to do next, in plain words; false when there are no more. Alarms that
 * ended before `since` are not asked about any more. */
bool report_next_step(const bt_unit_study *unit, bt_time since, size_t i, bt_text *out);
/* The same step where room is short: without the commands, which stand where it is told in full. */
bool report_next_step_brief(const bt_unit_study *unit, bt_time since, size_t i, bt_text *out);
/* The end of the span; or the day that the ledger was last written to, where the log had ended
 * before it: then no check came in between. */
bt_time report_known_to(const bt_unit_study *unit);
/* Whether a check is of that very day: another one would tell no more. */
bool report_is_measured(const bt_unit_study *unit);
/* From when the screen, which shows no span, asks about them: the quarter before the last check. */
bt_time report_asks_since(const bt_unit_study *unit);
/* ", 60 days before the ledger’s last entry, of 29 Nov 2026", behind the day of the last check;
 * where one is expected sooner. `brief`: without the entry's day. */
void report_check_ago(const bt_unit_study *unit, bool brief, bt_text *out);
/* Behind the heading of what to do next. */
extern const char *const report_by_role;

#endif
