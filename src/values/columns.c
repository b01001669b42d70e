/* Names of the canonical columns and events. */
#include "beamtally/record.h"

#include <string.h>

enum sign_rule { ANY, NOT_NEGATIVE };
enum size_rule { VARIES, STEADY };

static const struct {
  const char *key, *unit;
  enum sign_rule sign;
  enum size_rule size;
} readings[] = {
#define X(ID, key, unit, sign, size) [BT_READING_##ID] = {#key, unit, sign, size},
    BT_READINGS(X)
#undef X
};

static const char *const text_fields[] = {
#define X(ID, key) [BT_FIELD_##ID] = #key,
    BT_TEXTS(X)
#undef X
};

static const struct {
  const char *key, *words, *meaning;
} events[] = {
#define X(ID, key, words, meaning) [BT_EVENT_##ID] = {#key, words, meaning},
    BT_EVENTS(X)
#undef X
};

const char *bt_reading_key(bt_reading reading) {
  return readings[reading].key;
}

const char *bt_reading_unit(bt_reading reading) {
  return readings[reading].unit;
}

bool bt_reading_may_be_negative(bt_reading reading) {
  return readings[reading].sign == ANY;
}

bool bt_reading_is_steady(bt_reading reading) {
  return readings[reading].size == STEADY;
}

const char *bt_text_field_key(bt_text_field field) {
  return text_fields[field];
}

bool bt_text_field_of(const char *key, bt_text_field *field) {
  for (size_t i = 0; i < BT_FIELD_COUNT; i++)
    if (strcmp(key, text_fields[i]) == 0) {
      *field = (bt_text_field)i;
      return true;
    }
  return false;
}

const char *bt_event_key(bt_event_kind kind) {
  return events[kind].key;
}

const char *bt_event_words(bt_event_kind kind) {
  return events[kind].words;
}

const char *bt_event_meaning(bt_event_kind kind) {
  return events[kind].meaning;
}

static size_t append(char *buffer, size_t used, const char *text) {
  while (*text != '\0' && used + 1 < BT_EVENT_KEYS_TEXT)
    buffer[used++] = *text++;
  return used;
}

const char *bt_event_keys(const char *last, char *buffer) {
  size_t used = 0;
  for (int kind = 0; kind < BT_EVENT_COUNT; kind++) {
    used = append(buffer, used, kind == 0 ? "" : kind + 1 == BT_EVENT_COUNT ? last : ", ");
    used = append(buffer, used, events[kind].key);
  }
  buffer[used] = '\0';
  return buffer;
}

/* "Gas-Refill " and "gas_refill" are one key: letters count, blanks and hyphens are underscores. */
static bool same_key(const char *typed, const char *key) {
  while (*typed == ' ' || *typed == '\t')
    typed++;
  for (; *key != '\0'; key++, typed++) {
    char c = *typed;
    if (c >= 'A' && c <= 'Z')
      c = (char)(c + ('a' - 'A'));
    if (c == ' ' || c == '-')
      c = '_';
    if (c != *key)
      return false;
  }
  while (*typed == ' ' || *typed == '\t')
    typed++;
  return *typed == '\0';
}

bool bt_event_kind_of(const char *key, bt_event_kind *kind) {
  for (size_t i = 0; i < BT_EVENT_COUNT; i++)
    if (same_key(key, events[i].key)) {
      *kind = (bt_event_kind)i;
      return true;
    }
  return false;
}
