/* All that decided how a file was read, in one text. */
#include "reading_text.h"
#include "columns.h"
#include "map.h"
#include "thousands.h"
#include "words.h"

#include <string.h>

enum { MAP_NAME_BYTES = 256 };

static const char *const mark_words[] = {
    [BT_DECIMAL_AUTO] = "none", [BT_DECIMAL_POINT] = "point", [BT_DECIMAL_COMMA] = "comma"};
static const char *const order_words[] = {[BT_DATES_AUTO] = "none",
                                          [BT_DATES_YMD] = "ymd",
                                          [BT_DATES_DMY] = "dmy",
                                          [BT_DATES_MDY] = "mdy"};

char *intake_reading_text(const bt_survey *survey, bool short_years) {
  const bt_reading_choices *choices = survey->choices;
  bt_text text = {0};
  bt_text_format(&text, "encoding %s\ndelimiter %d\ndecimal %s\ndates %s%s\nheader %lld\n",
                 survey->encoding, survey->delimiter, mark_words[survey->decimal],
                 order_words[survey->dates], short_years ? " with years of two digits" : "",
                 (long long)survey->header_line);
  if (choices != NULL && choices->thousands != BT_THOUSANDS_NONE)
    bt_text_format(&text, "thousands %s\n", intake_thousands_word(choices->thousands));
  if (survey->unit != NULL)
    bt_text_format(&text, "unit %s\n", survey->unit);
  if (choices != NULL && choices->all_events)
    bt_text_format(&text, "event %s\n", bt_event_key(choices->event));
  if (survey->long_form)
    bt_text_add(&text, "form long\n");
  for (size_t i = 0; i < survey->columns_n; i++) {
    const bt_survey_column *column = &survey->columns[i];
    if (column->key == NULL)
      continue;
    bt_text_format(&text, "column %zu %s \"%s\"", i + 1, column->key, column->header);
    for (size_t k = 0; choices != NULL && k < choices->columns_n; k++)
      if (choices->columns[k].from_unit != NULL &&
          strcmp(choices->columns[k].key, column->key) == 0)
        bt_text_format(&text, " in %s", choices->columns[k].from_unit);
    bt_text_add(&text, "\n");
    if (intake_words_are_note(survey, i))
      bt_text_format(&text, "note from column %zu\n", i + 1);
  }
  for (size_t i = 0; survey->long_form && choices != NULL && i < choices->columns_n; i++)
    if (!intake_is_column(&choices->columns[i]) && choices->columns[i].from_unit != NULL)
      bt_text_format(&text, "reading %s in %s\n", choices->columns[i].key,
                     choices->columns[i].from_unit);
  for (size_t i = 0; choices != NULL && i < choices->values_n; i++) {
    const bt_value_choice *value = &choices->values[i];
    bt_text_format(&text, "value %s \"%s\" \"%s\" %s\n", value->key, value->header, value->value,
                   value->result == NULL ? "" : value->result);
  }
  if (choices != NULL && choices->map != NULL) { /* its name decides nothing */
    char name[MAP_NAME_BYTES];
    bt_text_format(&text, "mapfile %s\n",
                   bt_utf8_valid(choices->map, strlen(choices->map))
                       ? intake_show(choices->map, name, sizeof name)
                       : "with a name that is no text");
  }
  return bt_text_take(&text);
}
