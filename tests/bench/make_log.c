/* Writes a log for the benchmarks to standard output: invented readings, normal and without drift.
 *
 *   make_bench_log UNITS YEARS CHECKS_A_DAY SEED
 *
 * 10 columns, 250 days a year (5 of 7 days, 50 weeks), in order of time, units interleaved. The
 * last day is the same whatever the length: `status` then finds a current check. */
#include "beamtally/base.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <stdlib.h>

enum { DAYS_A_YEAR = 250, WEEKS_A_YEAR = 50, LAST_YEAR = 2026 };

static void write_check(gsl_rng *random, bt_time at, long unit) {
  bt_civil civil = bt_civil_of(at);
  double target = 1.6;
  double energy = target + gsl_ran_gaussian_ziggurat(random, 0.0064);
  double spread = 1.5 + gsl_ran_gaussian_ziggurat(random, 0.1);
  double x = gsl_ran_gaussian_ziggurat(random, 6.0);
  double y = gsl_ran_gaussian_ziggurat(random, 6.0);
  double voltage = 24 + gsl_ran_gaussian_ziggurat(random, 0.1);
  double room = 21 + gsl_ran_gaussian_ziggurat(random, 0.5);
  printf("%04d-%02d-%02d,%02d:%02d,Unit %03ld,%.3f,%.4f,%.3f,%.2f,%.2f,%.3f,%.1f\n", civil.year,
         civil.month, civil.day, civil.hour, civil.minute, unit, target, energy, spread, x, y,
         voltage, room);
}

int main(int argc, char **argv) {
  if (argc != 5) {
    fputs("usage: make_bench_log UNITS YEARS CHECKS_A_DAY SEED\n", stderr);
    return 2;
  }
  long units = strtol(argv[1], NULL, 10);
  long years = strtol(argv[2], NULL, 10);
  long checks = strtol(argv[3], NULL, 10);
  gsl_rng *random = gsl_rng_alloc(gsl_rng_taus2);
  if (random == NULL)
    return 1;
  gsl_rng_set(random, strtoul(argv[4], NULL, 10));
  puts("date,time,unit,target_mj,energy_mj,energy_sd_pct,offset_x_um,offset_y_um,hv_kv,temp_c");
  for (long day = 0; day < years * DAYS_A_YEAR; day++) {
    bt_civil first = {
        .year = LAST_YEAR - (int)years + (int)(day / DAYS_A_YEAR), .month = 1, .day = 1};
    long of_year = day % DAYS_A_YEAR;
    bt_time at = bt_time_of(&first) + (of_year / 5 * 7 + of_year % 5) * (bt_time)86400;
    for (long check = 0; check < checks; check++)
      for (long unit = 1; unit <= units; unit++)
        write_check(random, at + 28800 + check * (bt_time)36000 / checks, unit);
  }
  gsl_rng_free(random);
  return ferror(stdout) != 0 || fclose(stdout) != 0;
}
