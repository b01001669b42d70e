/* Writes the demo clinic's logs: invented readings of two invented lasers over 18 months.
 *
 *   make_demo_logs [--seed N] FOLDER
 *
 * The tables of demo_tables.c say what happens, truth.csv what was built in. The same seed gives
 * the same bytes; the files beside this program were made with seed 7. */
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "demo.h"

static oddity oddity_of(int which, int64_t day) {
  for (size_t i = 0; i < mornings_n; i++)
    if (mornings[i].suite == which && day_of(mornings[i].day) == day)
      return mornings[i].oddity;
  return NOTHING;
}

/* Writes what was done on that day; true when a bottle was changed. */
static bool write_deeds(demo_files *files, int which, int64_t day) {
  bool bottle = false;
  for (size_t i = 0; i < deeds_n; i++) {
    if (deeds[i].suite != which || day_of(deeds[i].day) != day)
      continue;
    write_event(files, which, day, deeds[i].time, deeds[i].event, deeds[i].note);
    bottle = bottle || strcmp(deeds[i].event, "gas_bottle") == 0;
  }
  return bottle;
}

/* The morning's check, and its retest where it asks for one. */
static void write_morning(demo_files *files, uint64_t seed, int which, int64_t day, int64_t fill,
                          const chance *c) {
  oddity odd = oddity_of(which, day);
  int minute = suites[which].minute + (int)lround(5.0 * c->minute);
  check r = read_laser(which, day, minute, fill, c);
  r.oddity = odd;
  if (odd == MISREADING)
    r.energy = r.target * misread_ratio;
  if (odd == SELFTEST)
    r.selftest_passed--;
  if (fill / 1440 == day && which == SOUTH)
    r.remark = "Gas gewechselt, gepr\xfc"
               "ft";
  write_check(files, which, &r);
  if (odd != MISREADING && odd != SELFTEST)
    return;
  chance again = chance_of(seed, which, day, 1);
  minute += odd == MISREADING ? MISREADING_RETEST : SELFTEST_RETEST;
  r = read_laser(which, day, minute, fill, &again);
  r.remark = odd == MISREADING ? "retest; meter head had not been seated"
                               : "retest after the cooling was vented";
  write_check(files, which, &r);
}

static void write_suite(demo_files *files, uint64_t seed, int which) {
  int64_t fill = 0, due = 0; /* last refill in minutes; day from which the next is due */
  for (int64_t day = day_of(FIRST_DAY); day <= day_of(LAST_DAY); day++) {
    chance c = chance_of(seed, which, day, 0);
    bool bottle = write_deeds(files, which, day);
    bool wanted = bottle || fill == 0 || oddity_of(which, day) != NOTHING;
    if (!is_open(day) || (c.missed < missed_share && !wanted))
      continue;
    if (bottle || day >= due) {
      int minute = suites[which].minute - 35 + (int)lround(2.0 * c.refill_minute);
      char time[16];
      snprintf(time, sizeof time, "%02d:%02d", minute / 60, minute % 60);
      write_event(files, which, day, time, "gas_refill", "");
      fill = day * 1440 + minute;
      due = day + suites[which].refill_days - (c.interval < 0.15) + (c.interval > 0.85);
    }
    write_morning(files, seed, which, day, fill, &c);
  }
}

int main(int argc, char **argv) {
  uint64_t seed = 7;
  char *end = NULL;
  if (argc == 4 && strcmp(argv[1], "--seed") == 0)
    seed = strtoull(argv[2], &end, 10);
  if (argc != 2 && (end == NULL || end == argv[2] || *end != '\0')) {
    fputs("usage: make_demo_logs [--seed N] FOLDER\n", stderr);
    return 2;
  }
  demo_files files = {0};
  const char *failed = NULL;
  if (!open_files(&files, argv[argc - 1], &failed)) {
    fprintf(stderr, "make_demo_logs: %s can't be opened in %s: %s\n", failed, argv[argc - 1],
            strerror(errno));
    return EXIT_FAILURE;
  }
  write_headers(&files);
  for (int which = 0; which < SUITES; which++)
    write_suite(&files, seed, which);
  write_truth(files.truth.file);
  if (!close_files(&files, &failed)) {
    fprintf(stderr, "make_demo_logs: %s was not written whole: make room and try again\n", failed);
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
