/* Correcting an event. */
#include "correct.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bt_status no_kind(const char *value, bt_error *error) {
  char kinds[BT_EVENT_KEYS_TEXT];
  return bt_fail(error, BT_USAGE, "there is no kind of event \"%s\"; there are %s", value,
                 bt_event_keys(" and ", kinds));
}

/* Puts one KEY=VALUE into the event, which borrows. *unit is owned, and NULL at first. */
static bt_status put_word(const cli_context *cli, bt_ledger *ledger, char *word, bt_event *event,
                          char **unit, bt_error *error) {
  const char *value;
  if ((value = correct_value(word, "time")) != NULL)
    return correct_time(cli, value, &event->time, &event->has_clock, error);
  if ((value = correct_value(word, "kind")) != NULL)
    return bt_event_kind_of(value, &event->kind) ? BT_OK : no_kind(value, error);
  if ((value = correct_value(word, "note")) != NULL) {
    event->note = bt_typed_text(word + (value - word));
    return BT_OK;
  }
  if ((value = correct_value(word, "unit")) != NULL && *unit == NULL) {
    bt_status status = bt_ledger_find_unit(ledger, value, unit, error);
    if (status == BT_OK)
      event->unit = *unit;
    return status;
  }
  return bt_fail(error, BT_USAGE,
                 "\"%s\": what can be corrected of an event is time=, kind=, note= and unit=, each "
                 "once",
                 word);
}

static void add_head(const bt_event *stored, bt_text *effect) {
  cli_describe_place(effect, stored->unit, stored->time, stored->has_clock);
  bt_text_add(effect, ": ");
  cli_describe_event(effect, stored);
  bt_text_add(effect, "\n");
}

/* Only finds out, and shows, how far the removal reaches. */
static bt_status add_removal(const cli_context *cli, bt_ledger *ledger,
                             const correct_request *request, bt_text_holders *further,
                             bt_text *effect, bt_error *error) {
  const bt_removal how = {.only_count = true, .everywhere = request->everywhere};
  if (request->words_n > 0 && strcmp(request->words[0], "note") != 0)
    return bt_fail(error, BT_USAGE, "\"%s\" is no text of an event; it has a note",
                   request->words[0]);
  bt_status status = bt_ledger_redact_event(ledger, request->event, request->by, request->why,
                                            cli->now, how, further, error);
  if (status == BT_OK)
    correct_say_removal(further, effect);
  return status;
}

static bt_status add_effect(const correct_request *request, const bt_event *stored,
                            const bt_event *wanted, bt_text *effect, bt_error *error) {
  if (request->withdraw)
    bt_text_add(effect,
                "The event leaves every chart and fill age; the record is kept, withdrawn, with\n"
                "your name and reason.\n");
  else if (cli_describe_event_changes(effect, stored, wanted) == 0)
    return !bt_text_ok(effect)
               ? bt_fail_memory(error)
               : bt_fail(error, BT_USAGE, "the event says just that: nothing would change");
  else
    bt_text_add(effect,
                "The record as it stands is kept, superseded, with your name and reason.\n");
  return BT_OK;
}

static bt_status change(const cli_context *cli, bt_ledger *ledger, const correct_request *request,
                        const bt_event *wanted, bt_text_holders *further, bt_error *error) {
  if (request->redact)
    return bt_ledger_redact_event(ledger, request->event, request->by, request->why, cli->now,
                                  (bt_removal){.everywhere = request->everywhere}, further, error);
  return bt_ledger_correct_event(ledger, request->event, request->withdraw ? NULL : wanted,
                                 request->by, request->why, cli->now, error);
}

bt_status correct_event(const cli_context *cli, bt_ledger *ledger, const correct_request *request,
                        cli_exit *result, bt_error *error) {
  bt_event stored = {0};
  char *unit = NULL;
  bt_text effect = {0};
  bt_text_holders further = {0};
  bt_status status = bt_ledger_find_event(ledger, request->event, &stored, error);
  /* A name must be removable from an event that no longer stands as well: the ledger knows it. */
  bool past = request->redact && status == BT_REFUSED;
  if (past)
    status = BT_OK;
  bt_event wanted = stored; /* borrows */
  bool replace = !request->redact && !request->withdraw;
  for (int i = 0; replace && i < request->words_n && status == BT_OK; i++)
    status = put_word(cli, ledger, request->words[i], &wanted, &unit, error);
  if (status == BT_OK) {
    if (past)
      bt_text_format(&effect, "event %lld, which no longer stands\n", (long long)request->event);
    else
      add_head(&stored, &effect);
    status = request->redact ? add_removal(cli, ledger, request, &further, &effect, error)
                             : add_effect(request, &stored, &wanted, &effect, error);
  }
  if (status == BT_OK) {
    *result = cli_print_text(&effect);
    if (*result == CLI_DONE)
      *result = cli_confirm(cli);
  }
  if (status == BT_OK && *result == CLI_DONE) {
    status = change(cli, ledger, request, &wanted, &further, error);
    if (status == BT_OK && request->redact)
      *result = correct_print_removed(cli, &further);
    else if (status == BT_OK && !cli->quiet)
      *result = cli_print(request->withdraw ? "withdrawn\n" : "corrected\n");
  }
  bt_text_free(&effect);
  bt_event_free(&stored);
  free(unit);
  return status;
}
