/* Words that are of no finding in particular: numbers, dates, counts and lists; text with bold
 * parts; and plain text in 80 columns. What goes into a buffer is returned as well. */
#ifndef BEAMTALLY_REPORT_WORDS_H
#define BEAMTALLY_REPORT_WORDS_H

#include "beamtally/finding.h"
#include "beamtally/page.h"

#define REPORT_MINUS "\xE2\x88\x92" /* U+2212 */
#define REPORT_DASH  "\xE2\x80\x93" /* U+2013 */
#define REPORT_JOIN  "\xC2\xA0"     /* U+00A0: a blank that no line breaks at */

enum { REPORT_NUMBER_TEXT = 64, REPORT_DATE_TEXT = 96 }; /* bytes of a buffer */

/* ---- Numbers --------------------------------------------------------------------------------- */

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
/* "0.95 – 1.05"; with "to" where one is `negative`, as a dash would be read as one more minus. */
void report_add_range(bt_text *out, bool negative, const char *low, const char *high);

/* A rate a year as people say it; "p 0.034"; "9.2", "92", "209 million": a mean number of checks.
 */
const char *report_rate(double rate, char *buffer);
const char *report_p(double p, char *buffer);
const char *report_about(double mean, char *buffer);

/* ---- Dates ----------------------------------------------------------------------------------- */

/* Dates are written one way: "24 Jul 2026". The year is left out only beside an axis or a heading
 * that has it. */
const char *report_short_date(bt_time time, char *buffer);
/* False of midnight, where a log without times of day has all. */
bool report_has_clock(bt_time at);
/* A short date with its time of day, where there is one: "24 Jul 2026, 08:05". */
const char *report_short_moment(bt_time time, bool has_clock, char *buffer);
/* "1 May – 27 Sep 2026"; both days within; the year once where it is the same. */
const char *report_short_period(bt_time from, bt_time to, char *buffer);
/* "from 1 May to 27 Sep 2026", or "on 27 Sep 2026". */
const char *report_from_to(bt_time from, bt_time to, char *buffer);

/* ---- Counts and lists ------------------------------------------------------------------------ */

/* "1 check", "2 checks". */
void report_count(bt_text *out, uint64_t n, const char *one, const char *many);
/* What stands before name i of a list of n: nothing, a comma, or "and". */
const char *report_list_join(size_t i, size_t n);
/* With its blanks made unbreakable. */
void report_add_joined(bt_text *out, const char *words);
const char *report_side_word(bt_side side); /* "low", "high" */

/* ---- Text with bold parts -------------------------------------------------------------------- */

/* Zeroed, it is empty; freed by report_words_free. */
typedef struct report_words {
  bt_text text;
  size_t strong_n;
  bt_strong strong[BT_STRONG_MOST];
} report_words;

void report_words_add(report_words *words, const char *format, ...) BT_PRINTF(2, 3);
void report_words_bold(report_words *words, const char *format, ...) BT_PRINTF(2, 3);
void report_words_next(report_words *words); /* a blank before the next sentence, if any came */
void report_words_free(report_words *words);

/* Frees a text that went into another; its failure is that one's. */
void report_text_pass(bt_text *text, bt_text *out);

/* ---- Plain text ------------------------------------------------------------------------------ */

/* Appends text wrapped at 80 columns; the first line begins with `head`, the others are indented
 * as far. */
void report_wrap_plain(bt_text *out, const char *head, const char *text);
size_t report_columns(const char *text); /* characters of UTF-8 text */

#endif
