/* Makes the table of src/drift/looks.c: thresholds for a change that is looked for every day, by
 * simulation.
 *
 *   cc -O3 -march=native -ffast-math -o table table.c -lgsl -lgslcblas -lm && ./table 1000000
 *
 * Independent normal values on five days of each week, looked at anew with each value from the
 * tenth on. A look's statistic is the larger of the step's and the hinge's likelihood ratio
 * n ln(RSS0 / RSS), over all splits with two values on either side, and over all onsets at a value
 * with two values up to it and two after it; times (n-2)/n ((8n-15)/(8n-13))^2, which makes its
 * scale depend little on n. Rows are spans of n. A column's threshold in a row is crossed for the
 * first time, by windows that crossed none of the rows before, at the column's rate a look.
 *
 * It shares no code with the program: the likelihood ratios are taken from sums that grow with each
 * value. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { LEAST = 10, ROWS = 19, COLUMNS = 6 };

static const int last_of[ROWS] = {11,  13,  16,  20,  25,  32,  40,  50,  64, 80,
                                  100, 128, 160, 200, 256, 320, 400, 500, 640};
static const double rate[COLUMNS] = {1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2e-5};

enum { MOST = 640 };

/* What depends on the times alone: for n values, onset at value k. */
static float mean_x[MOST + 1][MOST], inverse_x[MOST + 1][MOST];
static float part[MOST + 1][MOST], inverse_step[MOST + 1][MOST];
static float day[MOST];

static void prepare(void) {
  for (int i = 0; i < MOST; i++)
    day[i] = (float)(7 * (i / 5) + i % 5);
  for (int n = LEAST; n <= MOST; n++)
    for (int k = 0; k < n; k++) {
      double sum = 0, squares = 0;
      for (int i = k + 1; i < n; i++) {
        double x = (double)day[i] - (double)day[k];
        sum += x;
        squares += x * x;
      }
      mean_x[n][k] = (float)(sum / n);
      inverse_x[n][k] = (float)(1 / fmax(squares - sum * sum / n, 1e-9));
      part[n][k] = (float)k / (float)n;
      inverse_step[n][k] = (float)(k > 0 ? (double)n / ((double)k * (n - k)) : 0);
    }
}

/* Largest share of the sum of squares that a change explains. */
static float largest(int n, const float *up_to, const float *moment, float sum) {
  float best = 0;
  for (int k = 1; k <= n - 2; k++) {
    float step = up_to[k] - part[n][k] * sum;
    step = step * step * inverse_step[n][k];
    step = k >= 2 ? step : 0;
    float hinge = moment[k] - mean_x[n][k] * sum;
    hinge = hinge * hinge * inverse_x[n][k];
    hinge = k <= n - 3 ? hinge : 0;
    float larger = step > hinge ? step : hinge;
    best = best > larger ? best : larger;
  }
  return best;
}

/* Largest statistic of each row's looks. */
static void one_window(gsl_rng *source, float *row_largest) {
  static float up_to[MOST + 1], moment[MOST];
  float sum = 0, squares = 0;
  int row = 0;
  for (int r = 0; r < ROWS; r++)
    row_largest[r] = 0;
  for (int n = 1; n <= MOST; n++) {
    float value = (float)gsl_ran_gaussian_ziggurat(source, 1), now = day[n - 1];
    up_to[n - 1] = sum;
    moment[n - 1] = 0;
    for (int k = 0; k < n - 1; k++)
      moment[k] += (now - day[k]) * value;
    sum += value;
    squares += value * value;
    if (n < LEAST)
      continue;
    while (n > last_of[row])
      row++;
    double share =
        (double)largest(n, up_to, moment, sum) / (double)(squares - sum * sum / (float)n);
    double scale = (8.0 * n - 15) / (8.0 * n - 13);
    float statistic = (float)(-(n - 2) * log1p(-fmin(share, 0.9999999)) * scale * scale);
    if (statistic > row_largest[row])
      row_largest[row] = statistic;
  }
}

static int falling(const void *a, const void *b) {
  float first = *(const float *)a, second = *(const float *)b;
  return (first < second) - (first > second);
}

int main(int count, char **words) {
  size_t runs = count > 1 ? (size_t)atol(words[1]) : 100000;
  float(*found)[ROWS] = malloc(runs * sizeof *found);
  float *sorted = malloc(runs * sizeof *sorted);
  double(*threshold)[COLUMNS] = malloc(ROWS * sizeof *threshold);
  gsl_rng *source = gsl_rng_alloc(gsl_rng_taus2);
  if (!found || !sorted || !threshold || !source)
    return 1;
  gsl_rng_set(source, 20260819);
  prepare();
  for (size_t run = 0; run < runs; run++)
    one_window(source, found[run]);

  for (int column = 0; column < COLUMNS; column++) {
    int from = LEAST;
    for (int row = 0; row < ROWS; row++) {
      size_t left = 0;
      for (size_t run = 0; run < runs; run++) {
        int before = 0;
        while (before < row && (double)found[run][before] <= threshold[before][column])
          before++;
        if (before == row)
          sorted[left++] = found[run][row];
      }
      qsort(sorted, left, sizeof *sorted, falling);
      double crossings = rate[column] * (double)runs * (last_of[row] - from + 1);
      size_t above = (size_t)(crossings + 0.5);
      threshold[row][column] =
          0.5 * ((double)sorted[above > 0 ? above - 1 : 0] + (double)sorted[above]);
      from = last_of[row] + 1;
    }
  }
  printf("/* looks");
  for (int column = 0; column < COLUMNS; column++)
    printf("  %g", rate[column]);
  printf(" */\n");
  for (int row = 0; row < ROWS; row++) {
    printf("    {%d, {", last_of[row]);
    for (int column = 0; column < COLUMNS; column++)
      printf("%.2f%s", threshold[row][column], column + 1 < COLUMNS ? ", " : "}},\n");
  }
  gsl_rng_free(source);
  free(found);
  free(sorted);
  free(threshold);
  return 0;
}
