/* The encoding of a file, where a person or a map names one: what the file itself shows of it goes
 * before the word, which may be of another file. */
#include "preview.h"
#include "sniff.h"

#include <string.h>
#include <strings.h>

/* Encodings in which each byte is a character: a text that is UTF-8 through and through makes
 * sense in none of them, while in those of several bytes it may. */
static bool is_of_single_bytes(const char *encoding) {
  static const char *const begin[] = {"WINDOWS-125", "CP125", "ISO-8859-", "ISO8859-", "LATIN"};
  for (size_t i = 0; i < sizeof begin / sizeof *begin; i++)
    if (strncasecmp(encoding, begin[i], strlen(begin[i])) == 0)
      return true;
  return false;
}

static bool is_utf16(const char *encoding) {
  return strncasecmp(encoding, "UTF-16", 6) == 0 || strncasecmp(encoding, "UTF16", 5) == 0 ||
         strncasecmp(encoding, "UCS-2", 5) == 0;
}

/* *utf8: all lines are UTF-8, and one holds a character beyond ASCII. */
static bt_status look_for_utf8(const bt_survey *survey, bool *utf8, bt_error *error) {
  intake_lines lines;
  intake_line line = {.length = 1};
  *utf8 = true;
  bt_status status = intake_lines_open(&lines, survey->path, survey->spool, "UTF-8", '\n', error);
  while (status == BT_OK && line.length > 0 && *utf8) {
    status = intake_lines_next(&lines, &line, error);
    *utf8 = line.problem == INTAKE_LINE_FINE;
  }
  *utf8 = *utf8 && lines.multibyte;
  intake_lines_close(&lines);
  return status;
}

static bt_status say(bt_survey *survey, const char *found, const char *said, bt_error *error) {
  bt_text sentence = {0};
  bt_text_format(&sentence,
                 "the file is %s and is read so, though its map (or --encoding) says %s; take "
                 "\"encoding = %s\" out of the map: it is found for each file anew",
                 found, said, said);
  bt_status status = intake_add_hint(survey, &sentence, error);
  bt_text_free(&sentence);
  return status;
}

bt_status intake_contradict_encoding(bt_survey *survey, const char *mark, const char **encoding,
                                     bt_error *error) {
  const char *said = *encoding;
  bool utf8 = false;
  if (mark != NULL) {
    bool same = intake_is_utf8(mark) ? intake_is_utf8(said) : is_utf16(said);
    *encoding = same ? said : mark;
  } else if (is_of_single_bytes(said)) {
    bt_status status = look_for_utf8(survey, &utf8, error);
    if (status != BT_OK)
      return status;
    *encoding = utf8 ? "UTF-8" : said;
  }
  return *encoding == said ? BT_OK : say(survey, *encoding, said, error);
}
