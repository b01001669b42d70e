/* What was done to a laser, in words of the log's own: the texts that tell of it. Which column
 * holds them: diary.c.
 *
 * Texts are kept only while a column has few, short ones that a line of a map can hold: a column of
 * remarks, which may name anybody, has more. */
#include "done.h"
#include "columns.h"
#include "event_words.h"
#include "map_line.h"
#include "preview.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

enum { TEXT_MOST_BYTES = 60 };

void intake_forget_texts(bt_survey_column *column) {
  for (size_t k = 0; k < column->texts_n; k++)
    free(column->texts[k]);
  column->texts_n = 0;
}

static bt_status keep_text(bt_survey_column *column, const char *text, bt_error *error) {
  for (size_t k = 0; k < column->texts_n; k++)
    if (bt_same_name(column->texts[k], text)) {
      column->texts_rows[k]++;
      return BT_OK;
    }
  if (column->texts_more || column->texts_n == BT_TEXTS_MOST || strlen(text) > TEXT_MOST_BYTES) {
    column->texts_more = true;
    return BT_OK;
  }
  char *copy = bt_copy(text);
  if (copy == NULL)
    return bt_fail_memory(error);
  column->texts_rows[column->texts_n] = 1;
  column->texts[column->texts_n++] = copy;
  return BT_OK;
}

bt_status intake_keep_texts(bt_survey *survey, const intake_plan *plan, intake_fields *fields,
                            bt_error *error) {
  bool events = plan->kind == BT_SOURCE_EVENTS;
  bt_status status = BT_OK;
  bool diary = !events && !intake_has_readings(survey);
  if (plan->long_form || (!events && !survey->preview && !diary))
    return BT_OK;
  for (size_t i = 0; i < plan->columns_n && i < fields->n && status == BT_OK; i++) {
    bt_survey_column *column = &survey->columns[i];
    bt_event_kind kind;
    intake_role role = plan->columns[i].role;
    bool remark = role == INTAKE_ROLE_TEXT && plan->columns[i].item == BT_FIELD_REMARK;
    bool looked_at = column->key == NULL || (diary && role == INTAKE_ROLE_TEXT) ||
                     (survey->preview && (remark || role == INTAKE_ROLE_REFILL));
    bool asked =
        role == INTAKE_ROLE_EVENT || ((survey->preview || diary) && !column->identity && looked_at);
    const char *text = intake_field(fields, i);
    bool counted = !events; /* on, when there are too many to keep */
    if (!asked || (column->texts_more && !counted) || intake_is_missing(text) ||
        (role == INTAKE_ROLE_EVENT && bt_event_kind_of(text, &kind)) ||
        intake_plan_means(plan, i, text))
      continue;
    status = keep_text(column, text, error);
  }
  return status;
}

static void begin_line(const bt_survey *survey, size_t column, bt_event_kind kind, bt_text *out) {
  bt_text_format(out, "event.%s = ", bt_event_key(kind));
  intake_add_column(survey, column, ",\"", out);
  bt_text_add(out, ", ");
}

void intake_add_event_line(const bt_survey *survey, size_t column, size_t k, bt_text *out) {
  const char *text = survey->columns[column].texts[k];
  begin_line(survey, column, intake_event_guess(text), out);
  if (intake_can_stand(text))
    intake_add_marked(text, out);
  else
    bt_text_add(out, "THE CELL'S TEXT");
}

/* All texts of that kind that can be given; sets *rest where there are others. */
static void add_kind(const bt_survey *survey, size_t i, bt_event_kind kind, bool *rest,
                     bt_text *out) {
  enum { MARKS = 12 }; /* "# ", " | " and quotation marks, some of them doubled */
  const bt_survey_column *column = &survey->columns[i];
  bt_text line = {0};
  for (size_t k = 0; k < column->texts_n; k++) {
    const char *text = column->texts[k];
    if (intake_event_guess(text) != kind)
      continue;
    *rest = *rest || !intake_can_stand(text);
    if (!intake_can_stand(text))
      continue;
    if (line.length > 0 && line.length + strlen(text) + MARKS > INTAKE_MAP_LINE) {
      bt_text_format(out, "# %s\n", bt_text_get(&line));
      bt_text_clear(&line);
    }
    if (line.length == 0)
      begin_line(survey, i, kind, &line);
    else
      bt_text_add(&line, " | ");
    intake_add_marked(text, &line);
  }
  if (line.length > 0)
    bt_text_format(out, "# %s\n", bt_text_get(&line));
  out->failed = out->failed || !bt_text_ok(&line);
  bt_text_free(&line);
}

void intake_add_event_lines(const bt_survey *survey, size_t column, bt_text *out) {
  bool rest = false;
  for (int kind = 0; kind < BT_EVENT_COUNT; kind++)
    add_kind(survey, column, (bt_event_kind)kind, &rest, out);
  if (rest)
    bt_text_add(out, "# A text with a semicolon or a line end can't stand in a map: save the log\n"
                     "# with another word for it.\n");
}

/* A column that is read as events, some of whose texts are none. */
static void say_unknown(const bt_survey *survey, size_t i, bt_text *sentence) {
  const bt_survey_column *column = &survey->columns[i];
  char header[INTAKE_SHORT_BYTES], text[INTAKE_SHORT_BYTES];
  bt_text_format(sentence,
                 "the column \"%s\" has %s%zu text%s that no kind of event is called by (\"%s\"), "
                 "and such rows are refused: a column map says under [values] what each means, ",
                 intake_show(column->header, header, sizeof header),
                 column->texts_more ? "over " : "", column->texts_n,
                 column->texts_n == 1 && !column->texts_more ? "" : "s",
                 intake_show(column->texts[0], text, sizeof text));
  intake_add_event_line(survey, i, 0, sentence);
  bt_text_add(sentence, "; `beamtally columns --write MAP FILE` writes one with such a line for "
                        "each");
}

static void say_found(const bt_survey *survey, bt_text *sentence) {
  char header[INTAKE_SHORT_BYTES];
  size_t first = 0;
  const bt_survey_column *column = &survey->columns[survey->done_column];
  while (first < column->texts_n && intake_event_guess(column->texts[first]) == BT_EVENT_OTHER)
    first++;
  first = first < column->texts_n ? first : 0;
  bt_text_format(sentence,
                 "it seems to be a log of events: \"%s\" says what was done to the laser. "
                 "`beamtally columns --write MAP FILE` writes a map with event = %s, and under "
                 "[values] a line for each of its texts (",
                 intake_show(column->header, header, sizeof header), header);
  intake_add_event_line(survey, survey->done_column, first, sentence);
  bt_text_add(sentence, survey->preview ? "); take the # off, and import with --map MAP"
                                        : "); take the # off, and `beamtally import --again --by "
                                          "NAME --why REASON --map MAP FILE` reads it so");
}

bt_status intake_hint_events(bt_survey *survey, bt_error *error) {
  bt_text sentence = {0};
  for (size_t i = 0; i < survey->columns_n && bt_text_empty(&sentence); i++) {
    const char *key = survey->columns[i].key;
    if (survey->has_done && i == survey->done_column)
      say_found(survey, &sentence);
    else if (key != NULL && strcmp(key, "event") == 0 && survey->columns[i].texts_n > 0)
      say_unknown(survey, i, &sentence);
  }
  bt_status status = bt_text_empty(&sentence) ? BT_OK : intake_add_hint(survey, &sentence, error);
  bt_text_free(&sentence);
  return status;
}
