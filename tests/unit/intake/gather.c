/* Helps of the intake tests. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { LOG, MAP, NAMES };

static char names[NAMES][64];

static void remove_files(void) {
  for (size_t i = 0; i < NAMES; i++)
    if (names[i][0] != '\0')
      (void)unlink(names[i]);
}

static const char *written(int which, const void *bytes, size_t length) {
  static bool registered;
  if (!registered)
    cr_assert_eq(atexit(remove_files), 0);
  registered = true;
  (void)snprintf(names[which], sizeof names[which], "/tmp/bt-intake-%ld.%s", (long)getpid(),
                 which == LOG ? "csv" : "ini");
  FILE *file = fopen(names[which], "wb");
  cr_assert_not_null(file);
  cr_assert_eq(fwrite(bytes, 1, length, file), length);
  cr_assert_eq(fclose(file), 0);
  return names[which];
}

const char *file_of(const void *bytes, size_t length) {
  return written(LOG, bytes, length);
}

const char *map_of_text(const char *text) {
  return written(MAP, text, strlen(text));
}

bt_status read_map(const char *map, const bt_own_characteristic *own, size_t own_n,
                   bt_reading_choices *choices, bt_error *error) {
  *choices = (bt_reading_choices){.own = own, .own_n = own_n};
  return bt_map_read(map_of_text(map), choices, error);
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

/* Rows that are an event, or several, and no check. */
static size_t events_alone(const kept *k) {
  size_t alone = 0;
  for (size_t i = 0; i < k->events_n; i++) {
    bool beside = i > 0 && k->events[i].line == k->events[i - 1].line;
    for (size_t j = 0; j < k->checks_n; j++)
      beside = beside || k->checks[j].line == k->events[i].line;
    alone += !beside;
  }
  return alone;
}

void gather(const char *path, const bt_reading_choices *choices, kept *k) {
  memset(k, 0, sizeof *k);
  k->status = bt_survey_file(path, choices, &k->survey, &k->error);
  if (k->status != BT_OK)
    return;
  bt_sink sink = {k, keep_check, keep_event, keep_refusal};
  k->status = bt_load_file(k->survey, at("2026-12-31T23:59"), &sink, &k->error);
  if (k->status == BT_OK && !k->survey->long_form)
    cr_assert_eq((size_t)k->survey->rows, k->checks_n + k->refusals_n + events_alone(k));
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

double reading(const kept *k, size_t check, bt_reading r) {
  cr_assert_lt(check, k->checks_n, "%s", k->reasons[0]);
  cr_assert(bt_check_has(&k->checks[check], r), "check %zu has no %s", check, bt_reading_key(r));
  return k->checks[check].reading[r];
}

/* The sentence has the line, and these words behind it. */
static void must_say_at(const bt_error *error, int line, const char *says, const char *text) {
  char place[32];
  (void)snprintf(place, sizeof place, "line %d: ", line);
  const char *found = strstr(error->text, place);
  cr_expect(found != NULL && strncmp(found + strlen(place), says, strlen(says)) == 0, "%s: %s",
            text, error->text);
}

void settings_must_be_refused(const char *text, int line, const char *says) {
  bt_settings settings = {0};
  bt_error error = {0};
  cr_expect_eq(bt_settings_read(file_of_text(text), &settings, &error), BT_INPUT, "%s", text);
  must_say_at(&error, line, says, text);
  cr_expect(settings.units == NULL && settings.own == NULL, "%s", text);
}

void map_must_be_refused(const char *text, const bt_own_characteristic *own, size_t own_n, int line,
                         const char *says) {
  bt_reading_choices choices;
  bt_error error = {0};
  cr_expect_eq(read_map(text, own, own_n, &choices, &error), BT_INPUT, "%s", text);
  must_say_at(&error, line, says, text);
  cr_expect_eq(choices.columns_n + choices.values_n, 0, "%s", text);
}

const bt_reading_choices one_room = {.unit = (char[]){"Room 1"}};

char *starter_of(const bt_reading_choices *choices, const char *log) {
  bt_survey *preview = NULL;
  bt_error error = {0};
  bt_text map = {0};
  cr_assert_eq(bt_preview_file(file_of_text(log), choices, &preview, &error), BT_OK, "%s: %s", log,
               error.text);
  bt_map_starter(preview, &map);
  bt_survey_free(preview);
  return bt_text_take(&map);
}

void gather_by_map(const char *map, const char *log, kept *k, bt_reading_choices *choices) {
  bt_error error = {0};
  cr_assert_eq(read_map(map, NULL, 0, choices, &error), BT_OK, "%s", error.text);
  gather(file_of_text(log), choices, k);
}

char *offers_taken(const char *map) {
  static const char letters[] = "abcdefghijklmnopqrstuvwxyz_.0123456789";
  bt_text text = {0};
  bool decimal = false, dates = false;
  for (const char *line = map; *line != '\0'; line += strcspn(line, "\n") + 1) {
    size_t n = strcspn(line, "\n"), key = strspn(line + (n > 2 ? 2 : 0), letters);
    bool offers = strncmp(line, "# ", 2) == 0 && key > 0 && strncmp(line + 2 + key, " = ", 3) == 0;
    bool of_decimal = offers && strncmp(line + 2, "decimal", 7) == 0;
    bool of_dates = offers && strncmp(line + 2, "dates", 5) == 0;
    if ((of_decimal && decimal) || (of_dates && dates))
      offers = false;
    decimal = decimal || of_decimal;
    dates = dates || of_dates;
    bt_text_add_bytes(&text, line + (offers ? 2 : 0), n - (offers ? 2 : 0));
    bt_text_add(&text, "\n");
  }
  return bt_text_take(&text);
}
