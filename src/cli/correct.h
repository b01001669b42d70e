/* What correct's files share. */
#ifndef CLI_CORRECT_H
#define CLI_CORRECT_H

#include "cli.h"

/* What is asked for. */
typedef struct correct_request {
  const char *unit, *by, *why;
  bt_time time; /* of the check */
  bool has_clock, has_sequence;
  int32_t sequence;
  int64_t event; /* number of the event; 0: a check is meant */
  bool withdraw, redact, everywhere;
  char **words; /* KEY=VALUE, or the field whose text is to go */
  int words_n;
} correct_request;

/* The value of "key=value"; NULL when the word is of another key. */
const char *correct_value(const char *word, const char *key);

/* A time that a record is to have. */
bt_status correct_time(const cli_context *cli, const char *text, bt_time *time, bool *has_clock,
                       bt_error *error) BT_MUST_CHECK;

/* What becomes of a text that is removed, and of `further` records that say the same. */
void correct_say_removal(const bt_text_holders *further, bt_text *effect);
cli_exit correct_print_removed(const cli_context *cli, const bt_text_holders *further);

/* Each shows what it will do, asks, and does it. *result where the status is BT_OK. */
bt_status correct_check(const cli_context *cli, bt_ledger *ledger, const correct_request *request,
                        cli_exit *result, bt_error *error) BT_MUST_CHECK;
bt_status correct_event(const cli_context *cli, bt_ledger *ledger, const correct_request *request,
                        cli_exit *result, bt_error *error) BT_MUST_CHECK;

#endif
