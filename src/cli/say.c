/* Words on stderr, data on stdout. */
#include "cli.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void cli_say(const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  (void)fputs("beamtally: ", stderr);
  (void)vfprintf(stderr, format, arguments);
  (void)fputc('\n', stderr);
  va_end(arguments);
}

cli_exit cli_error(const bt_error *error) {
  cli_say("%s", error->text);
  return error->status == BT_USAGE ? CLI_USAGE : CLI_FAILED;
}

const char *cli_nearest(const char *typed, const char *const *names, size_t n) {
  const char *nearest = "";
  size_t least = SIZE_MAX;
  for (size_t i = 0; i < n; i++) {
    size_t distance = bt_name_distance(typed, names[i]);
    if (distance < least) {
      least = distance;
      nearest = names[i];
    }
  }
  /* A guess that would change more than a third of the word is no help. */
  return least <= 1 + strlen(typed) / 3 ? nearest : "";
}

cli_exit cli_print(const char *text) {
  if (fputs(text, stdout) >= 0 && fflush(stdout) == 0)
    return CLI_DONE;
  cli_say("the output could not be written; is the disk full?");
  return CLI_FAILED;
}
