/* Each check's place in the gas fills, found once a unit and shared by all characteristics. */
#include "study_room.h"

#include <stdlib.h>

bt_status study_place_make(const bt_history *history, const bt_settings *settings,
                           const bt_fills *fills, bt_time until, study_place *place,
                           bt_error *error) {
  *place = (study_place){.history = history,
                         .settings = settings,
                         .fills = fills,
                         .until = until,
                         .fill = bt_new(history->n, sizeof *place->fill),
                         .stretch = bt_new(history->n, sizeof *place->stretch),
                         .age_days = bt_new(history->n, sizeof *place->age_days),
                         .known = bt_new(history->n, sizeof *place->known)};
  if (!place->fill || !place->stretch || !place->age_days || !place->known) {
    study_place_free(place);
    return bt_fail_memory(error);
  }
  bt_status status = bt_fills_place(fills, history, place->fill, place->stretch, place->age_days,
                                    place->known, error);
  if (status != BT_OK)
    study_place_free(place);
  return status;
}

void study_place_free(study_place *place) {
  free(place->fill);
  free(place->stretch);
  free(place->age_days);
  free(place->known);
  *place = (study_place){0};
}
