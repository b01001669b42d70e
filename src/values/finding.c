/* Look-ups in a study, and the free functions of findings. */
#include "beamtally/finding.h"

#include <stdlib.h>

void bt_cusum_free(bt_cusum *cusum) {
  if (cusum == NULL)
    return;
  free(cusum->high);
  free(cusum->low);
  free(cusum->run_high);
  free(cusum->run_low);
  free(cusum->excursions);
  free(cusum->restarts);
  *cusum = (bt_cusum){0};
}

void bt_ewma_free(bt_ewma *ewma) {
  if (ewma == NULL)
    return;
  free(ewma->value);
  free(ewma->lcl);
  free(ewma->ucl);
  *ewma = (bt_ewma){0};
}

void bt_fills_free(bt_fills *fills) {
  if (fills == NULL)
    return;
  free(fills->fill);
  *fills = (bt_fills){0};
}

void bt_study_free(bt_study *study) {
  if (study == NULL)
    return;
  for (size_t i = 0; i < study->segments_n; i++) {
    bt_baseline_free(&study->segments[i].baseline);
    free(study->segments[i].exclusions);
  }
  free(study->segments);
  bt_series_free(&study->checks);
  bt_series_free(&study->points);
  free(study->z);
  free(study->moving_range);
  free(study->has_range);
  free(study->judged);
  free(study->rules[BT_LOW]);
  free(study->rules[BT_HIGH]);
  free(study->strength);
  bt_cusum_free(&study->cusum);
  bt_ewma_free(&study->ewma);
  free(study->episodes);
  free(study->jumps);
  bt_dispositions_free(study->dispositions, study->dispositions_n);
  free(study->disposition_used);
  free(study->within_s_ucl);
  free(study);
}

const bt_segment *bt_study_now(const bt_study *study) {
  return study->segments_n == 0 ? NULL : &study->segments[study->segments_n - 1];
}

void bt_rare_free(bt_rare *rare) {
  if (rare == NULL)
    return;
  for (size_t i = 0; i < rare->items_n; i++)
    free(rare->items[i].name);
  free(rare->items);
  free(rare->gap_days);
  free(rare->failed_at);
  *rare = (bt_rare){0};
}

void bt_unit_study_free(bt_unit_study *study) {
  if (study == NULL)
    return;
  for (size_t i = 0; i < study->studies_n; i++)
    bt_study_free(study->studies[i]);
  free(study->studies);
  bt_fills_free(&study->fills);
  bt_history_free(&study->history);
  bt_settings_free(&study->settings);
  bt_rare_free(&study->selftest.rare);
  bt_corrections_free(study->corrections, study->corrections_n);
  bt_unit_drift_free(study->drift);
  free(study->gaps);
  free(study);
}

const bt_study *bt_unit_study_of(const bt_unit_study *study, bt_characteristic characteristic) {
  for (size_t i = 0; i < study->studies_n; i++)
    if (study->studies[i]->characteristic == characteristic)
      return study->studies[i];
  return NULL;
}

size_t bt_study_other_target_from(const bt_study *study) {
  const bt_series *points = &study->points;
  size_t from = points->n;
  while (from > 0 && (points->flags[from - 1] & BT_POINT_OTHER_TARGET) != 0)
    from--;
  return from < points->n ? from : BT_NONE;
}
