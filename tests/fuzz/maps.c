/* Fuzz target: the same bytes as a column map and as a settings file.
 *
 * What is refused comes with a sentence and leaves nothing behind; what is taken is text. */
#include "fuzz.h"

#include "beamtally/intake.h"

#include <math.h>
#include <string.h>

static void must_be_text(const char *text) {
  fuzz_must(text == NULL || bt_utf8_valid(text, strlen(text)));
}

static void must_explain(bt_status status, const bt_error *error) {
  fuzz_must(status == BT_INPUT && error->status == status && error->text[0] != '\0');
  must_be_text(error->text);
}

static void read_map(const char *path) {
  bt_reading_choices choices = {0};
  bt_error error = {0};
  bt_status status = bt_map_read(path, &choices, &error);
  if (status != BT_OK) {
    must_explain(status, &error);
    fuzz_must(choices.columns_n == 0 && choices.values_n == 0 && choices.unit == NULL);
    return;
  }
  must_be_text(choices.unit);
  for (size_t i = 0; i < choices.columns_n; i++) {
    const bt_column_choice *column = &choices.columns[i];
    fuzz_must(bt_canonical_column(column->key) != NULL);
    bool unit_alone = choices.long_form && column->from_unit != NULL && column->position == 0;
    fuzz_must(column->header == NULL ? column->position > 0 || unit_alone
                                     : column->header[0] != '\0');
    must_be_text(column->header);
  }
  for (size_t i = 0; i < choices.values_n; i++) {
    must_be_text(choices.values[i].key);
    must_be_text(choices.values[i].header);
    must_be_text(choices.values[i].value);
    must_be_text(choices.values[i].result);
  }
  bt_reading_choices_free(&choices);
}

static void read_settings(const char *path) {
  bt_settings settings = {0};
  bt_error error = {0};
  bt_status status = bt_settings_read(path, &settings, &error);
  if (status != BT_OK) {
    must_explain(status, &error);
    return;
  }
  fuzz_must(settings.weekdays <= 0xFE && isfinite(settings.alarms_per_unit_year));
  must_be_text(settings.clinic);
  must_be_text(settings.tell);
  for (size_t i = 0; i < settings.units_n; i++)
    must_be_text(settings.units[i].name);
  for (size_t i = 0; i < settings.tolerances_n; i++) {
    const bt_tolerance *tolerance = &settings.tolerances[i];
    fuzz_must(tolerance->has_low || tolerance->has_high);
    fuzz_must(isfinite(tolerance->low) && isfinite(tolerance->high));
    must_be_text(tolerance->unit);
    must_be_text(tolerance->source);
  }
  fuzz_must(settings.own_n <= BT_OWN_MOST);
  for (size_t i = 0; i < settings.own_n; i++) {
    const bt_own_characteristic *own = &settings.own[i];
    fuzz_must(own->key[0] != '\0' && bt_canonical_column(own->key) == NULL);
    fuzz_must(own->decimals >= 0 && own->decimals <= 9 && own->title != NULL && own->unit != NULL);
    must_be_text(own->title);
    must_be_text(own->unit);
  }
  bt_settings_free(&settings);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  const char *path = fuzz_file(0, data, size);
  read_map(path);
  read_settings(path);
  return 0;
}
