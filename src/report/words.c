/* Numbers, dates and counts as words. A minus is U+2212, a range has an en dash between blanks. */
#include "report_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MOST_DECIMALS = 8, MOST_DIGITS = 10 };

/* Digits after the first one down to that decimal; -1 when the number rounds to zero there. */
static int digits_after_first(double size, int decimals) {
  if (!(2 * size >= pow(10, -decimals)))
    return -1;
  int digits = decimals + (int)floor(log10(size));
  return digits < 0 ? 0 : digits < MOST_DIGITS ? digits : MOST_DIGITS;
}

/* A number that rounds to zero has no sign. */
static const char *printed(double value, int decimals, const char *plus, char *buffer) {
  char digits[REPORT_NUMBER_TEXT - 8];
  double size = fabs(value);
  int exact = decimals > MOST_DECIMALS ? digits_after_first(size, decimals) : 0;
  if (exact < 0)
    (void)snprintf(digits, sizeof digits, "0");
  else if (decimals > MOST_DECIMALS)
    (void)snprintf(digits, sizeof digits, "%.*e", exact, size);
  else if (size >= 1e9)
    (void)snprintf(digits, sizeof digits, "%.6g", size);
  else
    (void)snprintf(digits, sizeof digits, "%.*f", decimals, size);
  bool zero = strspn(digits, "0.") == strlen(digits);
  const char *sign = zero ? "" : value < 0 ? REPORT_MINUS : plus;
  (void)snprintf(buffer, REPORT_NUMBER_TEXT, "%s%s", sign, digits);
  return buffer;
}

const char *report_number(double value, int decimals, char *buffer) {
  return printed(value, decimals, "", buffer);
}

const char *report_signed(double value, int decimals, char *buffer) {
  return printed(value, decimals, "+", buffer);
}

const char *report_plain(double value, char *buffer) {
  char digits[32];
  (void)snprintf(digits, sizeof digits, "%.10g", fabs(value));
  (void)snprintf(buffer, REPORT_NUMBER_TEXT, "%s%s", value < 0 ? REPORT_MINUS : "", digits);
  return buffer;
}

int report_digits(int fixed, double sigma, double least) {
  static const double most = 1e4; /* from so many last digits on, sigma has over four */
  double last = fabs(sigma) * pow(10, fixed);
  if (!(last > 0) || !isfinite(last) || (last >= least && last < most))
    return fixed;
  if (last >= 1 && last < least)
    return fixed + 1;
  int three = 2 - (int)floor(log10(fabs(sigma)) + 1e-9);
  return three > 0 ? three : 0;
}

int report_decimals(const bt_quantity *quantity, double sigma) {
  return report_digits(quantity->decimals, sigma, 10);
}

/* Without a sigma the reading itself says how fine it is; no more digits than the log's smallest
 * step has. */
int report_reading_decimals(const bt_study *of, double value) {
  const bt_segment *segment = bt_study_now(of);
  double sigma = segment != NULL ? segment->chart.sigma : 0;
  double step = segment != NULL ? segment->resolution.step : 0;
  int fixed = of->quantity.decimals;
  int digits = report_digits(fixed, sigma > 0 ? sigma : value / 100, sigma > 0 ? 1 : 0.01);
  int of_step = step > 0 && isfinite(step) ? (int)ceil(-log10(step) - 1e-6) : digits;
  of_step = of_step < fixed ? fixed : of_step;
  return digits > of_step && digits < 10 ? of_step : digits; /* beyond, numbers have exponents */
}

void report_add_unit(bt_text *out, const bt_quantity *quantity) {
  if (*quantity->unit != '\0')
    bt_text_format(out, REPORT_JOIN "%s", quantity->unit);
}

void report_add_value(bt_text *out, const bt_quantity *quantity, double value, int decimals) {
  char number[REPORT_NUMBER_TEXT];
  bt_text_add(out, report_number(value, decimals, number));
  report_add_unit(out, quantity);
}

const char *report_rate(double rate, char *buffer) {
  if (rate < 0.005)
    (void)snprintf(buffer, REPORT_NUMBER_TEXT, "under 0.01");
  else {
    (void)report_number(rate, rate < 0.095 ? 2 : rate < 9.95 ? 1 : 0, buffer);
    size_t length = strlen(buffer);
    if (length > 2 && strcmp(buffer + length - 2, ".0") == 0)
      buffer[length - 2] = '\0';
  }
  return buffer;
}

const char *report_p(double p, char *buffer) {
  char number[REPORT_NUMBER_TEXT];
  if (p < 0.001)
    (void)snprintf(buffer, REPORT_NUMBER_TEXT, "p under 0.001");
  else
    (void)snprintf(buffer, REPORT_NUMBER_TEXT, "p %.40s",
                   report_number(p, p < 0.1 ? 3 : 2, number));
  return buffer;
}

void report_add_range(bt_text *out, bool negative, const char *low, const char *high) {
  bt_text_format(out, "%s %s %s", low, negative ? "to" : REPORT_DASH, high);
}

const char *report_short_date(bt_time time, char *buffer) {
  char day[BT_TIME_TEXT];
  (void)snprintf(buffer, REPORT_DATE_TEXT, "%s %d", bt_time_short_day(time, day),
                 bt_civil_of(time).year);
  return buffer;
}

bool report_has_clock(bt_time at) {
  return at != bt_day_of(at) * BT_DAY;
}

const char *report_short_moment(bt_time time, bool has_clock, char *buffer) {
  char date[REPORT_DATE_TEXT];
  bt_civil civil = bt_civil_of(time);
  (void)report_short_date(time, date);
  if (has_clock)
    (void)snprintf(buffer, REPORT_DATE_TEXT, "%.40s, %02d:%02d", date, civil.hour, civil.minute);
  else
    (void)snprintf(buffer, REPORT_DATE_TEXT, "%.40s", date);
  return buffer;
}

static bool same_year(bt_time a, bt_time b) {
  return bt_civil_of(a).year == bt_civil_of(b).year;
}

const char *report_short_period(bt_time from, bt_time to, char *buffer) {
  char first[REPORT_DATE_TEXT], last[REPORT_DATE_TEXT];
  (void)report_short_date(to, last);
  if (bt_day_of(from) == bt_day_of(to))
    (void)snprintf(buffer, REPORT_DATE_TEXT, "%.40s", last);
  else
    (void)snprintf(buffer, REPORT_DATE_TEXT, "%.40s " REPORT_DASH " %.40s",
                   same_year(from, to) ? bt_time_short_day(from, first)
                                       : report_short_date(from, first),
                   last);
  return buffer;
}

const char *report_from_to(bt_time from, bt_time to, char *buffer) {
  char first[REPORT_DATE_TEXT], last[REPORT_DATE_TEXT];
  (void)report_short_date(to, last);
  if (bt_day_of(from) == bt_day_of(to))
    (void)snprintf(buffer, REPORT_DATE_TEXT, "on %.40s", last);
  else
    (void)snprintf(buffer, REPORT_DATE_TEXT, "from %.40s to %.40s",
                   same_year(from, to) ? bt_time_short_day(from, first)
                                       : report_short_date(from, first),
                   last);
  return buffer;
}

void report_count(bt_text *out, uint64_t n, const char *one, const char *many) {
  bt_text_format(out, "%llu %s", (unsigned long long)n, n == 1 ? one : many);
}

void report_add_joined(bt_text *out, const char *words) {
  for (; *words != '\0'; words++)
    if (*words == ' ')
      bt_text_add(out, REPORT_JOIN);
    else
      bt_text_add_bytes(out, words, 1);
}

const char *report_list_join(size_t i, size_t n) {
  return i == 0 ? "" : i + 1 == n ? " and " : ", ";
}

const char *report_side_word(bt_side side) {
  return side == BT_LOW ? "low" : "high";
}
