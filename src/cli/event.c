/* event: something done to a laser, typed in by a person; or the list of them. */
#include "cli.h"
#include "help.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LINE = 80 };

typedef struct event_options {
  const char *unit, *at, *by, *note;
  bool new_unit, list;
} event_options;

/* ---- The list -------------------------------------------------------------------------------- */

/* The event that events[e] is a further note of: both are one thing, with two notes. NULL: none. */
static const bt_event *first_of(const bt_history *history, size_t e) {
  const bt_event *event = &history->events[e];
  for (size_t i = 0; i < e; i++)
    if (history->events[i].time == event->time && history->events[i].kind == event->kind)
      return &history->events[i];
  return NULL;
}

/* What of a list is shown: all, or the events of one kind. */
typedef struct event_list {
  bool one_kind;
  bt_event_kind kind;
} event_list;

static bool is_listed(const event_list *list, bt_event_kind kind) {
  return !list->one_kind || list->kind == kind;
}

/* Of those listed: the events, and further notes of one of them. */
static void count_listed(const event_list *list, const bt_history *history, size_t *events,
                         size_t *further) {
  *events = *further = 0;
  for (size_t e = 0; e < history->events_n; e++)
    if (is_listed(list, history->events[e].kind))
      ++*(first_of(history, e) == NULL ? events : further);
}

static void add_event(const event_list *list, const bt_history *history, size_t e, bt_text *out) {
  const bt_event *event = &history->events[e], *first = first_of(history, e);
  char at[BT_TIME_TEXT];
  bt_text words = {0};
  if (!is_listed(list, event->kind))
    return;
  if (first != NULL)
    bt_text_format(&words, "(a further note of %lld) ", (long long)first->number);
  cli_describe_event(&words, event);
  bt_text_format(out, "%6lld  %-16s  ", (long long)event->number,
                 bt_time_iso(event->time, event->has_clock, at));
  (void)cli_plain(out, bt_text_get(&words), LINE - 26);
  bt_text_add(out, "\n");
  out->failed = out->failed || words.failed;
  bt_text_free(&words);
}

/* A refill that a check's own row notes is no event of its own, but is one to whoever looks for
 * them. It is corrected with its check. */
static void add_flag(const bt_history *history, size_t i, bt_text *out) {
  char at[BT_TIME_TEXT];
  bt_text_format(out, "%6s  %-16s  gas refill, noted in the check of that time (%s the reading)\n",
                 "check", bt_time_iso(history->at[i], history->has_clock[i] != 0, at),
                 history->refill[i] == BT_REFILL_BEFORE ? "before" : "after");
}

/* Events and flags in order of time. */
static void add_all(const event_list *list, const bt_history *history, bt_text *out) {
  size_t e = 0;
  for (size_t i = 0; i < history->n; i++) {
    if (history->refill[i] == BT_REFILL_NONE || !is_listed(list, BT_EVENT_GAS_REFILL))
      continue;
    while (e < history->events_n && history->events[e].time <= history->at[i])
      add_event(list, history, e++, out);
    add_flag(history, i, out);
  }
  while (e < history->events_n)
    add_event(list, history, e++, out);
}

static bool any_without_clock(const event_list *list, const bt_history *history) {
  for (size_t e = 0; e < history->events_n; e++)
    if (!history->events[e].has_clock && is_listed(list, history->events[e].kind))
      return true;
  return false;
}

static size_t flags_of(const event_list *list, const bt_history *history) {
  size_t n = 0;
  for (size_t i = 0; i < history->n && is_listed(list, BT_EVENT_GAS_REFILL); i++)
    n += history->refill[i] != BT_REFILL_NONE;
  return n;
}

static bt_status list_unit(bt_ledger *ledger, const char *unit, const event_list *list,
                           bt_text *out, bt_error *error) {
  bt_history history = {0};
  bt_status status = bt_ledger_history(ledger, unit, INT64_MAX, &history, error);
  if (status == BT_OK) {
    (void)cli_plain(out, unit, LINE - 20);
    size_t flags = flags_of(list, &history), events, further;
    count_listed(list, &history, &events, &further);
    if (list->one_kind)
      bt_text_format(out, ", %s", bt_event_words(list->kind));
    bt_text_format(out, ": %zu event%s", events, events == 1 ? "" : "s");
    if (further > 0)
      bt_text_format(out, ", %zu further note%s", further, further == 1 ? "" : "s");
    if (flags > 0)
      bt_text_format(out, ", %zu refill%s noted in checks", flags, flags == 1 ? "" : "s");
    bt_text_add(out, "\n");
    add_all(list, &history, out);
    if (any_without_clock(list, &history))
      bt_text_add(out, "An event without a time of day counts as before that day's checks.\n");
  }
  bt_history_free(&history);
  return status;
}

static cli_exit list_events(const cli_context *cli, const char *unit, const event_list *list) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  char **names = NULL;
  size_t n = 0;
  bt_text out = {0};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = cli_units(ledger, unit, &names, &n, &error);
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    bt_text_add(&out, i > 0 ? "\n" : "");
    status = list_unit(ledger, names[i], list, &out, &error);
  }
  cli_exit result = status == BT_OK ? cli_print_text(&out) : cli_error(&error);
  bt_text_free(&out);
  bt_names_free(names, n);
  bt_ledger_close(ledger);
  return result;
}

/* ---- One typed in ---------------------------------------------------------------------------- */

static bool read_kind(int n, char **words, bt_event_kind *kind) {
  const char *keys[BT_EVENT_COUNT];
  char kinds[BT_EVENT_KEYS_TEXT];
  if (n == 1 && bt_event_kind_of(words[0], kind))
    return true;
  for (int k = 0; k < BT_EVENT_COUNT; k++)
    keys[k] = bt_event_key((bt_event_kind)k);
  const char *nearest = n == 1 ? cli_nearest(words[0], keys, BT_EVENT_COUNT) : "";
  if (*nearest != '\0')
    cli_say("there is no kind of event \"%s\"; did you mean \"%s\"?", words[0], nearest);
  else
    cli_say("event needs one kind: %s", bt_event_keys(" or ", kinds));
  return false;
}

/* Whether the ledger has one of that time and kind. Asked before the event is stored: what fails
 * after that would look as if nothing had been. */
static bt_status find_others(bt_ledger *ledger, const bt_event *event, bool *others,
                             bt_error *error) {
  bt_history history = {0};
  size_t n = 0;
  bt_status status = bt_ledger_history(ledger, event->unit, INT64_MAX, &history, error);
  if (status == BT_NOTFOUND) /* of a unit that is new, or of none: storing it says so */
    return BT_OK;
  for (size_t e = 0; e < history.events_n; e++)
    n += history.events[e].time == event->time && history.events[e].kind == event->kind;
  *others = n > 0;
  bt_history_free(&history);
  return status;
}

static cli_exit note(const cli_context *cli, bt_event *event, const event_options *options) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bool known = false, others = false;
  char day[BT_TIME_TEXT];
  char *words = options->note == NULL ? NULL : bt_copy(options->note);
  bt_status status =
      options->note != NULL && words == NULL
          ? bt_fail_memory(&error)
          : cli_open(cli, options->new_unit ? BT_LEDGER_CREATE : BT_LEDGER_WRITE, &ledger, &error);
  event->note = words == NULL ? NULL : bt_typed_text(words);
  if (status == BT_OK)
    status = find_others(ledger, event, &others, &error);
  if (status == BT_OK)
    status = bt_ledger_add_event(ledger, event, options->new_unit, options->by, cli->now, &known,
                                 &error);
  bt_ledger_close(ledger);
  event->note = NULL;
  free(words);
  if (status != BT_OK)
    return cli_error(&error);
  if (!cli->quiet)
    cli_tell("%s: %s %s\n", event->unit, bt_event_words(event->kind),
             known    ? "is in the ledger already; nothing added"
             : others ? "noted as a further note of one that the ledger has; both count as one"
                      : "noted");
  if (!cli->quiet && !known && !event->has_clock)
    cli_say(
        "without a time of day it counts as before that day's checks; where it was after them, "
        "give the time, as in `--at %sT14:30` (`beamtally correct --event ID time=...` mends it)",
        bt_time_day_iso(event->time, day));
  return CLI_DONE;
}

cli_exit cli_event(cli_context *cli, int argc, char **argv) {
  event_options options = {0};
  const cli_option table[] = {
      {"unit", &options.unit, NULL, 0},
      {"at", &options.at, NULL, 0},
      {"by", &options.by, NULL, 0},
      {"note", &options.note, NULL, 0},
      {"new-unit", NULL, &options.new_unit, 0},
      {"list", NULL, &options.list, 0},
  };
  int first;
  bt_event event = {0};
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_event);
  if (options.list) {
    event_list list = {.one_kind = first < argc};
    if (options.at != NULL || options.by != NULL || options.note != NULL) {
      cli_say("--list shows the events and takes --unit and a kind alone");
      return CLI_USAGE;
    }
    return list.one_kind && !read_kind(argc - first, argv + first, &list.kind)
               ? CLI_USAGE
               : list_events(cli, options.unit, &list);
  }
  if (!cli_needs(cli, "unit", options.unit) || !cli_needs(cli, "at", options.at) ||
      !cli_needs(cli, "by", options.by) ||
      !cli_happened(cli, "at", options.at, &event.time, &event.has_clock) ||
      !read_kind(argc - first, argv + first, &event.kind))
    return CLI_USAGE;
  event.unit = options.unit;
  return note(cli, &event, &options);
}
