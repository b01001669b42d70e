/* What a signal that ends the program leaves: nothing half made. The libraries that draw start
 * threads, and the system may choose any thread to hear a signal, while only the first may look
 * through what is on its way: another hands the signal on to it. */
#include "ended.h"

#include "cli.h"

#include <pthread.h>
#include <signal.h>
#include <string.h>
#include <unistd.h>

static const int ends[] = {SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGXCPU};
static const int faults[] = {SIGABRT, SIGTRAP}; /* GLib gives up by the second */
static pthread_t first;
static volatile sig_atomic_t waits, asked;

void cli_ended_by(int which) {
  struct sigaction usual = {.sa_handler = SIG_DFL};
  bt_passing_remove();
  (void)sigemptyset(&usual.sa_mask);
  (void)sigaction(which, &usual, NULL);
  (void)raise(which); /* a handler hears it when it returns */
}

/* True in the first thread, which may go on. */
static bool is_first(int which) {
  if (pthread_equal(pthread_self(), first) != 0)
    return true;
  (void)pthread_kill(first, which);
  return false;
}

static void hear_end(int which) {
  if (!is_first(which))
    return;
  if (waits == 0 || asked != 0)
    cli_ended_by(which);
  asked = which;
}

void cli_ended_wait(void) {
  waits = 1;
}

void cli_ended_go_on(void) {
  waits = 0;
  if (asked != 0)
    cli_ended_by(asked);
}

/* Nothing may be allocated any more: the words stand ready. */
static void hear_fault(int which) {
  static const char words[] =
      "beamtally: it had to end: a library that it uses gave up, most likely for want of memory; "
      "nothing half made is left, and what was stored before stands: close other programs and try "
      "again\n";
  if (!is_first(which))
    for (;;)
      (void)pause(); /* a thread that gave up must not go on */
  bt_passing_remove();
  size_t left = strlen(words);
  for (const char *at = words; left > 0;) {
    ssize_t told = write(STDERR_FILENO, at, left);
    if (told <= 0)
      break; /* nobody is there to be told */
    at += told;
    left -= (size_t)told;
  }
  _exit(CLI_FAILED);
}

static void listen_to(const int *signals, size_t n, void (*handler)(int)) {
  for (size_t i = 0; i < n; i++) {
    struct sigaction before, handle = {.sa_handler = handler};
    (void)sigfillset(&handle.sa_mask);
    if (sigaction(signals[i], NULL, &before) == 0 && before.sa_handler == SIG_DFL)
      (void)sigaction(signals[i], &handle, NULL);
  }
}

void cli_ended_begin(void) {
  first = pthread_self();
  listen_to(ends, sizeof ends / sizeof *ends, hear_end);
  listen_to(faults, sizeof faults / sizeof *faults, hear_fault);
}
