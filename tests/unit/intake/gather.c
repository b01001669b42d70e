/* Helps of the intake tests. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char name[64];

static void remove_file(void) {
  (void)unlink(name);
}

const char *file_of(const void *bytes, size_t length) {
  if (name[0] == '\0')
    cr_assert_eq(atexit(remove_file), 0);
  (void)snprintf(name, sizeof name, "/tmp/bt-intake-%ld.csv", (long)getpid());
  FILE *file = fopen(name, "wb");
  cr_assert_not_null(file);
  cr_assert_eq(fwrite(bytes, 1, length, file), length);
  cr_assert_eq(fclose(file), 0);
  return name;
}

const char *file_of_text(const char *text) {
  return file_of(text, strlen(text));
}

static void keep_text(char *to, size_t size, const char *text) {
  (void)snprintf(to, size, "%s", text == NULL ? "(none)" : text);
}

static bt_status keep_check(void *context, const bt_check *check, bt_error *error) {
  kept *k = context;
  (void)error;
  cr_assert_lt(k->checks_n, KEPT_MAX);
  k->checks[k->checks_n] = *check;
  keep_text(k->units[k->checks_n], KEPT_TEXT, check->unit);
  keep_text(k->remarks[k->checks_n], KEPT_TEXT, check->text[BT_FIELD_REMARK]);
  keep_text(k->failed[k->checks_n], KEPT_TEXT, check->text[BT_FIELD_SELFTEST_FAILED]);
  keep_text(k->patterns[k->checks_n], KEPT_TEXT, check->text[BT_FIELD_PATTERN]);
  keep_text(k->operators[k->checks_n], KEPT_TEXT, check->text[BT_FIELD_OPERATOR]);
  for (size_t i = 0, used = 0; i < check->own_n && used < KEPT_TEXT; i++)
    used += (size_t)snprintf(k->own[k->checks_n] + used, KEPT_TEXT - used, "%s%s %g",
                             i == 0 ? "" : ", ", check->own[i].key, check->own[i].value);
  k->checks_n++;
  return BT_OK;
}

static bt_status keep_event(void *context, const bt_event *event, bt_error *error) {
  kept *k = context;
  (void)error;
  cr_assert_lt(k->events_n, KEPT_MAX);
  k->events[k->events_n] = *event;
  keep_text(k->notes[k->events_n], KEPT_TEXT, event->note);
  k->events_n++;
  return BT_OK;
}

static bt_status keep_refusal(void *context, const bt_refusal *refusal, bt_error *error) {
  kept *k = context;
  (void)error;
  cr_assert_lt(k->refusals_n, KEPT_MAX);
  k->refusals[k->refusals_n] = *refusal;
  keep_text(k->columns[k->refusals_n], KEPT_TEXT, refusal->column);
  keep_text(k->fields[k->refusals_n], KEPT_TEXT, refusal->field);
  keep_text(k->values[k->refusals_n], KEPT_TEXT, refusal->value);
  keep_text(k->reasons[k->refusals_n], sizeof k->reasons[0], refusal->reason);
  k->refusals_n++;
  return BT_OK;
}

void gather(const char *path, const bt_reading_choices *choices, kept *k) {
  memset(k, 0, sizeof *k);
  k->status = bt_survey_file(path, choices, &k->survey, &k->error);
  if (k->status != BT_OK)
    return;
  bt_sink sink = {k, keep_check, keep_event, keep_refusal};
  k->status = bt_load_file(k->survey, at("2026-12-31T23:59"), &sink, &k->error);
  if (k->status == BT_OK && !k->survey->long_form)
    cr_assert_eq((size_t)k->survey->rows, k->survey->source.kind == BT_SOURCE_EVENTS
                                              ? k->events_n + k->refusals_n
                                              : k->checks_n + k->refusals_n);
}

void gather_free(kept *k) {
  bt_survey_free(k->survey);
  k->survey = NULL;
}

bt_time at(const char *iso) {
  bt_time time = 0;
  cr_assert(bt_time_parse(iso, &time, NULL), "%s", iso);
  return time;
}
