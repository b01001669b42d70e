/* What is said where a signal ends the program while a file is imported. A ledger that was there
 * needs no help: its journal takes half an import back. One that is being begun has to be taken
 * away first, so that the signal waits for that. The sentences are made before, since a handler may
 * only write. */
#include "stopped.h"

#include "ended.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { SIGNALS = 3 };
static const int ends[SIGNALS] = {SIGHUP, SIGINT, SIGTERM};
static struct sigaction before[SIGNALS];
static char *sentence[2]; /* while it is read, and while it is stored */
static volatile sig_atomic_t storing;
static volatile sig_atomic_t waits; /* a signal is only noted ... */
static volatile sig_atomic_t asked; /* ... here; the next one ends the program at once */

static void say_and_end(int which) {
  const char *said = sentence[storing != 0];
  if (said != NULL && write(STDERR_FILENO, said, strlen(said)) < 0)
    storing = 0; /* nobody is there to be told */
  cli_ended_by(which);
}

static void hear(int which) {
  if (waits == 0)
    say_and_end(which);
  else if (asked == 0)
    asked = which;
  else
    cli_ended_by(which);
}

void cli_stopped_begin(const char *path) {
  static const char *const words[2] = {
      "stopped; nothing of this file was stored",
      "stopped while it was stored, so it is in the ledger whole or not at all; import it again: "
      "of a file that is there nothing is added"};
  for (size_t i = 0; i < 2; i++) {
    bt_text text = {0};
    bt_text_format(&text, "%sbeamtally: ", isatty(STDERR_FILENO) ? "\n" : "");
    (void)cli_plain(&text, path, SIZE_MAX);
    bt_text_format(&text, ": %s\n", words[i]);
    sentence[i] = bt_text_take(&text);
  }
  storing = waits = asked = 0;
  for (size_t i = 0; i < SIGNALS; i++) {
    struct sigaction handle = {.sa_handler = hear};
    (void)sigfillset(&handle.sa_mask);
    if (sigaction(ends[i], NULL, &before[i]) == 0 && before[i].sa_handler != SIG_IGN)
      (void)sigaction(ends[i], &handle, NULL);
  }
}

void cli_stopped_storing(void) {
  storing = 1;
}

void cli_stopped_wait(void) {
  waits = 1;
}

bool cli_stopped_asked(void) {
  return asked != 0;
}

void cli_stopped_end(void) {
  for (size_t i = 0; i < SIGNALS; i++)
    (void)sigaction(ends[i], &before[i], NULL);
  if (asked != 0)
    say_and_end(asked);
  for (size_t i = 0; i < 2; i++) {
    char *made = sentence[i];
    sentence[i] = NULL;
    free(made);
  }
}
