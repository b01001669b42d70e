/* Parts of a map's lines, as it is written: what ini.c gives back as it stands. */
#include "map_line.h"
#include "words.h"

#include <string.h>

/* A value's longest line has a key and " = " before it. */
enum { VALUE_MAX_BYTES = 140 };

bool intake_can_stand(const char *text) {
  size_t length = strlen(text);
  if (length == 0 || length > VALUE_MAX_BYTES || text[0] == '@' || text[0] == ' ' ||
      text[length - 1] == ' ')
    return false;
  for (size_t i = 0; i < length; i++)
    if ((unsigned char)text[i] < ' ' || text[i] == ';' || text[i] == 0x7F)
      return false;
  return bt_utf8_valid(text, length);
}

void intake_add_column(const bt_survey *survey, size_t i, const char *without, bt_text *map) {
  const char *header = survey->columns[i].header;
  size_t twins = 0;
  for (size_t k = 0; k < survey->columns_n; k++)
    twins += bt_same_name(survey->columns[k].header, header);
  if (intake_can_stand(header) && twins == 1 && strpbrk(header, without) == NULL)
    bt_text_add(map, header);
  else
    bt_text_format(map, "@%zu", i + 1);
}

void intake_add_remark(const char *text, bt_text *map) {
  char shown[INTAKE_SHORT_BYTES];
  if (!bt_utf8_valid(text, strlen(text))) /* a file's name can be anything */
    text = "?";
  bt_text_add(map, intake_show(text, shown, sizeof shown));
}

void intake_add_marked(const char *text, bt_text *line) {
  if (strpbrk(text, ",|\"") == NULL) {
    bt_text_add(line, text);
    return;
  }
  bt_text_add(line, "\"");
  for (; *text != '\0'; text++)
    bt_text_format(line, "%s%c", *text == '"' ? "\"" : "", *text);
  bt_text_add(line, "\"");
}
