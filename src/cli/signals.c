/* signals: the episodes of all units and what people concluded of them. */
#include "signals.h"
#include "help.h"

#include "beamtally/emit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef enum signals_format { AS_TEXT, AS_JSON, AS_CSV } signals_format;

/* Where they are written to. */
typedef struct signals_run {
  const cli_context *cli;
  bool open_only;
  bool one; /* only this characteristic is shown */
  bt_characteristic characteristic;
  bt_rules rules;            /* of all that is shown */
  bool any_check, any_found; /* in the units; what is shown, in one of them */
  bt_text *text;             /* AS_TEXT */
  bt_table_sink sink;        /* else */
  size_t shown;
  bool alarm; /* an alarm is open in a characteristic that is shown */
} signals_run;

static const char *const columns[] = {
    "unit",    "characteristic", "id",           "side",       "strength", "first", "last",
    "signals", "rules",          "open",         "cause",      "action",   "by",    "at",
    "revised", "earlier",        "notice_rules", "alarm_rules"};

enum { COLUMNS = sizeof columns / sizeof *columns };

static bt_cell text_cell(const char *text) {
  return (bt_cell){.type = text == NULL ? BT_CELL_EMPTY : BT_CELL_TEXT, .text = text};
}

static bt_cell point_cell(const bt_study *of, size_t point) {
  bool clock = (of->points.flags[point] & BT_POINT_NO_CLOCK) == 0;
  return (bt_cell){.type = clock ? BT_CELL_MOMENT : BT_CELL_DAY, .integer = of->points.at[point]};
}

static bt_status put_episode(const char *unit, const char *key, const bt_study *of,
                             const bt_episode *episode, const bt_table_sink *sink,
                             bt_error *error) {
  const bt_disposition *by = signals_disposition(of, episode);
  bt_text rules = {0}, earlier = {0}, notices = {0}, alarms = {0};
  size_t revised = bt_study_revised(of, episode);
  bt_rule_keys(episode->rules, " ", &rules);
  bt_rule_keys(episode->rules & (bt_rules)~BT_ALARM_RULES, " ", &notices);
  bt_rule_keys(episode->rules & BT_ALARM_RULES, " ", &alarms);
  for (size_t d = 0; revised > 0 && d < episode->disposition; d++)
    if (bt_study_concludes(of, episode, d)) {
      bt_text_add(&earlier, earlier.length > 0 ? " | " : "");
      signals_add_concluded(&of->dispositions[d], &earlier);
    }
  const bt_cell cells[COLUMNS] = {
      text_cell(unit),
      text_cell(key),
      text_cell(episode->id),
      text_cell(signals_side(episode->side == BT_HIGH)),
      text_cell(signals_strength(episode->strength)),
      point_cell(of, episode->first),
      point_cell(of, episode->last),
      {.type = BT_CELL_INTEGER, .integer = (int64_t)episode->signals},
      text_cell(bt_text_get(&rules)),
      text_cell(bt_study_is_open(of, episode) ? "yes" : "no"),
      text_cell(by == NULL ? NULL : by->cause),
      text_cell(by == NULL ? NULL : by->action),
      text_cell(by == NULL ? NULL : by->by),
      {.type = by == NULL ? BT_CELL_EMPTY : BT_CELL_MOMENT, .integer = by == NULL ? 0 : by->at},
      {.type = BT_CELL_INTEGER, .integer = (int64_t)revised},
      text_cell(revised == 0 ? NULL : bt_text_get(&earlier)),
      text_cell(notices.length == 0 ? NULL : bt_text_get(&notices)),
      text_cell(alarms.length == 0 ? NULL : bt_text_get(&alarms)),
  };
  bt_status status =
      bt_text_ok(&rules) && bt_text_ok(&earlier) && bt_text_ok(&notices) && bt_text_ok(&alarms)
          ? sink->row(sink->context, cells, COLUMNS, error)
          : bt_fail_memory(error);
  bt_text_free(&rules);
  bt_text_free(&earlier);
  bt_text_free(&notices);
  bt_text_free(&alarms);
  return status;
}

static bt_status show_study(signals_run *run, const char *unit, const char *key, const bt_study *of,
                            bt_error *error) {
  bt_status status = BT_OK;
  bool headed = false, alone = false;
  for (size_t i = 0; i < of->dispositions_n; i++)
    alone = alone || !of->disposition_used[i];
  for (size_t i = 0; i <= of->episodes_n && status == BT_OK; i++) {
    const bt_episode *episode = i < of->episodes_n ? &of->episodes[i] : NULL;
    bool shown = episode == NULL ? alone && !run->open_only
                                 : !run->open_only || bt_study_is_open(of, episode);
    if (!shown)
      continue;
    if (run->text != NULL && !headed) {
      bt_text_add(run->text, run->shown > 0 ? "\n" : "");
      (void)cli_plain(run->text, unit, SIZE_MAX);
      bt_text_format(run->text, ", %s\n  id        side  worst     first       last        rules\n",
                     key);
      headed = true;
    }
    run->shown++;
    if (episode == NULL) {
      if (run->text != NULL)
        signals_add_alone(of, run->text);
      continue;
    }
    run->alarm = run->alarm || bt_study_open_strength(of) == BT_ALARM;
    run->rules |= episode->rules;
    if (run->text != NULL)
      signals_add_episode(of, episode, run->text);
    else
      status = put_episode(unit, key, of, episode, &run->sink, error);
  }
  return status;
}

static bt_status show_unit(signals_run *run, bt_ledger *ledger, const char *unit, bt_error *error) {
  bt_study_request request = {.unit = unit, .until = cli_today_ends(run->cli)};
  bt_unit_study *study = NULL;
  bt_status status = bt_study_unit(ledger, &request, &study, error);
  for (size_t i = 0; status == BT_OK && i < study->studies_n; i++) {
    const bt_study *of = study->studies[i];
    if (run->one && of->characteristic != run->characteristic)
      continue;
    run->any_found = true;
    status = show_study(run, unit, bt_settings_quantity(&study->settings, of->characteristic).key,
                        of, error);
  }
  run->any_check = run->any_check || (status == BT_OK && study->has_check);
  bt_unit_study_free(study);
  return status;
}

static bt_status show_all(signals_run *run, const char *unit, const char *of, bt_error *error) {
  bt_ledger *ledger = NULL;
  char **names = NULL;
  size_t n = 0;
  bt_status status = cli_open(run->cli, BT_LEDGER_READ, &ledger, error);
  if (status == BT_OK)
    status = cli_units(ledger, unit, &names, &n, error);
  run->one = of != NULL;
  if (status == BT_OK && of != NULL)
    status = cli_characteristic(ledger, of, &run->characteristic, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    status = show_unit(run, ledger, names[i], error);
  bt_names_free(names, n);
  bt_ledger_close(ledger);
  return status;
}

/* Why nothing is listed. */
static void add_none(const signals_run *run, bt_text *out) {
  if (!run->any_check)
    bt_text_add(out,
                "No signal: the ledger holds no check yet. `beamtally import FILE` brings a log "
                "in.\n");
  else if (!run->any_found)
    bt_text_add(out,
                "No signal: no log holds what that is made from. `beamtally status` shows what "
                "there is.\n");
  else
    bt_text_add(out, run->open_only ? "No signal is open.\n" : "No signal in the log.\n");
}

/* All of it is put together before any of it is written: a failure prints no half of a table. */
static cli_exit print(signals_run *run, const char *unit, const char *of, signals_format format) {
  bt_error error = {0};
  bt_text text = {0};
  char *table = NULL;
  size_t length = 0;
  FILE *stream = format == AS_TEXT ? NULL : open_memstream(&table, &length);
  bt_table_writer writer = {0};
  bt_status status = BT_OK;
  run->text = format == AS_TEXT ? &text : NULL;
  if (format != AS_TEXT && stream == NULL) {
    status = bt_fail_memory(&error);
  } else if (format != AS_TEXT) {
    if (format == AS_JSON)
      (void)fputs("{\"format\":1,\"episodes\":\n", stream);
    run->sink = bt_table_writer_open(&writer, stream, format == AS_JSON);
    status = run->sink.columns(run->sink.context, columns, COLUMNS, &error);
  }
  if (status == BT_OK)
    status = show_all(run, unit, of, &error);
  if (stream != NULL) {
    bt_error closing = {0};
    bt_status closed = bt_table_writer_close(&writer, &closing);
    if (format == AS_JSON)
      (void)fputs("}\n", stream);
    bool lost = ferror(stream) != 0; /* fclose says nothing of what failed before */
    if ((fclose(stream) != 0 || lost) && closed == BT_OK)
      closed = bt_fail_memory(&closing);
    if (status == BT_OK && closed != BT_OK) {
      status = closed;
      error = closing;
    }
  } else if (run->shown == 0) {
    add_none(run, &text);
  } else {
    signals_add_rules(run->rules, &text);
  }
  cli_exit result = status != BT_OK     ? cli_error(&error)
                    : format == AS_TEXT ? cli_print_text(&text)
                                        : cli_print(table);
  free(table);
  bt_text_free(&text);
  run->text = NULL;
  return result;
}

cli_exit cli_signals(cli_context *cli, int argc, char **argv) {
  const char *unit = NULL, *of = NULL, *format = "text";
  signals_run run = {.cli = cli};
  const cli_option table[] = {{"unit", &unit, NULL, 0},
                              {"characteristic", &of, NULL, 0},
                              {"open", NULL, &run.open_only, 0},
                              {"format", &format, NULL, 0}};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_signals);
  signals_format as = strcmp(format, "json") == 0  ? AS_JSON
                      : strcmp(format, "csv") == 0 ? AS_CSV
                                                   : AS_TEXT;
  if (first != argc || (as == AS_TEXT && strcmp(format, "text") != 0)) {
    cli_say(first != argc ? "signals takes no further words; a unit is named by --unit"
                          : "--format is text, json or csv");
    return CLI_USAGE;
  }
  cli_exit result = print(&run, unit, of, as);
  return result == CLI_DONE && cli->strict && run.alarm ? CLI_ATTENTION : result;
}
