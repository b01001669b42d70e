/* Characteristics of the clinic's own in a settings file.
 *
 * O1  A key is made of letters, digits and _, as a column of the export and a word of the command
 *     line can be.
 * O2  Neither key nor title may be a canonical column or a built-in characteristic: a log's column
 *     would have two meanings.
 * O3  Nor may two of them share a name, or a title look like a patient's identity: that column is
 *     never read. */
#include "beamtally/intake.h"
#include "own.h"
#include "settings.h"

#include <string.h>

enum { DECIMALS_MOST = 9, DECIMALS_UNSAID = 2 };

static const char key_signs[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_";

bt_status intake_settings_begin_own(intake_settings_file *file, const intake_pair *pair,
                                    bt_error *error) {
  bt_settings *settings = file->settings;
  if (settings->own_n == BT_OWN_MOST)
    return bt_fail(error, BT_INPUT, "there can be at most %d characteristics of the clinic's own",
                   BT_OWN_MOST);
  if (!bt_grow(&settings->own, &file->own_capacity, settings->own_n + 1, sizeof *settings->own))
    return bt_fail_memory(error);
  file->own_lines[settings->own_n] = pair->line;
  settings->own[settings->own_n++].decimals = DECIMALS_UNSAID;
  return BT_OK;
}

static bt_status take_key(bt_own_characteristic *own, const char *key, bt_error *error) {
  bt_characteristic known;
  int item = 0;
  const char *column = bt_canonical_column(key);
  if (key[strspn(key, key_signs)] != '\0' || strlen(key) >= INTAKE_NAME_BYTES)
    return bt_fail(error, BT_INPUT,
                   "\"%s\" can't be a key; it is made of at most %d letters a to z, digits and _ "
                   "(door_force); the title may be anything",
                   key, INTAKE_NAME_BYTES - 1);
  if (bt_is_bookkeeping(key) || bt_same_name(key, "became") || bt_same_name(key, "conflict"))
    return bt_fail(error, BT_INPUT,
                   "\"%s\" is what an export calls a column of its own; choose another key", key);
  if (bt_characteristic_of(key, &known) || intake_role_of(key, &item) != INTAKE_ROLE_NONE)
    return bt_fail(
        error, BT_INPUT,
        "\"%s\" is there already, of Beamtally's own; choose another key, or, where the "
        "settings had it before Beamtally did, take this [characteristic] out and import "
        "the older logs with --again",
        key);
  if (column != NULL)
    return bt_fail(error, BT_INPUT, "a column \"%s\" is read as %s already; choose another key",
                   key, column);
  return intake_ini_keep(&own->key, key, error);
}

static bt_status take_title(bt_own_characteristic *own, const char *title, bt_error *error) {
  const char *column = bt_canonical_column(title);
  if (column != NULL)
    return bt_fail(error, BT_INPUT, "a column \"%s\" is read as %s already; choose another title",
                   title, column);
  if (intake_header_is_identity(title))
    return bt_fail(
        error, BT_INPUT,
        "\"%s\" looks like a patient's identity, and such a column is never read; choose "
        "another title",
        title);
  return intake_ini_keep(&own->title, title, error);
}

bt_status intake_settings_take_own(intake_settings_file *file, const intake_pair *pair,
                                   bt_error *error) {
  bt_own_characteristic *own = &file->settings->own[file->settings->own_n - 1];
  double decimals = 0.0;
  if (strcmp(pair->key, "unit") == 0)
    return intake_ini_keep(&own->unit, pair->value, error);
  if (pair->value[0] == '\0')
    return bt_fail(error, BT_INPUT, "\"%s\" has no value; fill it in or take the line out",
                   pair->key);
  if (strcmp(pair->key, "key") == 0)
    return take_key(own, pair->value, error);
  if (strcmp(pair->key, "title") == 0)
    return take_title(own, pair->value, error);
  if (strcmp(pair->key, "decimals") == 0) {
    bool number =
        strlen(pair->value) == 1 && bt_number_parse(pair->value, BT_DECIMAL_POINT, &decimals);
    if (!number)
      return bt_fail(error, BT_INPUT, "expected a number from 0 to %d for decimals, found \"%s\"",
                     DECIMALS_MOST, pair->value);
    own->decimals = (int)decimals;
    return BT_OK;
  }
  return bt_fail(error, BT_INPUT, "\"%s\" is no key of [%s]; it has key, title, unit, decimals",
                 pair->key, pair->section);
}

bt_status intake_settings_check_own(const intake_settings_file *file, size_t i, bt_error *error) {
  bt_own_characteristic *own = &file->settings->own[i];
  size_t other = 0;
  if (own->key == NULL)
    return bt_fail(error, BT_INPUT,
                   "the characteristic has no key; write key = door_force, say: a short word of "
                   "letters, digits and _");
  if (own->title == NULL)
    return bt_fail(error, BT_INPUT,
                   "the characteristic \"%s\" has no title; write title = as it is to stand on "
                   "pages, best as the log's header has it",
                   own->key);
  if (own->unit == NULL && intake_ini_keep(&own->unit, "", error) != BT_OK)
    return BT_MEMORY;
  if (intake_own_of(own->key, file->settings->own, i, &other) ||
      intake_own_of(own->title, file->settings->own, i, &other)) /* O3 */
    return bt_fail(
        error, BT_INPUT,
        "the characteristic \"%s\" (%s) has the same name as \"%s\"; give it another key "
        "and title",
        own->key, own->title, file->settings->own[other].key);
  return BT_OK;
}
