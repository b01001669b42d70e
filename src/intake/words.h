/* Small words of a cell. */
#ifndef INTAKE_WORDS_H
#define INTAKE_WORDS_H

#include "beamtally/record.h"

/* Blank, dashes, "?", "/", "NA", "n/a", "n.a.", "k. A." and the like: a missing value, never zero.
 */
bool intake_is_missing(const char *text);

/* Takes blanks and no-break spaces off both ends, in place; returns where the text begins. */
char *intake_trim(char *text);

/* Makes every line end one '\n', in place. */
void intake_join_line_ends(char *text);

/* "as found", "As-Left", "left" ...; false for anything else. */
bool intake_state_of(const char *text, bt_state *state) BT_MUST_CHECK;

/* A word for yes or no alone, or a sign for it ("x", 1, 0), in the languages that words.c names. */
bool intake_says_yes(const char *text) BT_MUST_CHECK;
bool intake_says_no(const char *text) BT_MUST_CHECK;

/* A word for a change or a fill alone ("wymiana"): in a column about the gas it tells of one. */
bool intake_says_changed(const char *text) BT_MUST_CHECK;

/* "passed" or "failed" of a self-test, in several languages. */
bool intake_says_passed(const char *text) BT_MUST_CHECK;
bool intake_says_failed(const char *text) BT_MUST_CHECK;

/* "shutter" of "FAIL - shutter": what stands behind such a word and a mark; NULL without. */
const char *intake_failed_part(const char *text);

/* "before" and "after" say when the refill was; "no", "non", "0" that there was none. False for
 * anything else ("yes"): it doesn't say when. */
bool intake_refill_of(const char *text, bt_refill *refill) BT_MUST_CHECK;

/* A list of failed subsystems that names none. */
bool intake_is_none(const char *text);

/* "17/18", "17 of 18" or "17 von 18": how many of how many. Whole numbers, nothing else. */
bool intake_pair_of(const char *text, double *passed, double *total) BT_MUST_CHECK;

/* The same behind words: "FAIL 18/19 - shutter"; *rest is what stands behind it. */
bool intake_pair_behind(const char *text, double *passed, double *total,
                        const char **rest) BT_MUST_CHECK;

/* From this on up, in any of our units, a number can only be mistyped, and squares of it would no
 * longer be numbers. Wild values below are kept, since they may be the laser failing. */
#define INTAKE_MOST_READABLE 1e12

enum { INTAKE_SHORT_BYTES = 41 };

/* As much of a text as fits into `size` bytes with its NUL, cut at a whole UTF-8 character, for a
 * sentence, line ends as blanks; returns `shown`. */
const char *intake_show(const char *text, char *shown, size_t size);

#endif
