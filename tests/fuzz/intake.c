/* Fuzz target: a log file through survey and load.
 *
 * The input is a log; or a column map, a line of "%%" alone, and the log that it is for. A log is
 * read by its own headers, by a map of positions, and by the map that came with it.
 *
 * Whatever the bytes are: every row becomes a check, an event or a refusal (in long form a part of
 * a check), and the survey counted as many; readings are finite and have a possible sign; lines
 * ascend; texts are UTF-8. A preview sees what the survey sees, has a question where the survey
 * refuses, and gives a starter map that can be read and under which the log, with the same header
 * line, has the same columns and rows. */
#include "fuzz.h"

#include "beamtally/intake.h"

#include <math.h>
#include <string.h>

enum { LATEST_DAY = 20819 }; /* 2027-01-01 */

enum { LOG, MAP, MAP_BACK }; /* files of fuzz_file */

/* The clinic's own, by which a log may be read as well. */
static bt_own_characteristic own[] = {
    {(char[]){"door"}, (char[]){"Door"}, (char[]){"N"}, 1},
    {(char[]){"lamp_hours"}, (char[]){"Lamp hours"}, (char[]){""}, 0}};

typedef struct heard {
  bool long_form; /* a check comes behind the refused lines among its rows */
  int64_t checks, events, refusals;
  int64_t line;       /* of the last row */
  int64_t check_line; /* of the last check: events that its row notes come behind it */
} heard;

static void must_be_text(const char *text) {
  fuzz_must(text == NULL || bt_utf8_valid(text, strlen(text)));
}

static void must_ascend(heard *h, int64_t line, int64_t last_line) {
  fuzz_must(line > h->line && last_line >= line);
  h->line = line;
}

static bt_status hear_check(void *context, const bt_check *check, bt_error *error) {
  heard *h = context;
  (void)error;
  if (h->long_form)
    fuzz_must(check->line > h->check_line && check->last_line >= check->line);
  else
    must_ascend(h, check->line, check->last_line);
  for (size_t i = 0; i < check->own_n; i++) {
    fuzz_must(isfinite(check->own[i].value) && check->own[i].key != NULL);
    for (size_t k = 0; k < i; k++)
      fuzz_must(strcmp(check->own[i].key, check->own[k].key) != 0);
  }
  fuzz_must(check->unit != NULL);
  must_be_text(check->unit);
  fuzz_must(check->time < LATEST_DAY * BT_DAY);
  for (int r = 0; r < BT_READING_COUNT; r++)
    if (bt_check_has(check, (bt_reading)r)) {
      fuzz_must(isfinite(check->reading[r]));
      fuzz_must(check->reading[r] >= 0.0 || bt_reading_may_be_negative((bt_reading)r));
    }
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    must_be_text(check->text[f]);
  h->check_line = check->line;
  h->checks++;
  return BT_OK;
}

static bt_status hear_event(void *context, const bt_event *event, bt_error *error) {
  heard *h = context;
  (void)error;
  if (event->line != h->check_line) {
    must_ascend(h, event->line, event->last_line);
    h->events++;
  }
  fuzz_must(event->unit != NULL && event->kind < BT_EVENT_COUNT);
  must_be_text(event->unit);
  must_be_text(event->note);
  return BT_OK;
}

static bt_status hear_refusal(void *context, const bt_refusal *refusal, bt_error *error) {
  heard *h = context;
  (void)error;
  must_ascend(h, refusal->line, refusal->line);
  fuzz_must(refusal->reason != NULL && refusal->reason[0] != '\0');
  must_be_text(refusal->reason);
  must_be_text(refusal->column);
  must_be_text(refusal->value);
  fuzz_must(refusal->value == NULL || strlen(refusal->value) <= 80);
  h->refusals++;
  return BT_OK;
}

static void must_explain(bt_status status, const bt_error *error) {
  fuzz_must(status != BT_MEMORY && status != BT_DAMAGED);
  fuzz_must(error->status == status && error->text[0] != '\0');
  must_be_text(error->text);
}

/* The map that a preview gives, as the choices it means. */
static void read_starter(const bt_survey *preview, bt_reading_choices *choices) {
  bt_text map = {0};
  bt_error error = {0};
  bt_map_starter(preview, &map);
  fuzz_must(bt_text_ok(&map) && bt_utf8_valid(bt_text_get(&map), map.length));
  *choices = (bt_reading_choices){.own = preview->choices == NULL ? NULL : preview->choices->own,
                                  .own_n = preview->choices == NULL ? 0 : preview->choices->own_n};
  fuzz_must(bt_map_read(fuzz_file(MAP_BACK, bt_text_get(&map), map.length), choices, &error) ==
            BT_OK);
  bt_text_free(&map);
}

static void must_be_same_columns(const bt_survey *one, const bt_survey *other) {
  fuzz_must(one->columns_n == other->columns_n && one->rows == other->rows);
  fuzz_must(one->long_form == other->long_form);
  fuzz_must(one->header_line == other->header_line && one->delimiter == other->delimiter);
  for (size_t i = 0; i < one->columns_n; i++) {
    const char *a = one->columns[i].key, *b = other->columns[i].key;
    fuzz_must(a == NULL || b == NULL ? a == b : strcmp(a, b) == 0);
  }
}

/* `survey` is NULL where it was refused. */
static void look_at_log(const char *path, const bt_reading_choices *choices,
                        const bt_survey *survey) {
  bt_survey *preview = NULL;
  bt_error error = {0};
  bt_status status = bt_preview_file(path, choices, &preview, &error);
  if (status != BT_OK) {
    must_explain(status, &error);
    fuzz_must(survey == NULL);
    return;
  }
  fuzz_must(survey != NULL || preview->questions_n > 0);
  for (size_t i = 0; i < preview->questions_n; i++)
    must_be_text(preview->questions[i]);
  for (size_t i = 0; i < preview->hints_n; i++)
    must_be_text(preview->hints[i]);
  for (size_t i = 0; i < preview->names_n; i++) {
    must_be_text(preview->names[i].header);
    fuzz_must(!preview->names[i].identity || preview->names[i].first_n == 0);
  }
  for (size_t i = 0; i < preview->columns_n; i++) {
    const bt_survey_column *column = &preview->columns[i];
    must_be_text(column->header);
    fuzz_must(!column->identity || column->first_n == 0);
    for (size_t k = 0; k < column->first_n; k++)
      must_be_text(column->first[k]);
  }
  bt_reading_choices starter = {0};
  read_starter(preview, &starter);
  if (survey != NULL) {
    bt_survey *again = NULL;
    must_be_same_columns(survey, preview);
    status = bt_survey_file(path, &starter, &again, &error);
    /* Of several lines that could be the header, the starter's columns may let another one win. */
    if (status != BT_OK)
      must_explain(status, &error);
    else if (again->header_line == survey->header_line)
      must_be_same_columns(survey, again);
    bt_survey_free(again);
  }
  bt_reading_choices_free(&starter);
  bt_survey_free(preview);
}

static void read_log(const char *path, const bt_reading_choices *choices) {
  bt_survey *survey = NULL;
  bt_error error = {0};
  heard h = {0};
  bt_status status = bt_survey_file(path, choices, &survey, &error);
  if (status != BT_OK)
    must_explain(status, &error);
  look_at_log(path, choices, status == BT_OK ? survey : NULL);
  if (status != BT_OK)
    return;
  for (size_t i = 0; i < survey->columns_n; i++) {
    must_be_text(survey->columns[i].header);
    fuzz_must(!survey->columns[i].identity || survey->columns[i].key == NULL);
  }
  must_be_text(survey->source.reading);
  h.long_form = survey->long_form;
  bt_sink sink = {&h, hear_check, hear_event, hear_refusal};
  status = bt_load_file(survey, LATEST_DAY * BT_DAY - 1, &sink, &error);
  if (status != BT_OK)
    must_explain(status, &error);
  else if (survey->long_form)
    fuzz_must(survey->rows >= h.checks + h.refusals);
  else
    fuzz_must(survey->rows == h.checks + h.events + h.refusals);
  bt_survey_free(survey);
}

static void read_by_positions(const char *path) {
  bt_column_choice columns[] = {
      {.key = (char[]){"date"}, .position = 1},
      {.key = (char[]){"time"}, .position = 2},
      {.key = (char[]){"energy_mj"}, .position = 3, .from_unit = (char[]){"J"}},
      {.key = (char[]){"remark"}, .position = 4}};
  bt_value_choice values[] = {
      {(char[]){"event.gas_refill"}, (char[]){"@5"}, (char[]){"yes"}, (char[]){"before"}},
      {(char[]){"event.service"}, (char[]){"@4"}, (char[]){"service"}, NULL}};
  bt_reading_choices choices = {.dates = BT_DATES_DMY,
                                .decimal = BT_DECIMAL_COMMA,
                                .unit = (char[]){"Room 1"},
                                .columns_n = sizeof columns / sizeof *columns,
                                .columns = columns,
                                .values_n = sizeof values / sizeof *values,
                                .values = values};
  read_log(path, &choices);
}

/* Where the log begins behind its map, or NULL where there is no map. */
static const uint8_t *log_behind_map(const uint8_t *data, size_t size) {
  static const char between[] = "\n%%\n";
  const size_t length = sizeof between - 1;
  for (size_t i = 0; i + length <= size; i++)
    if (memcmp(data + i, between, length) == 0)
      return data + i + length;
  return NULL;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  const uint8_t *log = log_behind_map(data, size);
  bt_reading_choices plain = {.unit = (char[]){"Room 1"}, .own = own, .own_n = 2};
  if (log == NULL) {
    const char *path = fuzz_file(LOG, data, size);
    read_log(path, NULL);
    read_log(path, &plain);
    read_by_positions(path);
    return 0;
  }
  bt_reading_choices choices = {.own = own, .own_n = 2};
  bt_error error = {0};
  const char *map = fuzz_file(MAP, data, (size_t)(log - data) - 3);
  bt_status status = bt_map_read(map, &choices, &error);
  if (status == BT_OK)
    read_log(fuzz_file(LOG, log, size - (size_t)(log - data)), &choices);
  else
    must_explain(status, &error);
  bt_reading_choices_free(&choices);
  return 0;
}
