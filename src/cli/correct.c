/* correct: another record in the place of one that is wrong, or none, or a text removed for good.
 * What is about to happen is shown, and asked about, before it does. */
#include "correct.h"
#include "help.h"

#include <stdlib.h>
#include <string.h>

/* "2026-09-30T08:05#1" */
static bool read_at(const char *text, correct_request *request) {
  char time[BT_TIME_TEXT] = "";
  const char *mark = strchr(text, '#');
  size_t length = mark == NULL ? strlen(text) : (size_t)(mark - text);
  bool good = length < sizeof time;
  if (good) {
    memcpy(time, text, length);
    time[length] = '\0';
    good = cli_time(time, &request->time, &request->has_clock);
  }
  if (good && mark != NULL) {
    size_t digits = strspn(mark + 1, "0123456789");
    good = digits > 0 && digits < 7 && mark[1 + digits] == '\0';
    request->has_sequence = true;
    request->sequence = good ? (int32_t)strtol(mark + 1, NULL, 10) : 0;
  }
  if (good)
    return true;
  bt_text meant = {0}, time_alone = {0};
  bt_text_add_bytes(&time_alone, text, length);
  cli_add_meant_time(&meant, bt_text_get(&time_alone));
  cli_say("--at is \"%s\"; a check is named by its time, 2026-09-30T08:05, with #1 behind it for "
          "the second one of that time%s",
          text, bt_text_get(&meant));
  bt_text_free(&meant);
  bt_text_free(&time_alone);
  return false;
}

static bool read_event(const char *text, int64_t *number) {
  size_t digits = strspn(text, "0123456789");
  *number = digits > 0 && digits < 19 && text[digits] == '\0' ? strtoll(text, NULL, 10) : 0;
  if (*number > 0)
    return true;
  cli_say("--event is \"%s\"; it is a number, as `beamtally event --list` shows it", text);
  return false;
}

/* What is to be done must be one thing, and of one record. */
static bool is_one_thing(const correct_request *request, const char *unit, const char *event) {
  if ((unit == NULL) == (event == NULL)) {
    cli_say("correct needs the record: --unit and --at of a check, or --event ID; see `beamtally "
            "correct --help`");
    return false;
  }
  if (request->withdraw && request->redact) {
    cli_say("--withdraw and --redact are two things; do one after the other");
    return false;
  }
  if (request->withdraw && request->words_n > 0) {
    cli_say("--withdraw takes the whole record back; leave out \"%s\", or --withdraw",
            request->words[0]);
    return false;
  }
  if (request->redact && request->words_n > 1) {
    cli_say("--redact removes one text at a time");
    return false;
  }
  if (request->everywhere && !request->redact) {
    cli_say(
        "--everywhere is about a text that is removed (--redact); a correction is of one record");
    return false;
  }
  if (!request->withdraw && !request->redact && request->words_n == 0) {
    cli_say("correct needs what is right, such as energy_mj=1.602, or --withdraw, or --redact");
    return false;
  }
  return true;
}

cli_exit cli_correct(cli_context *cli, int argc, char **argv) {
  const char *at = NULL, *event = NULL;
  correct_request request = {0};
  const cli_option table[] = {
      {"unit", &request.unit, NULL, 0},     {"at", &at, NULL, 0},
      {"event", &event, NULL, 0},           {"by", &request.by, NULL, 0},
      {"why", &request.why, NULL, 0},       {"withdraw", NULL, &request.withdraw, 0},
      {"redact", NULL, &request.redact, 0}, {"everywhere", NULL, &request.everywhere, 0},
  };
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_correct);
  request.words = argv + first;
  request.words_n = argc - first;
  if (!is_one_thing(&request, request.unit, event) ||
      (event == NULL && (!cli_needs(cli, "at", at) || !read_at(at, &request))) ||
      (event != NULL && !read_event(event, &request.event)) || !cli_needs(cli, "by", request.by) ||
      !cli_needs(cli, "why", request.why))
    return CLI_USAGE;

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  cli_exit result = CLI_DONE;
  bt_status status = cli_open(cli, BT_LEDGER_WRITE, &ledger, &error);
  if (status == BT_OK)
    status = event == NULL ? correct_check(cli, ledger, &request, &result, &error)
                           : correct_event(cli, ledger, &request, &result, &error);
  bt_ledger_close(ledger);
  return status == BT_OK ? result : cli_error(&error);
}
