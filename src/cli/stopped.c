/* What is said where a signal ends the program while a file is imported. The ledger needs no help:
 * its journal takes half an import back. The sentences are made before, since a handler may only
 * write. */
#include "cli.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { SIGNALS = 3 };
static const int ends[SIGNALS] = {SIGHUP, SIGINT, SIGTERM};
static struct sigaction before[SIGNALS];
static char *sentence[2]; /* while it is read, and while it is stored */
static volatile sig_atomic_t storing;

static void say_and_end(int which) {
  const char *said = sentence[storing != 0];
  if (said != NULL && write(STDERR_FILENO, said, strlen(said)) < 0)
    storing = 0;      /* nobody is there to be told */
  (void)raise(which); /* its handler is the usual one again: it ends the program */
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
  storing = 0;
  for (size_t i = 0; i < SIGNALS; i++) {
    struct sigaction handle = {.sa_handler = say_and_end, .sa_flags = (int)SA_RESETHAND};
    (void)sigemptyset(&handle.sa_mask);
    if (sigaction(ends[i], NULL, &before[i]) == 0 && before[i].sa_handler == SIG_DFL)
      (void)sigaction(ends[i], &handle, NULL);
  }
}

void cli_stopped_storing(void) {
  storing = 1;
}

void cli_stopped_end(void) {
  for (size_t i = 0; i < SIGNALS; i++)
    (void)sigaction(ends[i], &before[i], NULL);
  for (size_t i = 0; i < 2; i++) {
    char *made = sentence[i];
    sentence[i] = NULL;
    free(made);
  }
}
