/* What a record must keep to, whoever puts it in: times, names, readings, words. */
#include "valid_private.h"

#include "beamtally/setup.h"

#include <math.h>
#include <string.h>

bool ledger_time_valid(bt_time time) {
  const bt_civil first = {.year = 1, .month = 1, .day = 1};
  const bt_civil last = {9999, 12, 31, 23, 59, 59};
  return time >= bt_time_of(&first) && time <= bt_time_of(&last);
}

static bool name_valid(const char *name) {
  if (name == NULL || !bt_utf8_valid(name, strlen(name)))
    return false;
  return strspn(name, " \t\r\n") < strlen(name);
}

static bt_status place_valid(const char *unit, bt_time time, int64_t line, int64_t last_line,
                             bt_error *error) {
  if (!name_valid(unit) && line == 0) /* typed in */
    return bt_fail(error, BT_INPUT, "the unit's name can't be read: give it in UTF-8");
  if (!name_valid(unit))
    return bt_fail(error, BT_INPUT, "line %lld: the unit has no readable name; correct the log",
                   (long long)line);
  if (!ledger_time_valid(time))
    return bt_fail(error, BT_INPUT, "line %lld: the time is outside the years 1 to 9999",
                   (long long)line);
  if (line < 0 || last_line < line)
    return bt_fail(error, BT_INPUT, "line %lld: the record ends before it begins, at line %lld",
                   (long long)line, (long long)last_line);
  return BT_OK;
}

/* Readings of the clinic's own: named as settings name them, finite, each once. */
static bt_status own_valid(const bt_check *check, bt_error *error) {
  static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_";
  if (check->own_n > BT_OWN_MOST)
    return bt_fail(error, BT_INPUT, "line %lld: over %d characteristics of the clinic's own",
                   (long long)check->line, (int)BT_OWN_MOST);
  for (size_t i = 0; i < check->own_n; i++) {
    const bt_own_reading *own = &check->own[i];
    if (own->key == NULL || own->key[0] == '\0' || own->key[strspn(own->key, letters)] != '\0')
      return bt_fail(error, BT_INPUT,
                     "line %lld: a characteristic of the clinic's own has no key of letters, "
                     "digits and _",
                     (long long)check->line);
    if (!isfinite(own->value))
      return bt_fail(error, BT_INPUT, "line %lld: %s is not a finite number; correct the log",
                     (long long)check->line, own->key);
    for (size_t j = 0; j < i; j++)
      if (strcmp(check->own[j].key, own->key) == 0)
        return bt_fail(error, BT_INPUT, "line %lld: %s is there twice; correct the log",
                       (long long)check->line, own->key);
  }
  return BT_OK;
}

bt_status ledger_check_valid(const bt_check *check, bt_error *error) {
  bt_status status = place_valid(check->unit, check->time, check->line, check->last_line, error);
  if (status != BT_OK)
    return status;
  for (bt_reading r = 0; r < BT_READING_COUNT; r++) {
    if (!bt_check_has(check, r))
      continue;
    if (!isfinite(check->reading[r]))
      return bt_fail(error, BT_INPUT, "line %lld: %s is not a finite number; correct the log",
                     (long long)check->line, bt_reading_key(r));
    if (check->reading[r] < 0 && !bt_reading_may_be_negative(r))
      return bt_fail(error, BT_INPUT, "line %lld: %s is below zero; correct the log",
                     (long long)check->line, bt_reading_key(r));
  }
  for (bt_text_field f = 0; f < BT_FIELD_COUNT; f++)
    if (check->text[f] != NULL && !bt_utf8_valid(check->text[f], strlen(check->text[f])))
      return bt_fail(error, BT_INPUT, "line %lld: %s is not valid UTF-8; say --encoding",
                     (long long)check->line, bt_text_field_key(f));
  if (check->present >> BT_READING_COUNT != 0 || check->state > BT_AS_LEFT ||
      check->refill > BT_REFILL_AFTER)
    return bt_fail(error, BT_INPUT, "line %lld: the check holds a value that has no meaning",
                   (long long)check->line);
  return own_valid(check, error);
}

bt_status ledger_event_valid(const bt_event *event, bt_error *error) {
  bt_status status = place_valid(event->unit, event->time, event->line, event->last_line, error);
  if (status != BT_OK)
    return status;
  if (event->kind >= BT_EVENT_COUNT)
    return bt_fail(error, BT_INPUT, "line %lld: the event is of no known kind",
                   (long long)event->line);
  if (event->note != NULL && !bt_utf8_valid(event->note, strlen(event->note)))
    return bt_fail(error, BT_INPUT, "line %lld: the note is not valid UTF-8; say --encoding",
                   (long long)event->line);
  return BT_OK;
}

bt_status ledger_asked(const char *word, const char *name, bt_error *error) {
  if (!name_valid(word))
    return bt_fail(error, BT_USAGE, "say %s: an entry of the ledger needs it", name);
  return BT_OK;
}
