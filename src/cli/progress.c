/* How far a long command is, on a terminal alone: nothing in the first second, then one line that
 * is written over, and taken away at the end. */
#include "cli.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

enum { BAR = 30, AFTER_MS = 1000, EVERY_MS = 100 };

static long long now_ms(void) {
  struct timespec now;
  if (clock_gettime(CLOCK_MONOTONIC, &now) != 0)
    return 0;
  return (long long)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

cli_progress cli_progress_begin(const cli_context *cli, const char *what) {
  return (cli_progress){
      .what = what, .on = !cli->quiet && isatty(STDERR_FILENO) != 0, .begun = now_ms()};
}

/* Whether the line is to be written now. */
static bool is_due(cli_progress *progress) {
  long long now = progress->on ? now_ms() : 0;
  if (!progress->on || now - progress->begun < AFTER_MS || now - progress->last < EVERY_MS)
    return false;
  progress->last = now;
  return progress->shown = true;
}

void cli_progress_show(cli_progress *progress, size_t done, size_t total) {
  if (total == 0 || !is_due(progress))
    return;
  if (done > total)
    done = total;
  char bar[BAR + 1];
  for (size_t i = 0; i < BAR; i++)
    bar[i] = i * total < done * BAR ? '#' : '.';
  bar[BAR] = '\0';
  (void)fprintf(stderr, "\r%s [%s] %zu of %zu ", progress->what, bar, done, total);
}

void cli_progress_tick(void *context) {
  cli_progress *progress = context;
  if (is_due(progress))
    (void)fprintf(stderr, "\r%s ... %lld s ", progress->what,
                  (progress->last - progress->begun) / 1000);
}

void cli_progress_clear(cli_progress *progress) {
  if (progress->shown)
    (void)fputs("\r\033[K", stderr);
  progress->shown = false;
}
