/* resolve: what people concluded of an episode. */
#include "resolve.h"
#include "episode_parts.h"
#include "help.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The episode that was asked for, where it was found. */
typedef struct found_episode {
  size_t n; /* episodes that the digits fit */
  char *unit;
  bt_disposition disposition; /* but for what the person says; owns its characteristic */
  bool open;
  const char *event; /* kind of event that the action hints at, and none was noted; or NULL */
  char next[BT_ID_DIGITS + 1];
  bt_text goes_on; /* the episode that goes on behind a baseline's border; empty: none */
} found_episode;

static void found_free(found_episode *found) {
  free(found->unit);
  free(found->disposition.characteristic);
  bt_text_free(&found->goes_on);
}

static bool begins_with(const char *id, const char *digits) {
  for (; *digits != '\0'; id++, digits++)
    if (tolower((unsigned char)*digits) != *id)
      return false;
  return true;
}

static bt_status keep(const bt_unit_study *study, const bt_study *of, const bt_episode *episode,
                      const char *action, found_episode *found, bt_error *error) {
  int32_t segment = of->points.segment[episode->first];
  if (found->n++ > 0)
    return BT_OK;
  found->unit = bt_copy(study->history.unit);
  found->disposition = (bt_disposition){
      .characteristic = bt_copy(bt_settings_quantity(&study->settings, of->characteristic).key),
      .high = episode->side == BT_HIGH,
      .from = of->points.at[episode->first],
      .to = of->points.at[episode->last],
      .baseline_version = segment < 0 ? 0 : of->segments[segment].baseline.version};
  memcpy(found->disposition.episode, episode->id, sizeof episode->id);
  found->open = bt_study_is_open(of, episode);
  found->event = resolve_hinted_event(study, of->points.at[episode->first], action);
  const bt_episode *next = cli_episode_goes_on(of, episode);
  if (next != NULL) {
    memcpy(found->next, next->id, sizeof next->id);
    cli_add_episode(of, next, &found->goes_on);
  }
  return found->unit == NULL || found->disposition.characteristic == NULL ? bt_fail_memory(error)
                                                                          : BT_OK;
}

static bt_status look_in(bt_ledger *ledger, const char *unit, bt_time until, const char *digits,
                         const char *action, found_episode *found, bt_error *error) {
  bt_study_request request = {.unit = unit, .until = until};
  bt_unit_study *study = NULL;
  bt_status status = bt_study_unit(ledger, &request, &study, error);
  for (size_t s = 0; status == BT_OK && s < study->studies_n; s++) {
    const bt_study *of = study->studies[s];
    for (size_t e = 0; status == BT_OK && e < of->episodes_n; e++)
      if (begins_with(of->episodes[e].id, digits))
        status = keep(study, of, &of->episodes[e], action, found, error);
  }
  bt_unit_study_free(study);
  return status;
}

static bt_status find(bt_ledger *ledger, bt_time until, const char *digits,
                      const bt_disposition *said, found_episode *found, bt_error *error) {
  char **names = NULL;
  size_t n = 0;
  bt_status status = cli_units(ledger, NULL, &names, &n, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    status = look_in(ledger, names[i], until, digits, said->action, found, error);
  if (status == BT_OK && found->n == 0)
    status = resolve_not_found(ledger, names, n, until, digits, said, error);
  bt_names_free(names, n);
  if (status == BT_OK && found->n > 1)
    return bt_fail(error, BT_USAGE, "%zu episodes begin with %s; give more digits", found->n,
                   digits);
  return status;
}

static void add_episode(const found_episode *found, bt_text *out) {
  char from[BT_TIME_TEXT], to[BT_TIME_TEXT];
  (void)cli_plain(out, found->unit, SIZE_MAX);
  bt_text_format(out, ", %s, %s side, %s to %s: ", found->disposition.characteristic,
                 found->disposition.high ? "high" : "low",
                 bt_time_day_iso(found->disposition.from, from),
                 bt_time_day_iso(found->disposition.to, to));
}

/* From when the CUSUM starts anew. */
static void add_restart(const bt_disposition *of, const bt_disposition *said, bt_text *out) {
  char at[BT_TIME_TEXT];
  if (said->restart_at != 0)
    bt_text_format(out, "at the first point from %s on",
                   bt_time_iso(said->restart_at, said->restart_at % BT_DAY != 0, at));
  else
    bt_text_format(out, "at the first point after %s, the episode's last signal",
                   bt_time_day_iso(of->to, at));
}

static bt_status check_restart(const bt_disposition *of, const bt_disposition *said,
                               bt_error *error) {
  char first[BT_TIME_TEXT], at[BT_TIME_TEXT];
  if (said->restart_at == 0 || said->restart_at >= of->from)
    return BT_OK;
  bool clock = said->restart_at % BT_DAY != 0;
  return bt_fail(error, BT_USAGE,
                 "--at is %s, before the first signal of episode %s at %s: the action can't have "
                 "come of it; give when it was done%s",
                 bt_time_iso(said->restart_at, clock, at), of->episode,
                 bt_time_iso(of->from, true, first), clock ? "" : ", with the time of day");
}

/* Shows what will stand in the record, and asks. */
static cli_exit ask(const cli_context *cli, const found_episode *found,
                    const bt_disposition *said) {
  bt_text effect = {0};
  add_episode(found, &effect);
  bt_text_format(&effect, "episode %s\n  cause   ", found->disposition.episode);
  (void)cli_plain(&effect, said->cause, SIZE_MAX);
  bt_text_add(&effect, "\n  action  ");
  (void)cli_plain(&effect, said->action, SIZE_MAX);
  bt_text_add(&effect,
              "\nThis will show on every report; a later disposition can be added, none is "
              "taken out.\n");
  if (said->restart) {
    bt_text_add(&effect, "Both sums of the CUSUM start anew ");
    add_restart(&found->disposition, said, &effect);
    bt_text_add(&effect, ".\n");
  }
  cli_exit answer = cli_confirm_effect(cli, &effect);
  bt_text_free(&effect);
  return answer;
}

/* A disposition ends no episode, and notes no event. */
static void add_what_next(const found_episode *found, const bt_disposition *said, bt_text *out) {
  if (found->open)
    bt_text_format(out,
                   "The episode stays open until %d judged points in a row are without a signal of "
                   "its side.\n",
                   (int)BT_EPISODE_QUIET);
  if (found->goes_on.length > 0) {
    bt_text_format(out,
                   "It ended at a baseline's border; behind it stands episode %s, of which this "
                   "says nothing: ",
                   bt_text_get(&found->goes_on));
    resolve_add_command(found->next, said, out);
    bt_text_add(out, "\n");
  }
  if (found->event != NULL) {
    bt_text_add(out, "Where that was done to the laser, note it as an event too: `beamtally event "
                     "--unit ");
    bt_text_add_shell_word(out, found->unit);
    bt_text_add(out, " --at TIME --by ");
    bt_text_add_shell_word(out, said->by);
    bt_text_format(out, " %s`.\n", found->event);
  }
}

static bt_status store(const cli_context *cli, bt_ledger *ledger, const char *digits,
                       const bt_disposition *said, bt_text *out, cli_exit *answer,
                       bt_error *error) {
  found_episode found = {0};
  bt_time until = cli_today_ends(cli);
  bt_status status = find(ledger, until, digits, said, &found, error);
  if (status == BT_OK)
    status = check_restart(&found.disposition, said, error);
  if (status == BT_OK)
    *answer = ask(cli, &found, said);
  if (status == BT_OK && *answer == CLI_DONE) {
    bt_disposition disposition = found.disposition; /* borrows */
    disposition.cause = said->cause;
    disposition.action = said->action;
    disposition.by = said->by;
    disposition.restart = said->restart;
    disposition.restart_at = said->restart_at;
    status = bt_ledger_add_disposition(ledger, found.unit, &disposition, cli->now, error);
  }
  if (status == BT_OK && *answer == CLI_DONE) {
    add_episode(&found, out);
    bt_text_format(out, "disposition of episode %s stored", found.disposition.episode);
    bt_text_add(out, said->restart ? "; the CUSUM starts anew " : "");
    if (said->restart)
      add_restart(&found.disposition, said, out);
    bt_text_add(out, "\n");
    add_what_next(&found, said, out);
  }
  found_free(&found);
  return status;
}

cli_exit cli_resolve(cli_context *cli, int argc, char **argv) {
  const char *cause = NULL, *action = NULL, *by = NULL, *at = NULL;
  bool restart = false, has_clock;
  bt_time restart_at = 0;
  const cli_option table[] = {
      {"cause", &cause, NULL, 0},     {"action", &action, NULL, 0}, {"by", &by, NULL, 0},
      {"restart", NULL, &restart, 0}, {"at", &at, NULL, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_resolve);
  if (argc - first != 1) {
    cli_say("resolve needs the id of one episode, as `beamtally signals` lists it");
    return CLI_USAGE;
  }
  const char *digits = argv[first];
  size_t length = strspn(digits, "0123456789abcdefABCDEF");
  if (length == 0 || length > BT_ID_DIGITS || digits[length] != '\0') {
    cli_say("\"%s\" is no episode's id: that is up to %d hex digits, as `beamtally signals` lists "
            "them",
            digits, BT_ID_DIGITS);
    return CLI_USAGE;
  }
  if (!cli_needs(cli, "cause", cause) || !cli_needs(cli, "action", action) ||
      !cli_needs(cli, "by", by) ||
      (at != NULL && !cli_happened(cli, "at", at, &restart_at, &has_clock)))
    return CLI_USAGE;
  if (at != NULL && !restart) {
    cli_say("--at says from when the CUSUM starts anew; give --restart with it");
    return CLI_USAGE;
  }

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_text out = {0};
  char *texts[] = {bt_copy(cause), bt_copy(action), bt_copy(by)};
  const bt_disposition said = {.cause = texts[0],
                               .action = texts[1],
                               .by = texts[2],
                               .restart = restart,
                               .restart_at = restart_at};
  cli_exit answer = CLI_DONE;
  bool whole = texts[0] != NULL && texts[1] != NULL && texts[2] != NULL;
  bt_status status =
      whole ? cli_open(cli, BT_LEDGER_WRITE, &ledger, &error) : bt_fail_memory(&error);
  if (status == BT_OK)
    status = store(cli, ledger, digits, &said, &out, &answer, &error);
  bt_ledger_close(ledger);
  cli_exit result = status != BT_OK      ? cli_error(&error)
                    : answer != CLI_DONE ? answer
                    : cli->quiet         ? CLI_DONE
                                         : cli_print_text(&out);
  bt_text_free(&out);
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
    free(texts[i]);
  return result;
}
