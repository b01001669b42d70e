/* Characteristics: what the table says of each, and the clinic's own beside them. */
#include "beamtally/setup.h"

#include <string.h>

static const struct {
  const char *key, *title, *unit;
  int decimals;
  bt_reading reading;
  bt_judging judging;
  bt_gas gas;
} characteristics[] = {
#define X(ID, key, title, unit, decimals, reading, judging, gas)                                   \
  [BT_##ID] = {#key,        title, unit, decimals, BT_READING_##reading, BT_JUDGING_##judging,     \
               BT_GAS_##gas},
    BT_CHARACTERISTICS(X)
#undef X
};

const char *bt_characteristic_key(bt_characteristic characteristic) {
  return characteristics[characteristic].key;
}

int bt_characteristic_decimals(bt_characteristic characteristic) {
  return characteristics[characteristic].decimals;
}

bt_reading bt_characteristic_reading(bt_characteristic characteristic) {
  return characteristic < BT_CHARACTERISTIC_COUNT ? characteristics[characteristic].reading
                                                  : BT_READING_NONE;
}

bt_judging bt_characteristic_judging(bt_characteristic characteristic) {
  return characteristic < BT_CHARACTERISTIC_COUNT ? characteristics[characteristic].judging
                                                  : BT_JUDGING_NOTICES;
}

bt_gas bt_characteristic_gas(bt_characteristic characteristic) {
  return characteristic < BT_CHARACTERISTIC_COUNT ? characteristics[characteristic].gas
                                                  : BT_GAS_NONE;
}

bool bt_characteristic_is_covariate(bt_characteristic characteristic) {
  return bt_characteristic_judging(characteristic) == BT_JUDGING_NOTHING;
}

bool bt_characteristic_of(const char *key, bt_characteristic *characteristic) {
  for (size_t i = 0; i < BT_CHARACTERISTIC_COUNT; i++)
    if (strcmp(key, characteristics[i].key) == 0) {
      *characteristic = (bt_characteristic)i;
      return true;
    }
  return false;
}

bool bt_settings_characteristic(const bt_settings *settings, const char *key,
                                bt_characteristic *characteristic) {
  for (size_t i = 0; i < settings->own_n; i++)
    if (strcmp(key, settings->own[i].key) == 0) {
      *characteristic = (bt_characteristic)(BT_CHARACTERISTIC_COUNT + i);
      return true;
    }
  return bt_characteristic_of(key, characteristic);
}

bool bt_settings_hide(const bt_settings *settings, bt_characteristic characteristic) {
  bt_characteristic found = characteristic;
  return characteristic < BT_CHARACTERISTIC_COUNT &&
         bt_settings_characteristic(settings, characteristics[characteristic].key, &found) &&
         found != characteristic;
}

bt_quantity bt_settings_quantity(const bt_settings *settings, bt_characteristic characteristic) {
  if (characteristic >= BT_CHARACTERISTIC_COUNT) {
    const bt_own_characteristic *own = &settings->own[characteristic - BT_CHARACTERISTIC_COUNT];
    return (bt_quantity){own->key, own->title, own->unit, own->decimals};
  }
  return (bt_quantity){characteristics[characteristic].key, characteristics[characteristic].title,
                       characteristics[characteristic].unit,
                       characteristics[characteristic].decimals};
}
