/* Memory of histories and series, and the search for a moment. */
#include "beamtally/series.h"

#include <stdlib.h>

static void free_texts(char **texts, size_t n) {
  if (texts == NULL)
    return;
  for (size_t i = 0; i < n; i++)
    free(texts[i]);
  free(texts);
}

void bt_history_free(bt_history *history) {
  if (history == NULL)
    return;
  for (size_t r = 0; r < BT_READING_COUNT; r++)
    free(history->reading[r]);
  for (size_t f = 0; f < BT_FIELD_COUNT; f++)
    free_texts(history->text[f], history->n);
  /* The texts of the events were allocated for the history, though a bt_event only borrows. */
  for (size_t i = 0; i < history->events_n; i++) {
    free((char *)(uintptr_t)history->events[i].unit);
    free((char *)(uintptr_t)history->events[i].note);
  }
  for (size_t i = 0; i < history->own_n; i++) {
    free(history->own_key[i]);
    free(history->own_value[i]);
    free(history->own_present[i]);
  }
  free(history->own_key);
  free(history->own_value);
  free(history->own_present);
  free(history->events);
  free(history->unit);
  free(history->at);
  free(history->sequence);
  free(history->source);
  free(history->line);
  free(history->present);
  free(history->state);
  free(history->refill);
  free(history->has_clock);
  *history = (bt_history){0};
}

bool bt_series_new(bt_series *series, size_t n) {
  *series = (bt_series){.n = n,
                        .at = bt_new(n, sizeof *series->at),
                        .sequence = bt_new(n, sizeof *series->sequence),
                        .source = bt_new(n, sizeof *series->source),
                        .line = bt_new(n, sizeof *series->line),
                        .within_s = bt_new(n, sizeof *series->within_s),
                        .raw = bt_new(n, sizeof *series->raw),
                        .value = bt_new(n, sizeof *series->value),
                        .fill_age_days = bt_new(n, sizeof *series->fill_age_days),
                        .target_mj = bt_new(n, sizeof *series->target_mj),
                        .fill = bt_new(n, sizeof *series->fill),
                        .segment = bt_new(n, sizeof *series->segment),
                        .checks = bt_new(n, sizeof *series->checks),
                        .flags = bt_new(n, sizeof *series->flags)};
  bool made = series->at && series->sequence && series->source && series->line &&
              series->within_s && series->raw && series->value && series->fill_age_days &&
              series->target_mj && series->fill && series->segment && series->checks &&
              series->flags;
  if (!made)
    bt_series_free(series);
  return made;
}

void bt_series_free(bt_series *series) {
  if (series == NULL)
    return;
  free(series->at);
  free(series->sequence);
  free(series->source);
  free(series->line);
  free(series->within_s);
  free(series->raw);
  free(series->value);
  free(series->fill_age_days);
  free(series->target_mj);
  free(series->fill);
  free(series->segment);
  free(series->checks);
  free(series->flags);
  *series = (bt_series){0};
}

size_t bt_series_from(const bt_series *series, bt_time moment) {
  size_t low = 0, high = series->n;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (series->at[middle] < moment)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}
