/* columns: how a log would be read, before anything is stored. */
#include "cli.h"
#include "help.h"
#include "new_file.h"
#include "reading.h"

#include <stdlib.h>
#include <string.h>

/* Widths in characters; a line has at most 80. */
enum {
  LINE = 80,
  HEADER = 22,
  READ_AS = 18,
  VALUES = LINE - 4 - 1 - HEADER - 2 - READ_AS - 2,
  NAME = 18,
  SETTING = 20
};

static void add_blanks(bt_text *text, size_t n) {
  for (size_t i = 0; i < n; i++)
    bt_text_add(text, " ");
}

static void add_cell(bt_text *text, const char *cell, size_t width) {
  size_t taken = cli_plain(text, cell, width);
  add_blanks(text, width - taken);
}

/* ---- How the file is read -------------------------------------------------------------------- */

static void add_setting(bt_text *text, const char *name, const char *value, bool last) {
  size_t from = text->length;
  bt_text_format(text, "  %s", name);
  add_blanks(text, NAME - (text->length - from));
  if (last) {
    (void)cli_plain(text, value, LINE / 2 - NAME);
    bt_text_add(text, "\n");
  } else {
    add_cell(text, value, SETTING);
  }
}

static bool has_key(const bt_survey *survey, const char *key) {
  for (size_t i = 0; i < survey->columns_n; i++)
    if (survey->columns[i].key != NULL && strcmp(survey->columns[i].key, key) == 0)
      return true;
  return false;
}

static void add_settings(bt_text *text, const bt_survey *survey) {
  const char *const decimals[] = {[BT_DECIMAL_AUTO] =
                                      survey->decimal_open ? "not decided" : "none needed",
                                  [BT_DECIMAL_POINT] = "point",
                                  [BT_DECIMAL_COMMA] = "comma"};
  static const char *const orders[] = {[BT_DATES_AUTO] = "not decided",
                                       [BT_DATES_YMD] = "year, month, day",
                                       [BT_DATES_DMY] = "day, month, year",
                                       [BT_DATES_MDY] = "month, day, year"};
  static const char *const thousands[] = {[BT_THOUSANDS_NONE] = "none",
                                          [BT_THOUSANDS_POINT] = "point",
                                          [BT_THOUSANDS_COMMA] = "comma",
                                          [BT_THOUSANDS_SPACE] = "space",
                                          [BT_THOUSANDS_APOSTROPHE] = "apostrophe"};
  const char *order = survey->months_named ? "by the month's name" : orders[survey->dates];
  char one[2], header[64] = "none";
  bool headed = survey->columns_n == 0 || strcmp(survey->columns[0].header, "@1") != 0;
  if (headed && survey->names_line > 0)
    (void)snprintf(header, sizeof header, "line %lld, units line %lld",
                   (long long)survey->names_line, (long long)survey->header_line);
  else if (headed)
    (void)snprintf(header, sizeof header, "line %lld", (long long)survey->header_line);
  (void)cli_plain(text, survey->source.name, LINE / 2);
  bt_text_format(text, ": a %s, %lld row%s\n\n",
                 has_key(survey, "event") ? "log of events"
                 : survey->has_done       ? "log of events, it seems"
                 : survey->no_readings    ? "list without readings"
                                          : "log of checks",
                 (long long)survey->rows, survey->rows == 1 ? "" : "s");
  add_setting(text, "encoding", survey->encoding, false);
  add_setting(text, "delimiter", cli_delimiter_words(survey->delimiter, one), true);
  add_setting(text, "decimal mark", decimals[survey->decimal], false);
  add_setting(text, "date order", order, true);
  add_setting(text, "line ends", survey->line_end, false);
  add_setting(text, "header", header, true);
  if (survey->unit != NULL)
    add_setting(text, "unit", survey->unit, true);
  if (survey->choices->thousands != BT_THOUSANDS_NONE)
    add_setting(text, "thousands", thousands[survey->choices->thousands], true);
}

/* ---- The columns ----------------------------------------------------------------------------- */

/* True when the map's [values] look into the column. */
static bool has_meanings(const bt_survey *survey, size_t i) {
  const bt_reading_choices *choices = survey->choices;
  char position[24];
  (void)snprintf(position, sizeof position, "@%zu", i + 1);
  for (size_t k = 0; k < choices->values_n; k++)
    if (strcmp(choices->values[k].header, position) == 0 ||
        bt_same_name(choices->values[k].header, survey->columns[i].header))
      return true;
  return false;
}

/* The unit that the map converts the column from, or NULL. */
static const char *converted_from(const bt_reading_choices *choices, const char *key) {
  for (size_t i = 0; i < choices->columns_n; i++)
    if (strcmp(choices->columns[i].key, key) == 0)
      return choices->columns[i].from_unit;
  return NULL;
}

/* `probable`: "date?", where nothing reads the column as yet. */
static void add_read_as(bt_text *text, const bt_survey *survey, size_t i, const char *probable) {
  const char *key = survey->columns[i].key;
  const char *from = key == NULL ? NULL : converted_from(survey->choices, key);
  bt_text words = {0};
  if (key != NULL)
    bt_text_format(&words, from == NULL ? "%s" : "%s, in %s", key, from);
  else if (probable != NULL)
    bt_text_format(&words, "%s?", probable);
  else
    bt_text_add(&words, has_meanings(survey, i) ? "words, by the map" : "not stored");
  text->failed = text->failed || !bt_text_ok(&words);
  add_cell(text, bt_text_get(&words), READ_AS);
  bt_text_free(&words);
}

/* How the rows of that name are read, in long form. */
static void add_name_read_as(bt_text *text, const bt_survey *survey, const char *key,
                             const char *probable) {
  const char *from = key == NULL ? NULL : converted_from(survey->choices, key);
  bt_text words = {0};
  if (key == NULL && probable != NULL)
    bt_text_format(&words, "%s?", probable);
  else if (key == NULL)
    bt_text_add(&words, "not known");
  else if (strcmp(key, "not_stored") == 0)
    bt_text_add(&words, "not stored");
  else
    bt_text_format(&words, from == NULL ? "%s" : "%s, in %s", key, from);
  text->failed = text->failed || !bt_text_ok(&words);
  add_cell(text, bt_text_get(&words), READ_AS);
  bt_text_free(&words);
}

static void add_column(bt_text *text, const bt_survey *survey, const bt_survey_column *column,
                       size_t i, bool name, const char *probable) {
  bt_text_format(text, "%4zu ", i + 1);
  add_cell(text, column->header, HEADER);
  bt_text_add(text, "  ");
  if (column->identity) {
    bt_text_add(text, "looks like a patient's identity: never stored\n");
    return;
  }
  if (name)
    add_name_read_as(text, survey, column->key, probable);
  else
    add_read_as(text, survey, i, probable);
  bt_text values = {0};
  for (size_t k = 0; k < column->first_n; k++)
    bt_text_format(&values, "%s%s", k == 0 ? "" : " | ", column->first[k]);
  text->failed = text->failed || !bt_text_ok(&values);
  if (column->first_n > 0)
    bt_text_add(text, "  ");
  (void)cli_plain(text, bt_text_get(&values), VALUES);
  bt_text_add(text, "\n");
  bt_text_free(&values);
}

/* The log's columns; in long form also the names of its readings. */
static void add_columns(bt_text *text, const bt_survey *survey) {
  const char **probable = bt_new(survey->columns_n, sizeof *probable);
  bool open = false;
  text->failed = text->failed || probable == NULL;
  if (probable == NULL)
    return;
  bt_probable_keys(survey, probable);
  bt_text_add(text, "\n   # header                  read as             first values\n");
  for (size_t i = 0; i < survey->columns_n; i++) {
    add_column(text, survey, &survey->columns[i], i, false, probable[i]);
    open = open || (probable[i] != NULL && survey->columns[i].key == NULL);
  }
  free(probable);
  if (survey->names_n > 0)
    bt_text_add(text, "\n   # one row a reading       read as             first values\n");
  for (size_t i = 0; i < survey->names_n; i++) {
    const char *name = bt_probable_name(survey, &survey->names[i]);
    add_column(text, survey, &survey->names[i], i, true, name);
    open = open || name != NULL;
  }
  if (open)
    bt_text_add(text, "\n  A key with ? is what the column probably is. Nothing of it is stored "
                      "before a\n  column map says so.\n");
}

/* ---- What is open ---------------------------------------------------------------------------- */

static size_t characters(const char *text, size_t bytes) {
  size_t n = 0;
  for (size_t i = 0; i < bytes; i++)
    n += ((unsigned char)text[i] & 0xC0) != 0x80;
  return n;
}

/* Bytes of the next word; of a command between backquotes, which is to be copied, with what stands
 * before and behind it. */
static size_t next_piece(const char *at) {
  size_t word = strcspn(at, " ");
  const char *from = memchr(at, '`', word);
  const char *to = from == NULL ? NULL : strchr(from + 1, '`');
  return to == NULL ? word : (size_t)(to - at) + strcspn(to, " ");
}

/* The sentence behind a hyphen, in lines of at most LINE characters. */
static void add_wrapped(bt_text *text, const char *sentence) {
  bt_text plain = {0};
  size_t used = 3;
  (void)cli_plain(&plain, sentence, SIZE_MAX);
  bt_text_add(text, "  -");
  for (const char *at = bt_text_get(&plain); *at != '\0'; at += strspn(at, " ")) {
    size_t bytes = next_piece(at), width = characters(at, bytes);
    if (used + 1 + width > LINE) {
      bt_text_add(text, "\n   ");
      used = 3;
    }
    bt_text_add(text, " ");
    bt_text_add_bytes(text, at, bytes);
    used += 1 + width;
    at += bytes;
  }
  bt_text_add(text, "\n");
  text->failed = text->failed || !bt_text_ok(&plain);
  bt_text_free(&plain);
}

static void add_questions(bt_text *text, const bt_survey *survey) {
  if (survey->questions_n == 0) {
    bt_text_add(
        text,
        survey->hints_n == 0
            ? "\nNothing is left to settle: `beamtally import` reads the file like this, and "
              "with\n--dry-run says which lines it would refuse.\n"
            : "\nNothing is left to settle before an import, but read what is worth knowing.\n"
              "With --dry-run `beamtally import` says which lines it would refuse.\n");
    return;
  }
  bt_text_add(text, "\nTo be settled before this file can be imported:\n");
  for (size_t i = 0; i < survey->questions_n; i++)
    add_wrapped(text, survey->questions[i]);
}

static void add_hints(bt_text *text, const bt_survey *survey) {
  if (survey->hints_n > 0)
    bt_text_add(text, "\nWorth knowing:\n");
  for (size_t i = 0; i < survey->hints_n; i++)
    add_wrapped(text, survey->hints[i]);
}

/* ---- The command ----------------------------------------------------------------------------- */

/* *result is what came of printing, which says itself where it fails. */
static bt_status print_preview(const bt_survey *survey, cli_exit *result, bt_error *error) {
  bt_text text = {0};
  add_settings(&text, survey);
  add_columns(&text, survey);
  add_questions(&text, survey);
  add_hints(&text, survey);
  bt_status status = bt_text_ok(&text) ? BT_OK : bt_fail_memory(error);
  if (status == BT_OK)
    *result = cli_print(bt_text_get(&text));
  bt_text_free(&text);
  return status;
}

static bt_status write_map(const bt_survey *survey, const char *path, bt_error *error) {
  cli_new_file file = {0};
  bt_text map = {0};
  bt_map_starter(survey, &map);
  bt_status status =
      bt_text_ok(&map) ? cli_new_file_open(&file, path, error) : bt_fail_memory(error);
  if (status == BT_OK)
    (void)fwrite(bt_text_get(&map), 1, map.length,
                 file.stream); /* a failure stays with the stream */
  if (status == BT_OK)
    status = cli_new_file_keep(&file, error);
  cli_new_file_close(&file);
  bt_text_free(&map);
  return status;
}

static void say_written(const char *map, const char *log) {
  bt_text command = {0};
  bt_text_add(&command, "beamtally import --map ");
  bt_text_add_shell_word(&command, map);
  bt_text_add(&command, " ");
  bt_text_add_shell_word(&command, log);
  cli_say("%s is a map to start from; `%s` reads the log by it", map, bt_text_get(&command));
  bt_text_free(&command);
}

static cli_exit show(const cli_context *cli, const char *path, const bt_reading_choices *choices,
                     const char *write) {
  bt_error error = {0};
  bt_survey *survey = NULL;
  cli_exit result = CLI_DONE;
  bt_status status = bt_preview_file(path, choices, &survey, &error);
  if (status == BT_OK)
    status = print_preview(survey, &result, &error);
  if (status == BT_OK && result != CLI_DONE) {
    bt_survey_free(survey);
    return result;
  }
  if (status != BT_OK) {
    bt_error_prefix(&error, "%s", bt_input_name(path));
  } else {
    if (write != NULL)
      status = write_map(survey, write, &error);
    if (cli->strict && survey->questions_n > 0)
      result = CLI_ATTENTION;
    if (write != NULL && status == BT_OK && !cli->quiet)
      say_written(write, path);
  }
  if (status != BT_OK)
    result = cli_error(&error);
  bt_survey_free(survey);
  return result;
}

cli_exit cli_columns(cli_context *cli, int argc, char **argv) {
  cli_reading reading = {0};
  const char *write = NULL;
  const cli_option table[] = {CLI_READING_OPTIONS(reading), {"write", &write, NULL, 0}};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_columns);
  if (argc - first != 1) {
    cli_say("columns needs one log file; see `beamtally columns --help`");
    return CLI_USAGE;
  }
  if (!cli_reads_input_once(reading.map, 1, argv + first))
    return CLI_USAGE;
  bt_error error = {0};
  bt_settings settings;
  bt_reading_choices choices;
  cli_exit result;
  if (cli_settings_if_any(cli, &settings, &error) != BT_OK)
    return cli_error(&error);
  if (cli_reading_choices(&reading, &settings, &choices, &result))
    result = show(cli, argv[first], &choices, write);
  bt_reading_choices_free(&choices);
  bt_settings_free(&settings);
  return result;
}
