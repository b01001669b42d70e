/* Threshold of a change that is looked for every day: the likelihood ratio, a pure number, above
 * which a change may be spoken of. Level, change date, forecast and causes all wait for it.
 *
 * Requirements
 *   K1  A unit is looked at all year, on several charts, and its windows begin anew at cleanings
 *       and the like. So each look has the same small rate of a first false crossing,
 *         rate = 0.05 / (charts x looks a year),
 *       however long its window is: together they come to 5 % a unit and year at most.
 *   K2  The threshold of a window of n values is Q / ((n-2)/n ((8n-15)/(8n-13))^2): the factor
 *       makes Q depend little on n. Q is interpolated over ln n between the middles of the rows'
 *       spans, and over ln rate between the columns; beyond the first and last column it goes on as
 *       between the two next to it; beyond the last row it stays.
 *   K3  Under 10 values there is no look: no threshold is given.
 *
 * The table is simulated by tests/published/drift/looks/table.c: 1,000,000 windows of independent
 * normal values on five days of each week. Values that depend on one another, or a sawtooth left in
 * them, cross more often. The factor is that of a t statistic's normal score: Wallace, Annals of
 * Mathematical Statistics 30 (1959). Checked by simulation of another generator, with windows that
 * begin anew too (tests/unit/drift/looks.c). */
#include "beamtally/drift.h"

#include <math.h>

enum { COLUMNS = 6 };

static const double a_year = 0.05;

/* Rate of the columns: first crossings a look. */
static const double rate_of[COLUMNS] = {1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2e-5};

/* Rows of table.c: last n of the span, Q at each rate. */
static const struct look_row {
  int last;
  double q[COLUMNS];
} table[] = {
    {11, {14.88, 16.27, 18.09, 19.56, 21.09, 22.91}},
    {13, {14.51, 15.99, 17.86, 19.30, 20.79, 22.47}},
    {16, {14.39, 15.96, 17.90, 19.33, 20.97, 22.69}},
    {20, {14.25, 15.80, 17.77, 19.29, 20.72, 22.71}},
    {25, {14.18, 15.77, 17.85, 19.31, 20.81, 22.76}},
    {32, {14.06, 15.67, 17.73, 19.18, 20.63, 22.48}},
    {40, {14.01, 15.58, 17.57, 19.09, 20.60, 22.54}},
    {50, {13.95, 15.57, 17.66, 19.22, 20.67, 22.82}},
    {64, {13.82, 15.44, 17.46, 19.04, 20.48, 22.44}},
    {80, {13.77, 15.39, 17.49, 19.00, 20.44, 22.58}},
    {100, {13.69, 15.36, 17.45, 18.98, 20.49, 22.43}},
    {128, {13.60, 15.30, 17.43, 18.91, 20.39, 22.36}},
    {160, {13.49, 15.24, 17.35, 18.89, 20.40, 22.37}},
    {200, {13.38, 15.16, 17.34, 18.90, 20.46, 22.51}},
    {256, {13.24, 15.11, 17.31, 18.90, 20.42, 22.38}},
    {320, {13.05, 15.01, 17.22, 18.84, 20.36, 22.36}},
    {400, {12.80, 14.90, 17.19, 18.80, 20.33, 22.34}},
    {500, {12.46, 14.77, 17.16, 18.78, 20.37, 22.33}},
    {640, {11.89, 14.59, 17.13, 18.79, 20.37, 22.36}},
};

enum { ROWS = sizeof table / sizeof *table };

/* Middle of a row's span, on the scale of ln n. */
static double middle(size_t row) {
  double first = row == 0 ? BT_LOOK_LEAST_VALUES : table[row - 1].last + 1;
  return 0.5 * (log(first) + log((double)table[row].last));
}

/* Q of a row at a rate, K2. */
static double at_rate(size_t row, double rate) {
  size_t column = 0;
  while (column + 2 < COLUMNS && rate_of[column + 1] >= rate)
    column++;
  double part = log(rate / rate_of[column]) / log(rate_of[column + 1] / rate_of[column]);
  const double *q = table[row].q;
  return q[column] + part * (q[column + 1] - q[column]);
}

bt_look bt_look_of(size_t n, size_t charts, double looks_a_year) {
  bt_look look = {.n = n, .charts = charts, .looks_a_year = looks_a_year};
  if (n < BT_LOOK_LEAST_VALUES || charts == 0 || !(looks_a_year > 0))
    return look; /* K3 */
  look.given = true;
  look.rate = a_year / ((double)charts * looks_a_year); /* K1 */
  double count = (double)n, at = log(count);
  size_t row = 0;
  while (row + 2 < ROWS && middle(row + 1) <= at)
    row++;
  double part = fmin(fmax((at - middle(row)) / (middle(row + 1) - middle(row)), 0), 1);
  double q = at_rate(row, look.rate);
  q += part * (at_rate(row + 1, look.rate) - q);
  double scale = (8 * count - 15) / (8 * count - 13);
  look.threshold = q * count / ((count - 2) * scale * scale);
  return look;
}
