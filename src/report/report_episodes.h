/* Episodes, retests and what people concluded, in words. Each appends; a failure stays with the
 * text. */
#ifndef BEAMTALLY_REPORT_EPISODES_H
#define BEAMTALLY_REPORT_EPISODES_H

#include "report_study.h"
#include "report_words.h"

/* ---- Rules ----------------------------------------------------------------------------------- */

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

/* ---- Episodes -------------------------------------------------------------------------------- */

const char *report_strength_word(bt_strength strength);
/* Of an open episode: what its side says at the last points, as its characteristic's own page does,
 * and that it was an alarm before. */
const char *report_open_word(const bt_study *of, const bt_episode *episode);
/* "open alarm", "open notice (alarm earlier)", "past alarm": open as above; past: nothing of it in
 * the last 8 points, and the worst that it was. */
void report_episode_word(const bt_study *of, const bt_episode *episode, bt_text *out);
/* The same with its side and its points: "past alarm, low side, 12 points (2 alarms, 10 notices)".
 */
void report_episode_brief(const bt_study *of, const bt_episode *episode, bt_text *out);
/* " (88 alarms, 53 notices)": of the signals of an episode, as the lane draws them. */
void report_add_strengths(size_t alarms, size_t notices, bt_text *out);
void report_episode_strengths(const bt_study *of, const bt_episode *episode, bt_text *out);
/* Its first alarm where it is one, else its first signal: that point; and in words, ", first alarm
 * 28 May 2026 (first signal 16 May 2026)". No "since": charts flag days, and date no change. */
size_t report_open_from(const bt_study *of, const bt_episode *episode);
void report_open_first(const bt_study *of, const bt_episode *episode, bt_text *out);
/* The open episodes with their ids and states; nothing where none is open. */
void report_open_episodes(const bt_study *of, bt_text *out);

/* "ended by the CUSUM’s restart of 1 Oct 2026 (recalibration), not by readings" or ", of other
 * rules by readings", `brief` without what was done then; false, and nothing, of one that its
 * readings ended, or that is open. */
bool report_add_ended(const bt_study *of, const bt_episode *episode, bool brief, bt_text *out);
/* The newest episode of that side, open or past; NULL: none. Borrowed. */
const bt_episode *report_newest_of(const bt_study *of, bt_side side);

/* ---- What was concluded ---------------------------------------------------------------------- */

/* What was concluded of an episode, or NULL. */
const bt_disposition *report_disposition(const bt_study *of, const bt_episode *episode);
/* True where something is open and all of it has a disposition. */
bool report_is_concluded(const bt_study *of);
/* "cause: ...; action: ...; M. Reader, 3 Sep 2026"; "low side, 1 – 3 Aug 2026". */
void report_disposition_words(const bt_disposition *disposition, bt_text *out);
void report_disposition_about(const bt_disposition *disposition, bt_text *out);
/* The first of an episode that has one, and how often it was revised. */
void report_concluded_words(const bt_study *of, const bt_episode *episode, bt_text *out);
/* ", concluded by M. Reader on 3 Oct 2026"; nothing of one that nobody has concluded anything of.
 */
void report_add_concluded(const bt_study *of, const bt_episode *episode, bt_text *out);
/* "undecided", or of when and by whom. */
void report_episode_state(const bt_study *of, const bt_episode *episode, bt_text *out);

/* The first point alone broke a rule by itself, and the sum of the CUSUM began there and
 * never rose after: its others are carried on from that one reading. */
bool report_is_one_reading(const bt_study *of, const bt_episode *episode);

/* ---- Retests --------------------------------------------------------------------------------- */

/* "failed at 07:50 on 30 Sep 2026 (0.941), retest at 08:05 inside tolerance (0.9981)". */
void report_retest_words(const bt_study *of, const report_retest *found, bt_text *out);
/* The same from "at" on, also of one that was not repeated at once. */
void report_retest_at(const bt_study *of, const report_retest *found, bt_text *out);
/* Of a failed check: "; retest inside", or nothing where it was not repeated at once. */
const char *report_retest_brief(const bt_study *of, size_t check);
/* Behind words of the last check, where it is a retest: ", a retest at 08:05: the check at 07:50
 * failed (0.941)". */
void report_retest_told(const bt_study *of, bt_text *out);
/* Those of a month, the newest first; nothing where there is none. What failed is told before the
 * table (report_lead_failed). */
void report_retests_between(const bt_study *of, bt_time from, bt_time to, size_t most,
                            bt_text *out);

/* ---- What failed before the last check ------------------------------------------------------- */

/* Whether that check was outside tolerance, or a retest of it was, and the last check is no failed
 * one of these. `found` holds only where it is so. */
bool report_failed_of(const bt_study *of, size_t check, report_retest *found);
/* How many there are in [from, to), and the newest, which stays as it is where there is none. */
size_t report_failed_between(const bt_study *of, bt_time from, bt_time to, report_retest *newest);
/* "at 07:50 on 30 Sep 2026 (0.941); the next check, of 1 Oct 2026, inside tolerance (0.98)"; of one
 * that was inside itself: "beyond its limits at 07:50 on 30 Sep 2026 (0.978), retest at 08:05
 * failed (0.96); the next check ...". */
void report_failed_words(const bt_study *of, const report_retest *found, bt_text *out);

#endif
