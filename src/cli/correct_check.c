/* Correcting a check. */
#include "correct.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A check that is found in the ledger, and what is to stand in its place. */
typedef struct correction {
  const correct_request *request;
  bt_check stored, wanted; /* each owns what it holds */
  char *unit;              /* of the wanted one, where another was asked for */
} correction;

/* Splits what moves the check (time, unit) from what bt_check_put knows. */
static bt_status put_words(const cli_context *cli, bt_ledger *ledger, correction *of,
                           bt_error *error) {
  const correct_request *request = of->request;
  bt_settings settings = {0};
  char **left = bt_new((size_t)request->words_n, sizeof *left);
  int left_n = 0;
  bt_status status =
      left == NULL ? bt_fail_memory(error) : bt_ledger_settings(ledger, &settings, error);
  for (int i = 0; i < request->words_n && status == BT_OK; i++) {
    char *word = request->words[i];
    const char *time = correct_value(word, "time"), *unit = correct_value(word, "unit");
    if (time != NULL)
      status = correct_time(cli, time, &of->wanted.time, &of->wanted.has_clock, error);
    else if (unit != NULL && of->unit == NULL)
      status = bt_ledger_find_unit(ledger, unit, &of->unit, error);
    else
      left[left_n++] = word;
  }
  if (status == BT_OK)
    status = cli_put_all(&of->wanted, &settings, left, left_n, error);
  free(left);
  bt_settings_free(&settings);
  return status;
}

/* Limits don't move with a check that lies in a baseline; whoever corrects it must know. */
static bt_status add_baselines(bt_ledger *ledger, const char *unit, bt_time time, bt_text *out,
                               bt_error *error) {
  bt_settings settings = {0};
  bt_status status = bt_ledger_settings(ledger, &settings, error);
  int n = (int)BT_CHARACTERISTIC_COUNT + (int)settings.own_n;
  for (int c = 0; c < n && status == BT_OK; c++) {
    bt_baseline *baselines = NULL;
    size_t count = 0;
    if (bt_settings_hide(&settings, (bt_characteristic)c))
      continue;
    status = bt_ledger_baselines(ledger, unit, (bt_characteristic)c, INT64_MAX, &baselines, &count,
                                 error);
    for (size_t i = 0; i < count; i++) {
      if (time >= baselines[i].from && time < baselines[i].to + BT_DAY)
        bt_text_format(out, "It lies in baseline %lld of %s, whose limits stay as they are.\n",
                       (long long)baselines[i].version,
                       bt_settings_quantity(&settings, (bt_characteristic)c).key);
      bt_baseline_free(&baselines[i]);
    }
    free(baselines);
  }
  bt_settings_free(&settings);
  return status;
}

/* Shows the effect and asks. */
static bt_status ask(const cli_context *cli, bt_ledger *ledger, const correction *of,
                     bt_text *effect, cli_exit *result, bt_error *error) {
  bt_status status = BT_OK;
  if (!of->request->redact)
    status = add_baselines(ledger, of->stored.unit, of->stored.time, effect, error);
  if (status != BT_OK)
    return status;
  *result = cli_print_text(effect);
  if (*result == CLI_DONE)
    *result = cli_confirm(cli);
  return BT_OK;
}

static void add_head(const correction *of, bt_text *effect) {
  cli_describe_place(effect, of->stored.unit, of->stored.time, of->stored.has_clock);
  if (of->stored.sequence > 0)
    bt_text_format(effect, "#%d", (int)of->stored.sequence);
  bt_text_add(effect, "\n");
}

static bt_status replace(const cli_context *cli, bt_ledger *ledger, correction *of, bt_text *effect,
                         cli_exit *result, bt_error *error) {
  const correct_request *request = of->request;
  bt_status status = put_words(cli, ledger, of, error);
  if (status != BT_OK)
    return status;
  bt_check wanted = of->wanted; /* borrows: another unit may stand in it */
  if (of->unit != NULL)
    wanted.unit = of->unit;
  if (cli_describe_check_changes(effect, &of->stored, &wanted) == 0)
    return !bt_text_ok(effect)
               ? bt_fail_memory(error)
               : bt_fail(error, BT_USAGE, "the check holds just that: nothing would change");
  bt_text_add(effect, "The record as it stands is kept, superseded, with your name and reason.\n");
  status = ask(cli, ledger, of, effect, result, error);
  if (status == BT_OK && *result == CLI_DONE)
    status = bt_ledger_correct_check(ledger, of->stored.unit, of->stored.time, of->stored.sequence,
                                     &wanted, request->by, request->why, cli->now, error);
  if (status == BT_OK && *result == CLI_DONE && !cli->quiet)
    *result = cli_print("corrected\n");
  return status;
}

static bt_status withdraw(const cli_context *cli, bt_ledger *ledger, const correction *of,
                          bt_text *effect, cli_exit *result, bt_error *error) {
  const correct_request *request = of->request;
  bt_text_add(effect, "  ");
  cli_describe_check(effect, &of->stored);
  bt_text_add(effect,
              "\nThe check leaves every chart and count; the record is kept, withdrawn, with\n"
              "your name and reason.\n");
  bt_status status = ask(cli, ledger, of, effect, result, error);
  if (status == BT_OK && *result == CLI_DONE)
    status = bt_ledger_correct_check(ledger, of->stored.unit, of->stored.time, of->stored.sequence,
                                     NULL, request->by, request->why, cli->now, error);
  if (status == BT_OK && *result == CLI_DONE && !cli->quiet)
    *result = cli_print("withdrawn\n");
  return status;
}

static bt_status text_field(const char *name, bt_text_field *field, bt_error *error) {
  const char *keys[BT_FIELD_COUNT];
  if (bt_text_field_of(name, field))
    return BT_OK;
  bt_text list = {0};
  for (int f = 0; f < BT_FIELD_COUNT; f++) {
    keys[f] = bt_text_field_key((bt_text_field)f);
    bt_text_format(&list, "%s%s", f == 0 ? "" : ", ", keys[f]);
  }
  const char *nearest = cli_nearest(name, keys, BT_FIELD_COUNT);
  bt_status status = bt_fail(error, BT_USAGE, "\"%s\" is no text of a check; %s%s", name,
                             *nearest != '\0' ? "did you mean " : "there are ",
                             *nearest != '\0' ? nearest : bt_text_get(&list));
  bt_text_free(&list);
  return status;
}

static bt_status redact(const cli_context *cli, bt_ledger *ledger, const correction *of,
                        bt_text *effect, cli_exit *result, bt_error *error) {
  const correct_request *request = of->request;
  bt_text_field field = BT_FIELD_REMARK;
  bt_text_holders further = {0};
  bt_removal how = {.only_count = true, .everywhere = request->everywhere};
  bt_status status = request->words_n == 0 ? BT_OK : text_field(request->words[0], &field, error);
  if (status == BT_OK)
    status =
        bt_ledger_redact_check(ledger, of->stored.unit, of->stored.time, of->stored.sequence, field,
                               request->by, request->why, cli->now, how, &further, error);
  if (status != BT_OK)
    return status;
  bt_text_format(effect, "  %s", bt_text_field_key(field));
  if (of->stored.text[field] != NULL) {
    bt_text_add(effect, ": ");
    (void)cli_plain(effect, of->stored.text[field], SIZE_MAX);
  }
  bt_text_add(effect, "\n");
  correct_say_removal(&further, effect);
  status = ask(cli, ledger, of, effect, result, error);
  how.only_count = false;
  if (status == BT_OK && *result == CLI_DONE)
    status =
        bt_ledger_redact_check(ledger, of->stored.unit, of->stored.time, of->stored.sequence, field,
                               request->by, request->why, cli->now, how, &further, error);
  if (status == BT_OK && *result == CLI_DONE)
    *result = correct_print_removed(cli, &further);
  return status;
}

static bt_status name_past_check(const correct_request *request, const char *unit, bt_check *named,
                                 bt_error *error) {
  *named = (bt_check){.unit = bt_copy(unit),
                      .time = request->time,
                      .has_clock = request->has_clock,
                      .sequence = request->has_sequence ? request->sequence : 0};
  return named->unit == NULL ? bt_fail_memory(error) : BT_OK;
}

bt_status correct_check(const cli_context *cli, bt_ledger *ledger, const correct_request *request,
                        cli_exit *result, bt_error *error) {
  correction of = {.request = request};
  char *unit = NULL;
  bt_text effect = {0};
  bt_time time = request->time;
  bt_status status = bt_ledger_find_unit(ledger, request->unit, &unit, error);
  if (status == BT_OK && !request->has_clock)
    status = bt_ledger_time_on_day(ledger, unit, &time, error);
  if (status == BT_OK)
    status = bt_ledger_find_check(ledger, unit, time, request->has_sequence, request->sequence,
                                  &of.stored, error);
  /* A name must be removable from a record that no longer stands as well: the ledger knows it. */
  if (request->redact && (status == BT_REFUSED || status == BT_NOTFOUND) && unit != NULL)
    status = name_past_check(request, unit, &of.stored, error);
  else if (status == BT_OK)
    status = bt_ledger_find_check(ledger, unit, of.stored.time, true, of.stored.sequence,
                                  &of.wanted, error);
  if (status == BT_OK)
    add_head(&of, &effect);
  if (status == BT_OK && request->redact)
    status = redact(cli, ledger, &of, &effect, result, error);
  else if (status == BT_OK && request->withdraw)
    status = withdraw(cli, ledger, &of, &effect, result, error);
  else if (status == BT_OK)
    status = replace(cli, ledger, &of, &effect, result, error);
  bt_text_free(&effect);
  bt_check_free(&of.stored);
  bt_check_free(&of.wanted);
  free(of.unit);
  free(unit);
  return status;
}
