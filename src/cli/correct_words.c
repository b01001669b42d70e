/* What correct reads and says, of checks and of events. */
#include "correct.h"

#include <string.h>

bt_status correct_time(const cli_context *cli, const char *text, bt_time *time, bool *has_clock,
                       bt_error *error) {
  if (!cli_time(text, time, has_clock)) {
    bt_text meant = {0};
    cli_add_meant_time(&meant, text);
    bt_status status = bt_fail(
        error, BT_USAGE, "time is \"%s\"; a time is written like 2026-09-30T08:05 or 2026-09-30%s",
        text, bt_text_get(&meant));
    bt_text_free(&meant);
    return status;
  }
  const char *unlikely = cli_unlikely(cli, *time);
  return unlikely == NULL ? BT_OK
                          : bt_fail(error, BT_USAGE, "time is %s, which is %s", text, unlikely);
}

const char *correct_value(const char *word, const char *key) {
  size_t length = strlen(key);
  return strncmp(word, key, length) == 0 && word[length] == '=' ? word + length + 1 : NULL;
}

void correct_say_removal(const bt_text_holders *further, bt_text *effect) {
  bt_text_add(effect,
              "This text goes for good, in whatever field it stands, and with it that of what the\n"
              "record was before and of rows held back at its time; the ledger's digests stay\n"
              "true without it. Backups, exports and the log file itself still hold it.\n");
  if (further->checks + further->events + further->past == 0)
    return;
  bt_text_add(effect, "IT GOES FROM ");
  bt_say_text_holders(further, effect);
  bt_text_add(effect, " AS WELL.\n");
}

cli_exit correct_print_removed(const cli_context *cli, const bt_text_holders *further) {
  bt_text said = {0};
  bt_text_add(&said, "removed");
  if (further->checks + further->events + further->past > 0) {
    bt_text_add(&said, ", from ");
    bt_say_text_holders(further, &said);
    bt_text_add(&said, " too");
  }
  bt_text_add(&said, "\n");
  cli_exit result = cli->quiet ? CLI_DONE : cli_print_text(&said);
  bt_text_free(&said);
  return result;
}
