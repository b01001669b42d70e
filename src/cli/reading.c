/* How a log is to be read: the options that import and columns share. */
#include "reading.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

static bool choose_delimiter(const char *text, char *delimiter) {
  static const struct {
    const char *word;
    char sign;
  } words[] = {{"comma", ','}, {"semicolon", ';'}, {"tab", '\t'}, {"pipe", '|'}};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strcmp(text, words[i].word) == 0) {
      *delimiter = words[i].sign;
      return true;
    }
  if (strlen(text) == 1 && !isalnum((unsigned char)*text) && *text != '"') {
    *delimiter = *text;
    return true;
  }
  cli_say("--delimiter is \"%s\"; it is one character, or comma, semicolon, tab, pipe", text);
  return false;
}

/* Options go over what the map says. */
static bool choose(const cli_reading *options, bt_reading_choices *choices) {
  const char *dates = options->dates;
  const char *decimal = options->decimal;
  if (dates != NULL) {
    choices->dates = strcmp(dates, "dmy") == 0   ? BT_DATES_DMY
                     : strcmp(dates, "mdy") == 0 ? BT_DATES_MDY
                     : strcmp(dates, "ymd") == 0 ? BT_DATES_YMD
                                                 : BT_DATES_AUTO;
    if (choices->dates == BT_DATES_AUTO) {
      cli_say("--dates is \"%s\"; it is dmy, mdy or ymd", dates);
      return false;
    }
  }
  if (decimal != NULL) {
    choices->decimal = strcmp(decimal, "point") == 0   ? BT_DECIMAL_POINT
                       : strcmp(decimal, "comma") == 0 ? BT_DECIMAL_COMMA
                                                       : BT_DECIMAL_AUTO;
    if (choices->decimal == BT_DECIMAL_AUTO) {
      cli_say("--decimal is \"%s\"; it is point or comma", decimal);
      return false;
    }
  }
  if (options->delimiter != NULL && !choose_delimiter(options->delimiter, &choices->delimiter))
    return false;
  if (options->encoding != NULL) {
    free(choices->encoding);
    choices->encoding = bt_copy(options->encoding);
  }
  if (options->unit != NULL) {
    free(choices->unit);
    choices->unit = bt_copy(options->unit);
  }
  return true;
}

bool cli_reads_input_once(const char *map, int n, char *const *paths) {
  int times = map != NULL && strcmp(map, "-") == 0;
  for (int i = 0; i < n; i++)
    times += strcmp(paths[i], "-") == 0;
  if (times > 1)
    cli_say("\"-\" is given %d times, and standard input can be read only once; name files for the "
            "others",
            times);
  return times <= 1;
}

/* A map without its folders: what a ledger keeps must not tell of the machine. */
static const char *map_name(const char *path) {
  const char *slash = strrchr(path, '/');
  return strcmp(path, "-") == 0 ? bt_input_name(path) : slash == NULL ? path : slash + 1;
}

bool cli_reading_choices(const cli_reading *options, const bt_settings *settings,
                         bt_reading_choices *choices, cli_exit *result) {
  bt_error error = {0};
  *choices = (bt_reading_choices){.own = settings->own, .own_n = settings->own_n};
  *result = CLI_DONE;
  bt_status status = options->map == NULL ? BT_OK : bt_map_read(options->map, choices, &error);
  if (options->map != NULL)
    choices->map = map_name(options->map);
  if (status != BT_OK)
    *result = cli_error(&error);
  else if (!choose(options, choices))
    *result = CLI_USAGE;
  return *result == CLI_DONE;
}
