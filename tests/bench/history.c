/* Reads one unit's history from a ledger, and prints how many checks it has and the seconds that
 * the reading took (processor time, median of REPEATS).
 *
 *   bench_history LEDGER UNIT */
#include "beamtally/ledger.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { REPEATS = 5 };

static double now(void) {
  struct timespec at;
  (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
  return (double)at.tv_sec + 1e-9 * (double)at.tv_nsec;
}

static int by_size(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

int main(int argc, char **argv) {
  bt_ledger *ledger = NULL;
  bt_error error;
  double seconds[REPEATS];
  size_t checks = 0;
  if (argc != 3) {
    fputs("usage: bench_history LEDGER UNIT\n", stderr);
    return 2;
  }
  bt_status status = bt_ledger_open(argv[1], BT_LEDGER_READ, &ledger, &error);
  for (int r = 0; r < REPEATS && status == BT_OK; r++) {
    bt_history history = {0};
    double from = now();
    status = bt_ledger_history(ledger, argv[2], INT64_MAX, &history, &error);
    seconds[r] = now() - from;
    checks = history.n;
    bt_history_free(&history);
  }
  bt_ledger_close(ledger);
  if (status != BT_OK) {
    fprintf(stderr, "bench_history: %s\n", error.text);
    return 1;
  }
  qsort(seconds, REPEATS, sizeof seconds[0], by_size);
  printf("%zu\t%.6f\n", checks, seconds[REPEATS / 2]);
  return 0;
}
