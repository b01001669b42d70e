/* The made-up study, and the forms that it is written in. */
#include "made_up.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

void make_up(made_up *made) {
  *made = (made_up){.name = "Suite \"N\" \xc3\xa4", .source = "a policy"};
  made->unit.history.unit = made->name;
  bt_study *study = &made->study;
  study->quantity = (bt_quantity){"energy_ratio", "Pulse-energy ratio", "", 4};
  cr_assert(bt_series_new(&study->points, POINTS));
  study->z = bt_new(POINTS, sizeof(double));
  study->moving_range = bt_new(POINTS, sizeof(double));
  study->has_range = bt_new(POINTS, 1);
  study->judged = bt_new(POINTS, 1);
  study->rules[BT_LOW] = bt_new(POINTS, sizeof(bt_rules));
  study->rules[BT_HIGH] = bt_new(POINTS, sizeof(bt_rules));
  study->strength = bt_new(POINTS, 1);
  study->cusum = (bt_cusum){.k = 0.5,
                            .h = 5,
                            .headstart = 0.5,
                            .high = bt_new(POINTS, sizeof(double)),
                            .low = bt_new(POINTS, sizeof(double)),
                            .excursions_n = 1,
                            .excursions = &made->excursion,
                            .restarts_n = 1,
                            .restarts = &made->restart};
  study->ewma = (bt_ewma){.lambda = 0.2, .limit = 2.962, .value = bt_new(POINTS, sizeof(double))};
  made->excursion =
      (bt_excursion){.side = BT_LOW, .signal = 3, .run_began = 2, .last = 3, .size = -0.0051};
  made->restart = (bt_restart){.point = 3, .at = 3600, .kind = BT_EVENT_SERVICE};
  made->exclusion = (bt_exclusion){.point = 1, .pass = 1, .z = -4.5};
  made->tolerance = (bt_tolerance){.has_low = true, .low = 0.97, .source = made->source};
  study->tolerance.now = &made->tolerance;
  made->segment = (bt_segment){.to = POINTS,
                               .phase2 = 3,
                               .provisional = true,
                               .state = BT_CHART_DRAWN,
                               .chart = {.n = 2, .centre = 1, .sigma = 0.0042, .lcl = 0.9874},
                               .baseline = {.has_centre = true, .centre = 1, .sigma = 0.0042},
                               .autocorrelation = {.n = 3, .lag1 = 0.1, .bound = 1.1},
                               .exclusions_n = 1,
                               .exclusions = &made->exclusion};
  study->segments_n = 1;
  study->segments = &made->segment;
  for (int p = 0; p < POINTS; p++) {
    study->points.at[p] = p * BT_DAY + 8 * BT_HOUR;
    study->points.raw[p] = study->points.value[p] = 1 + 0.1 * p;
    study->points.checks[p] = 1;
    study->judged[p] = p == 3 ? 1 : 2;
  }
  study->points.flags[2] = BT_POINT_NO_CLOCK;
  study->points.flags[3] = BT_POINT_HAS_AGE;
  study->points.fill_age_days[3] = 1.25;
  study->rules[BT_LOW][3] = BT_WE1 | BT_CUSUM_SIGNAL;
  study->strength[3] = BT_NOTICE;
  study->cusum.low[3] = 5.5;
  study->ewma.value[3] = 0.9975;
}

void drop(made_up *made) {
  bt_study *study = &made->study;
  bt_series_free(&study->points);
  free(study->z);
  free(study->moving_range);
  free(study->has_range);
  free(study->judged);
  free(study->rules[BT_LOW]);
  free(study->rules[BT_HIGH]);
  free(study->strength);
  free(study->cusum.high);
  free(study->cusum.low);
  free(study->ewma.value);
}

char *written(const made_up *made, bool json, bt_time from, bt_time to) {
  char *text = NULL;
  size_t size = 0;
  bt_error error;
  FILE *stream = open_memstream(&text, &size);
  cr_assert_eq(json ? bt_emit_analysis_json(&made->unit, &made->study, from, to, stream, &error)
                    : bt_emit_analysis_csv(&made->study, from, to, stream, &error),
               BT_OK);
  (void)fclose(stream);
  return text;
}

json_t *parsed(const made_up *made, bt_time from, bt_time to) {
  char *text = written(made, true, from, to);
  json_error_t reason;
  json_t *document = json_loads(text, JSON_REJECT_DUPLICATES, &reason);
  cr_assert_not_null(document, "%s in %s", reason.text, text);
  free(text);
  return document;
}
