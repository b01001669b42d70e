/* What a person types of a check: KEY=VALUE, each key once. */
#include "cli.h"

#include <string.h>

/* The key of word i was given before, too: which of the two is meant? */
static bool is_repeated(char **words, int i) {
  size_t length = strcspn(words[i], "=");
  for (int k = 0; k < i; k++)
    if (strcspn(words[k], "=") == length && strncmp(words[k], words[i], length) == 0)
      return true;
  return false;
}

bt_status cli_put_all(bt_check *check, const bt_settings *settings, char **words, int n,
                      bt_error *error) {
  bt_status status = BT_OK;
  for (int i = 0; i < n && status == BT_OK; i++) {
    status = is_repeated(words, i)
                 ? bt_fail(error, BT_USAGE, "%.*s is given twice; give it once",
                           (int)strcspn(words[i], "="), words[i])
                 : bt_check_put(check, words[i], settings->own, settings->own_n, error);
    if (status == BT_INPUT) /* typed on the command line: wrong usage */
      status = error->status = BT_USAGE;
  }
  return status;
}
