/* Checks and events in words, as a person types them: what a record holds, and what a correction
 * changes of it. */
#include "cli.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One thing that a record holds. */
typedef struct field {
  const char *key; /* borrowed */
  char *value;
} field;

typedef struct field_list {
  field *item;
  size_t n, capacity;
  bool failed;
} field_list;

static void free_fields(field_list *fields) {
  for (size_t i = 0; i < fields->n; i++)
    free(fields->item[i].value);
  free(fields->item);
}

/* Takes the value's text. */
static void add_field(field_list *fields, const char *key, bt_text *value) {
  char *taken = bt_text_take(value);
  if (taken == NULL ||
      !bt_grow(&fields->item, &fields->capacity, fields->n + 1, sizeof *fields->item)) {
    free(taken);
    fields->failed = true;
    return;
  }
  fields->item[fields->n++] = (field){key, taken};
}

static void add_text(field_list *fields, const char *key, const char *text) {
  bt_text value = {0};
  if (text == NULL)
    return;
  (void)cli_plain(&value, text, SIZE_MAX);
  add_field(fields, key, &value);
}

static void add_number(field_list *fields, const char *key, double number) {
  bt_text value = {0};
  bt_text_format(&value, "%.15g", number);
  add_field(fields, key, &value);
}

static void add_place(field_list *fields, const char *unit, bt_time time, bool has_clock) {
  char at[BT_TIME_TEXT];
  add_text(fields, "unit", unit);
  add_text(fields, "time", bt_time_iso(time, has_clock, at));
}

static void add_check(field_list *fields, const bt_check *check) {
  static const char *const states[] = {NULL, "as_found", "as_left"};
  static const char *const refills[] = {NULL, "before", "after"};
  for (int r = 0; r < BT_READING_COUNT; r++)
    if (bt_check_has(check, (bt_reading)r))
      add_number(fields, bt_reading_key((bt_reading)r), check->reading[r]);
  for (size_t i = 0; i < check->own_n; i++)
    add_number(fields, check->own[i].key, check->own[i].value);
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    add_text(fields, bt_text_field_key((bt_text_field)f), check->text[f]);
  add_text(fields, "state", states[check->state]);
  add_text(fields, "refill", refills[check->refill]);
}

static void add_event(field_list *fields, const bt_event *event) {
  add_text(fields, "kind", bt_event_key(event->kind));
  add_text(fields, "note", event->note);
}

static const char *value_of(const field_list *fields, const char *key) {
  for (size_t i = 0; i < fields->n; i++)
    if (strcmp(fields->item[i].key, key) == 0)
      return fields->item[i].value;
  return NULL;
}

static void add_change(bt_text *lines, const char *key, const char *before, const char *after) {
  bt_text_format(lines, "  %-16s %s -> %s\n", key, before == NULL ? "nothing" : before,
                 after == NULL ? "nothing" : after);
}

/* What either list has and the other has not, or otherwise. Frees both lists. */
static size_t add_changes(bt_text *lines, field_list *before, field_list *after) {
  size_t n = 0;
  for (size_t i = 0; i < before->n; i++) {
    const char *now = value_of(after, before->item[i].key);
    if (now != NULL && strcmp(now, before->item[i].value) == 0)
      continue;
    add_change(lines, before->item[i].key, before->item[i].value, now);
    n++;
  }
  for (size_t i = 0; i < after->n; i++)
    if (value_of(before, after->item[i].key) == NULL) {
      add_change(lines, after->item[i].key, NULL, after->item[i].value);
      n++;
    }
  lines->failed = lines->failed || before->failed || after->failed;
  free_fields(before);
  free_fields(after);
  return n;
}

size_t cli_describe_check_changes(bt_text *lines, const bt_check *before, const bt_check *after) {
  field_list old = {0}, new = {0};
  add_place(&old, before->unit, before->time, before->has_clock);
  add_place(&new, after->unit, after->time, after->has_clock);
  add_check(&old, before);
  add_check(&new, after);
  return add_changes(lines, &old, &new);
}

size_t cli_describe_event_changes(bt_text *lines, const bt_event *before, const bt_event *after) {
  field_list old = {0}, new = {0};
  add_place(&old, before->unit, before->time, before->has_clock);
  add_place(&new, after->unit, after->time, after->has_clock);
  add_event(&old, before);
  add_event(&new, after);
  return add_changes(lines, &old, &new);
}

void cli_describe_check(bt_text *line, const bt_check *check) {
  field_list fields = {0};
  add_check(&fields, check);
  for (size_t i = 0; i < fields.n; i++)
    bt_text_format(line, "%s%s %s", i == 0 ? "" : ", ", fields.item[i].key, fields.item[i].value);
  line->failed = line->failed || fields.failed;
  free_fields(&fields);
}

void cli_describe_event(bt_text *line, const bt_event *event) {
  bt_text_add(line, bt_event_words(event->kind));
  if (event->note != NULL) {
    bt_text_add(line, ": ");
    (void)cli_plain(line, event->note, SIZE_MAX);
  }
}

void cli_describe_place(bt_text *line, const char *unit, bt_time time, bool has_clock) {
  char at[BT_TIME_TEXT];
  (void)cli_plain(line, unit, SIZE_MAX);
  bt_text_format(line, ", %s", bt_time_iso(time, has_clock, at));
}
