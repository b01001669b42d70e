/* Lines of a starter map that a person may take the # off. */
#include "map_line.h"
#include "starter.h"

void intake_add_example(const bt_survey *survey, size_t i, const char *key, const char *text,
                        bt_text *lines) {
  bt_text line = {0};
  bt_text_format(&line, "# %s = ", key);
  intake_add_column(survey, i, ",\"", &line);
  bt_text_format(&line, ", %s", text);
  if (line.length > INTAKE_MAP_LINE)
    bt_text_format(lines, "# %s = @%zu, %s\n", key, i + 1, text);
  else
    bt_text_format(lines, "%s\n", bt_text_get(&line));
  lines->failed = lines->failed || !bt_text_ok(&line);
  bt_text_free(&line);
}

const char *intake_text_of(const bt_survey_column *column, bool (*is)(const char *),
                           const char *other) {
  for (size_t k = 0; k < column->texts_n; k++)
    if (is(column->texts[k]))
      return column->texts[k];
  return other;
}
