/* Fuzz target: zone rules, CUSUM and EWMA against plain loops over their definitions.
 *
 * The first three bytes choose k, h and the headstart, the fourth where the segment is cut; each
 * further pair is a point: a distance from the centre in 64ths of sigma, so that many lie on the
 * lines, and whether it is judged or the sums begin anew there. What a plain loop finds by looking
 * back over all points before, the charts' own code must find. */
#include "fuzz.h"

#include "beamtally/spc.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 512, HEADER = 4 };

#define ON_LINE 1e-9

typedef struct history {
  size_t n, cut, restarts_n;
  double z[MOST];
  uint8_t judged[MOST];
  bt_restart restarts[MOST];
} history;

static history at;
static bt_rules high[MOST], low[MOST];
static double sum_high[MOST], sum_low[MOST], average[MOST], lcl[MOST], ucl[MOST];
static uint32_t run_high[MOST], run_low[MOST];

static void read_history(const uint8_t *data, size_t size) {
  at = (history){.n = (size - HEADER) / 2};
  if (at.n > MOST)
    at.n = MOST;
  at.cut = data[3] * at.n / 255;
  for (size_t i = 0; i < at.n; i++) {
    const uint8_t *pair = data + HEADER + 2 * i;
    at.z[i] = (int8_t)pair[0] * (pair[1] & 4 ? 1.0 : 4.0) / 64;
    at.judged[i] = (pair[1] & 3) != 3;
    if ((pair[1] & 0xF0) == 0xF0)
      at.restarts[at.restarts_n++].point = i;
  }
}

/* Judged points of [from, i] beyond the line on that side, among the last `of` of them. */
static size_t beyond(size_t from, size_t i, double side, double line, size_t of) {
  size_t counted = 0, found = 0;
  for (size_t j = i + 1; j-- > from && counted < of;)
    if (at.judged[j] != 0) {
      counted++;
      found += side * at.z[j] > line + ON_LINE;
    }
  return found;
}

static unsigned rules_at(size_t from, size_t i, double side) {
  const struct {
    double line;
    size_t needed, of;
    unsigned rule;
  } pattern[] = {{3, 1, 1, BT_WE1}, {2, 2, 3, BT_WE2}, {1, 4, 5, BT_WE3}, {0, 8, 8, BT_WE4}};
  unsigned rules = 0;
  for (size_t p = 0; p < sizeof pattern / sizeof *pattern && at.judged[i] != 0; p++)
    if (side * at.z[i] > pattern[p].line + ON_LINE &&
        beyond(from, i, side, pattern[p].line, pattern[p].of) >= pattern[p].needed)
      rules |= pattern[p].rule;
  return rules;
}

/* Where the sums that point i belongs to began; *anew: by a restart. */
static size_t start_of(size_t from, size_t i, bool *anew) {
  size_t start = from;
  *anew = false;
  for (size_t r = 0; r < at.restarts_n; r++)
    if (at.restarts[r].point >= from && at.restarts[r].point <= i) {
      start = at.restarts[r].point;
      *anew = true;
    }
  return start;
}

static void cusum_must_be(size_t from, size_t i, double side, const bt_cusum *cusum, double found,
                          uint32_t found_run) {
  bool anew;
  size_t start = start_of(from, i, &anew);
  double sum = anew ? cusum->headstart * cusum->h : 0;
  uint32_t run = 0;
  for (size_t j = start; j <= i; j++)
    if (at.judged[j] != 0) {
      sum = fmax(0, sum + side * at.z[j] - cusum->k);
      run = sum > ON_LINE ? run + 1 : 0;
      sum = sum > ON_LINE ? sum : 0;
    }
  if (at.judged[i] == 0)
    fuzz_must(found == 0 && found_run == 0);
  else
    fuzz_must(fabs(found - sum) <= 1e-9 * (1 + sum) && found_run == run);
}

static void ewma_must_be(size_t from, size_t i, const bt_ewma *ewma) {
  if (at.judged[i] == 0) {
    fuzz_must(average[i] == 0 && lcl[i] == 0 && ucl[i] == 0);
    return;
  }
  bool anew;
  double value = 0;
  int n = 0;
  for (size_t j = start_of(from, i, &anew); j <= i; j++)
    if (at.judged[j] != 0) {
      value = ewma->lambda * at.z[j] + (1 - ewma->lambda) * value;
      n++;
    }
  double left = pow(1 - ewma->lambda, 2.0 * n);
  double half = ewma->limit * sqrt(ewma->lambda / (2 - ewma->lambda) * (1 - left));
  fuzz_must(fabs(average[i] - value) <= 1e-9 * (1 + fabs(value)));
  fuzz_must(fabs(ucl[i] - half) <= 1e-9 * (1 + half) && fabs(lcl[i] + half) <= 1e-9 * (1 + half));
}

/* Every point above h belongs to an excursion of its side that has begun and not ended. */
static void excursions_must_cover(const bt_cusum *cusum) {
  for (size_t i = 0; i < at.n; i++)
    for (int s = 0; s < BT_SIDES; s++) {
      bool above = (s == BT_HIGH ? sum_high : sum_low)[i] > cusum->h + ON_LINE;
      size_t holding = 0;
      for (size_t e = 0; e < cusum->excursions_n; e++)
        holding += cusum->excursions[e].side == (bt_side)s && cusum->excursions[e].signal <= i &&
                   cusum->excursions[e].last >= i;
      if (at.judged[i] != 0)
        fuzz_must(holding == (above ? 1 : 0));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  if (size < HEADER)
    return 0;
  read_history(data, size);
  bt_error error = {0};
  const bt_individuals chart = bt_individuals_stated(0, 1);
  bt_cusum cusum = {.k = 0.125 * (1 + data[0] % 8),
                    .h = 0.5 * (1 + data[1] % 20),
                    .headstart = 0.25 * (data[2] % 4),
                    .high = sum_high,
                    .low = sum_low,
                    .run_high = run_high,
                    .run_low = run_low,
                    .restarts = at.restarts,
                    .restarts_n = at.restarts_n};
  bt_ewma ewma = {.lambda = (1 + data[2] % 10) / 10.0,
                  .limit = 2.962,
                  .value = average,
                  .lcl = lcl,
                  .ucl = ucl};
  const size_t ends[] = {0, at.cut, at.n};
  for (int s = 0; s < 2; s++) {
    size_t from = ends[s], to = ends[s + 1];
    bt_zone_rules(at.z + from, at.judged + from, to - from, high + from, low + from);
    fuzz_must(bt_cusum_run(at.z, at.judged, from, to, 1, &cusum, &error) == BT_OK);
    bt_ewma_run(at.z, at.judged, from, to, &chart, at.restarts, at.restarts_n, &ewma);
    for (size_t i = from; i < to; i++) {
      fuzz_must(high[i] == rules_at(from, i, 1) && low[i] == rules_at(from, i, -1));
      cusum_must_be(from, i, 1, &cusum, sum_high[i], run_high[i]);
      cusum_must_be(from, i, -1, &cusum, sum_low[i], run_low[i]);
      ewma_must_be(from, i, &ewma);
    }
  }
  excursions_must_cover(&cusum);
  free(cusum.excursions);
  return 0;
}
