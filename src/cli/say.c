/* Words on stderr, data on stdout. */
#include "cli.h"

#include <errno.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

bool cli_reader_is_gone(void) {
  struct pollfd out = {.fd = STDOUT_FILENO, .events = POLLOUT};
  return ferror(stdout) != 0 && poll(&out, 1, 0) == 1 && (out.revents & POLLERR) != 0;
}

cli_exit cli_error(const bt_error *error) {
  /* Who piped into `head` knows. */
  if (strstr(error->text, "the output could not be written") != NULL && cli_reader_is_gone())
    return CLI_FAILED;
  cli_say("%s", error->text);
  return error->status == BT_USAGE ? CLI_USAGE : CLI_FAILED;
}

/* "refill" stands in "gas_refill" and in no other name; "" where none or several have it. */
static const char *only_with(const char *typed, const char *const *names, size_t n) {
  enum { SHORTEST = 4 };
  const char *only = "";
  for (size_t i = 0; i < n && strlen(typed) >= SHORTEST; i++) {
    if (strstr(names[i], typed) == NULL)
      continue;
    if (*only != '\0')
      return "";
    only = names[i];
  }
  return only;
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
  return least <= 1 + strlen(typed) / 3 ? nearest : only_with(typed, names, n);
}

void cli_say_lost(void) {
  if (errno != EPIPE)
    cli_say("the output could not be written; is the disk full? What was stored or made before it "
            "stands");
}

static cli_exit printed(bool written) {
  if (written && fflush(stdout) == 0)
    return CLI_DONE;
  cli_say_lost();
  return CLI_FAILED;
}

cli_exit cli_print(const char *text) {
  return printed(fputs(text, stdout) >= 0);
}

/* What the text was to tell of may have been stored: it must not sound as if nothing was done. */
static cli_exit print_by(const bt_text *text, bool (*write)(const char *, FILE *)) {
  if (bt_text_ok(text))
    return printed(write(bt_text_get(text), stdout));
  cli_say("the output could not be written: there is not enough memory; close other programs");
  return CLI_FAILED;
}

cli_exit cli_print_text(const bt_text *text) {
  return print_by(text, cli_put_seen);
}

cli_exit cli_print_screen(const bt_text *text) {
  return print_by(text, cli_put_screen);
}
