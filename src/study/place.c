/* Each check's place in the gas fills, and the clinic's own characteristics, found once a unit and
 * shared by all studies. */
#include "study_room.h"

#include <stdlib.h>
#include <string.h>

/* A key that the settings in force don't name any more is not charted. */
static void find_own(study_place *place) {
  const bt_history *history = place->history;
  for (size_t c = 0; c < place->settings->own_n; c++) {
    place->own[c] = BT_NONE;
    for (size_t h = 0; h < history->own_n; h++)
      if (strcmp(place->settings->own[c].key, history->own_key[h]) == 0)
        place->own[c] = h;
  }
}

static bool is_demand_set(const bt_history *history) {
  uint32_t any = 0;
  for (size_t i = 0; i < history->n; i++)
    any |= history->present[i];
  return (any >> BT_READING_TARGET_MJ & 1) == 0 && (any >> BT_READING_FLUENCE_SETTING & 1) != 0;
}

bt_status study_place_make(const bt_history *history, const bt_settings *settings,
                           const bt_fills *fills, bt_time until, study_place *place,
                           bt_error *error) {
  *place = (study_place){.history = history,
                         .settings = settings,
                         .setting = bt_settings_unit(settings, history->unit),
                         .fills = fills,
                         .until = until,
                         .fill = bt_new(history->n, sizeof *place->fill),
                         .stretch = bt_new(history->n, sizeof *place->stretch),
                         .age_days = bt_new(history->n, sizeof *place->age_days),
                         .known = bt_new(history->n, sizeof *place->known),
                         .own = bt_new(settings->own_n, sizeof *place->own)};
  if (!place->fill || !place->stretch || !place->age_days || !place->known || !place->own) {
    study_place_free(place);
    return bt_fail_memory(error);
  }
  find_own(place);
  place->demand_is_setting = is_demand_set(history);
  bt_status status = bt_fills_place(fills, history, place->fill, place->stretch, place->age_days,
                                    place->known, error);
  if (status == BT_OK && place->setting != NULL && place->setting->pulses_per_day > 0)
    bt_fills_age_by_pulses(history, place->setting->pulses_per_day, place->fill, place->age_days,
                           place->known);
  if (status != BT_OK)
    study_place_free(place);
  return status;
}

void study_place_free(study_place *place) {
  free(place->fill);
  free(place->stretch);
  free(place->age_days);
  free(place->known);
  free(place->own);
  bt_dispositions_free(place->dispositions, place->dispositions_n);
  *place = (study_place){0};
}
