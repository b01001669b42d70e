#include "demo_chart.h"

#include "../../sampledata/demo.h"

#include <criterion/criterion.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SETTLING_POINTS = 8 };

static bt_time time_of(const char *text) {
  bt_time time;
  cr_assert(bt_time_parse(text, &time, NULL), "%s", text);
  return time;
}

static void *room(size_t n, size_t size) {
  void *made = bt_new(n, size);
  cr_assert_not_null(made);
  return made;
}

const json_t *chart_json_point(const demo_chart *chart, size_t i) {
  return json_array_get(json_object_get(chart->analysis, "points"), i);
}

bool chart_says(const demo_chart *chart, size_t i, const char *rule) {
  const json_t *rules = json_object_get(chart_json_point(chart, i), "rules");
  for (size_t k = 0; k < json_array_size(rules); k++)
    if (rule == NULL || strcmp(json_string_value(json_array_get(rules, k)), rule) == 0)
      return true;
  return false;
}

size_t chart_point(const demo_chart *chart, const char *day) {
  size_t i = 0;
  while (i < chart->n && chart->at[i] < time_of(day))
    i++;
  return i;
}

/* ---- What was built in ----------------------------------------------------------------------- */

/* What a check without noise reads. */
static double reading_of(const demo_chart *chart, const check *r, double *second) {
  const char *key = chart->key;
  *second = r->y;
  return strcmp(key, "energy_ratio") == 0    ? r->energy / r->target
         : strcmp(key, "demand") == 0        ? r->target
         : strcmp(key, "fluence") == 0       ? r->fluence
         : strcmp(key, "tracker_y") == 0     ? r->y
         : strcmp(key, "high_voltage") == 0  ? r->voltage
         : strcmp(key, "energy_spread") == 0 ? r->spread
                                             : r->x;
}

static void set_noise(demo_chart *chart) {
  const suite *s = &suites[chart->suite];
  const struct {
    const char *key;
    double sigma, step;
  } all[] = {{"energy_ratio", s->ratio_sigma, 0.0}, /* of two readings: its steps are far finer */
             {"demand", s->target_sigma, 0.001},      {"fluence", s->fluence_sigma, 0.1},
             {"tracker_x", s->x_sigma, 0.1},          {"tracker_y", s->y_sigma, 0.1},
             {"tracker_radial", s->x_sigma, 0.1},     {"high_voltage", s->voltage_sigma, 0.01},
             {"energy_spread", s->spread_sigma, 0.01}};
  for (size_t i = 0; i < sizeof all / sizeof *all; i++)
    if (strcmp(all[i].key, chart->key) == 0) {
      chart->sigma = all[i].sigma;
      chart->step = all[i].step;
    }
  chart->sigma_second = s->y_sigma;
  cr_assert(chart->sigma > 0, "%s", chart->key);
}

/* The fill began at the check's time less its age; both are whole minutes in the demo. */
static void set_truth(demo_chart *chart, size_t i, double age_days) {
  static const chance none;
  int64_t minutes = chart->at[i] / 60;
  int64_t fill = minutes - (int64_t)lround(age_days * 1440);
  check r = read_laser(chart->suite, minutes / 1440, (int)(minutes % 1440), fill, &none);
  chart->truth[i] = chart->charted[i] = reading_of(chart, &r, &chart->second[i]);
  const json_t *baseline = json_object_get(chart->analysis, "baseline");
  if (strcmp(text_of(chart->analysis, "series"), "adjusted") == 0)
    chart->charted[i] -= number_of(baseline, "fill_age_slope_per_day") *
                         (age_days - number_of(baseline, "mean_fill_age_days"));
}

static bool concerns(quantity of, const char *key) {
  static const char *const keys[] = {
      [RATIO] = "energy_ratio",     [FLUENCE] = "fluence", [TRACKER_X] = "tracker_x",
      [SPREAD] = "energy_spread",   [DEMAND] = "demand",   [VOLTAGE] = "high_voltage",
      [FILL_LOSS] = "energy_ratio",
  };
  return strcmp(keys[of], key) == 0 || (of == TRACKER_X && strcmp(key, "tracker_radial") == 0);
}

/* Marks [from, cured) and the settling that follows. */
static void set_outside(demo_chart *chart, const char *from, bt_time cured) {
  size_t i = chart_point(chart, from);
  while (i < chart->n && chart->at[i] < cured)
    chart->outside[i++] = 1;
  size_t restart = chart->radial ? i : chart->n;
  for (size_t r = chart->pass.cusum.restarts_n; r-- > 0;)
    if (chart->pass.cusum.restarts[r].point >= i)
      restart = chart->pass.cusum.restarts[r].point;
  while (i < restart)
    chart->outside[i++] = 1;
  for (size_t settling = 0; settling < SETTLING_POINTS && i < chart->n; i++) {
    chart->outside[i] = 1;
    settling += chart->judged[i];
  }
}

static void find_outside(demo_chart *chart) {
  for (size_t e = 0; e < episodes_n; e++)
    if (episodes[e].suite == chart->suite && concerns(episodes[e].quantity, chart->key))
      set_outside(chart, episodes[e].from, day_of(episodes[e].to) * BT_DAY);
  for (size_t m = 0; m < mornings_n; m++)
    if (mornings[m].suite == chart->suite && mornings[m].oddity == MISREADING &&
        concerns(RATIO, chart->key))
      set_outside(chart, mornings[m].day, (day_of(mornings[m].day) + 1) * BT_DAY);
}

/* ---- The chart ------------------------------------------------------------------------------- */

static void read_points(demo_chart *chart) {
  bt_time phase2 = time_of(text_of(json_object_get(chart->analysis, "baseline"), "to")) + BT_DAY;
  chart->phase2 = chart->n;
  for (size_t i = 0; i < chart->n; i++) {
    const json_t *point = chart_json_point(chart, i);
    chart->at[i] = time_of(text_of(point, "at"));
    chart->raw[i] = number_of(point, "raw");
    if (chart->at[i] >= phase2 && chart->phase2 == chart->n)
      chart->phase2 = i;
    chart->judged[i] =
        chart->radial ? i >= chart->phase2 : json_is_number(json_object_get(point, "cusum_high"));
    const json_t *age = json_object_get(point, "fill_age_days");
    cr_assert(json_is_number(age), "every check of the demo has a fill");
    set_truth(chart, i, json_number_value(age));
  }
}

static void read_cusum(demo_chart *chart) {
  bt_cusum *cusum = &chart->pass.cusum;
  const json_t *from = json_object_get(chart->analysis, "cusum");
  if (chart->radial)
    return;
  cusum->k = number_of(from, "k");
  cusum->h = number_of(from, "h");
  cusum->headstart = number_of(from, "headstart");
  cr_expect(cusum->k == 0.5 && cusum->h == 5 && cusum->headstart == 0.5);
  const json_t *restarts = json_object_get(from, "restarts");
  cusum->restarts_n = json_array_size(restarts);
  cusum->restarts = room(cusum->restarts_n + 1, sizeof *cusum->restarts);
  for (size_t r = 0; r < cusum->restarts_n; r++) {
    cusum->restarts[r].point = chart_point(chart, text_of(json_array_get(restarts, r), "at"));
    cr_assert_lt(cusum->restarts[r].point, chart->n);
  }
}

demo_chart *chart_begin(const char *folder, const char *unit, const char *key) {
  demo_chart *chart = room(1, sizeof *chart);
  chart->analysis = analysis_of(folder, unit, key, NULL);
  chart->key = key;
  chart->suite = strcmp(unit, suites[SOUTH].name) == 0 ? SOUTH : NORTH;
  chart->radial = strcmp(key, "tracker_radial") == 0;
  size_t n = chart->n = json_array_size(json_object_get(chart->analysis, "points"));
  chart->at = room(n, sizeof *chart->at);
  chart->judged = room(n, 1);
  chart->outside = room(n, 1);
  chart->raw = room(n, sizeof(double));
  chart->truth = room(n, sizeof(double));
  chart->charted = room(n, sizeof(double));
  chart->second = room(n, sizeof(double));
  chart->pass = (chart_pass){.z = room(n, sizeof(double)),
                             .rules = {room(n, sizeof(bt_rules)), room(n, sizeof(bt_rules))},
                             .cusum = {.high = room(n, sizeof(double)),
                                       .low = room(n, sizeof(double)),
                                       .run_high = room(n, sizeof(uint32_t)),
                                       .run_low = room(n, sizeof(uint32_t))}};
  set_noise(chart);
  read_points(chart);
  read_cusum(chart);
  const json_t *baseline = json_object_get(chart->analysis, "baseline");
  chart->centre = number_of(baseline, "centre");
  chart->chart_sigma = number_of(baseline, "sigma");
  chart->ucl = number_of(json_object_get(chart->analysis, "individuals"), "ucl");
  find_outside(chart);
  return chart;
}

void chart_end(demo_chart *chart) {
  json_decref(chart->analysis);
  free(chart->at);
  free(chart->judged);
  free(chart->outside);
  free(chart->raw);
  free(chart->truth);
  free(chart->charted);
  free(chart->second);
  free(chart->pass.z);
  free(chart->pass.rules[BT_LOW]);
  free(chart->pass.rules[BT_HIGH]);
  bt_cusum_free(&chart->pass.cusum);
  free(chart);
}

/* ---- The engine ------------------------------------------------------------------------------ */

static void judge(demo_chart *chart) {
  chart_pass *pass = &chart->pass;
  size_t from = chart->phase2, n = chart->n;
  bt_error error;
  free(pass->cusum.excursions);
  pass->cusum.excursions = NULL;
  pass->cusum.excursions_n = 0;
  bt_zone_rules(pass->z + from, chart->judged + from, n - from, pass->rules[BT_HIGH] + from,
                pass->rules[BT_LOW] + from);
  cr_assert_eq(
      bt_cusum_run(pass->z, chart->judged, from, n, chart->chart_sigma, &pass->cusum, &error),
      BT_OK);
  double above = pass->cusum.h * (1 + 1e-9);
  for (size_t i = from; i < n; i++) {
    if (chart->judged[i] && pass->cusum.high[i] > above)
      pass->rules[BT_HIGH][i] |= BT_CUSUM_SIGNAL;
    if (chart->judged[i] && pass->cusum.low[i] > above)
      pass->rules[BT_LOW][i] |= BT_CUSUM_SIGNAL;
  }
}

/* The radius has one rule, its limit. */
static void judge_radius(demo_chart *chart, size_t i, double value) {
  chart->pass.rules[BT_HIGH][i] = value > chart->ucl ? BT_WE1 : 0;
}

void chart_judge_own(demo_chart *chart) {
  for (size_t i = chart->phase2; i < chart->n; i++) {
    const json_t *z = json_object_get(chart_json_point(chart, i), "z");
    if (chart->radial)
      judge_radius(chart, i, chart->raw[i]);
    else
      chart->pass.z[i] = chart->judged[i] ? json_number_value(z) : 0;
  }
  if (!chart->radial)
    judge(chart);
}

static double rounded(const demo_chart *chart, double value) {
  return chart->step > 0 ? round(value / chart->step) * chart->step : value;
}

void chart_judge_simulated(demo_chart *chart, gsl_rng *random) {
  for (size_t i = chart->phase2; i < chart->n; i++) {
    double noise = gsl_ran_gaussian_ziggurat(random, chart->sigma);
    if (chart->radial) {
      double y = chart->second[i] + gsl_ran_gaussian_ziggurat(random, chart->sigma_second);
      judge_radius(chart, i, hypot(rounded(chart, chart->charted[i] + noise), rounded(chart, y)));
      continue;
    }
    /* The log rounds the reading, before it is moved to the mean fill age. */
    double moved = chart->charted[i] - chart->truth[i];
    double value = rounded(chart, chart->truth[i] + noise) + moved;
    chart->pass.z[i] = (value - chart->centre) / chart->chart_sigma;
  }
  if (!chart->radial)
    judge(chart);
}

size_t chart_episodes(const demo_chart *chart) {
  uint8_t *counted = room(chart->n, 1), *quiet = room(chart->n, 1);
  for (size_t i = chart->phase2; i < chart->n; i++)
    counted[i] = chart->judged[i] && !chart->outside[i];
  bt_episode *found;
  size_t n;
  bt_error error;
  cr_assert_eq(
      bt_episodes_find(NULL, counted, chart->pass.rules, quiet, chart->n, &found, &n, &error),
      BT_OK);
  free(found);
  free(counted);
  free(quiet);
  return n;
}
