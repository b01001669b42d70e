/* A new baseline's first day is a border: the episode that is open there ends, and what goes on has
 * an id of its own. `baseline` and `resolve` say which. Several baselines are frozen at once, all
 * or none. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHECKS = 110, SHIFT_AT = 70, SECOND_AT = 106 };

/* Readings without a pattern, in thousandths. */
static const int noise[] = {3,  -5, 8,  0,  -7, 4, -2, 6,  -9, 1,  5,  -4, 2, -8,
                            7,  -1, 9,  -6, 0,  3, -3, 5,  2,  -8, 6,  -4, 7, -1,
                            -5, 9,  -2, 4,  -6, 8, 1,  -7, 3,  0,  -9, 5};

/* A check a day from 1 Mar on. The voltage rises by 0.04 kV on 10 May and by 0.1 kV on 15 June; the
 * energy ratio rises by `drift` a day; the target stays. */
static char *folder_with_log(double drift) {
  static const int days[] = {31, 30, 31, 30};
  char *folder = folder_begin(), log[8192];
  int n = snprintf(log, sizeof log, "date,time,unit,hv_kv,target_mj,energy_mj\n"), month = 0,
      day = 0;
  for (int i = 0; i < CHECKS; i++) {
    double rise = i >= SECOND_AT ? 0.14 : i >= SHIFT_AT ? 0.04 : 0;
    if (day == days[month]) {
      month++;
      day = 0;
    }
    n += snprintf(log + n, sizeof log - (size_t)n, "2026-%02d-%02d,07:30,Room 1,%.3f,2,%.4f\n",
                  month + 3, ++day, 25 + noise[i % 40] / 1000.0 + rise,
                  2 + noise[(i + 7) % 40] / 1000.0 + drift * i);
  }
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

#define BASELINE(of, from, to)                                                                     \
  "baseline", "--unit", "Room 1", "--characteristic", of, "--from", from, "--to", to, "--by",      \
      "KL", "--why", "new level"

/* The id of the open episode of the voltage. */
static void open_id(const char *folder, char id[9]) {
  char *table = RUN_DONE(folder, "signals", "--open", "--format", "csv");
  const char *line = strstr(table, "Room 1,high_voltage,");
  cr_assert_not_null(line, "%s", table);
  (void)snprintf(id, 9, "%.8s", line + strlen("Room 1,high_voltage,"));
  cr_assert_null(strstr(line + 1, "Room 1,high_voltage,"), "%s", table);
  free(table);
}

#define RESOLVE(id)                                                                                \
  "resolve", id, "--cause", "mirror dull", "--action", "mirror cleaned", "--by", "KL"

Test(borders, an_open_episode_that_is_cut_leads_on) {
  char *folder = folder_with_log(0), was[9], now[9], expected[256];
  free(RUN_DONE(folder, BASELINE("high_voltage", "2026-03-01", "2026-04-29")));
  open_id(folder, was);
  char *said = RUN_DONE(folder, BASELINE("high_voltage", "2026-05-30", "2026-06-14"));
  open_id(folder, now);
  cr_assert_str_neq(was, now);
  (void)snprintf(expected, sizeof expected,
                 "  episode %s, open from 2026-05-10 to 2026-06-18 until now, ends on 2026-05-29, "
                 "at the border of this baseline; behind it stands episode %s (open, high side, ",
                 was, now);
  cr_expect_not_null(strstr(said, expected), "%s", said);
  (void)snprintf(expected, sizeof expected, "`beamtally resolve %s`\n", now);
  cr_expect_not_null(strstr(said, expected), "%s", said);
  free(said);

  said = RUN_DONE(folder, RESOLVE(was)); /* what it was is concluded, and no more */
  (void)snprintf(expected, sizeof expected, "behind it stands episode %s (open, high side, ", now);
  cr_expect_not_null(strstr(said, expected), "%s", said);
  (void)snprintf(expected, sizeof expected,
                 "`beamtally resolve %s --cause 'mirror dull' --action 'mirror cleaned' --by KL`",
                 now);
  cr_expect_not_null(strstr(said, expected), "%s", said);
  cr_expect_null(strstr(said, "stays open"), "%s", said);
  free(said);
  said = RUN_DONE(folder, RESOLVE(now));
  cr_expect_not_null(strstr(said, "stays open until 8 judged points in a row are without a signal "
                                  "of its side"),
                     "%s", said);
  cr_expect_not_null(strstr(said, "`beamtally event --unit 'Room 1' --at TIME --by KL "
                                  "optics_cleaned`"),
                     "%s", said);
  free(said);
  free(RUN_DONE(folder, "event", "--unit", "Room 1", "--at", "2026-06-18T12:00", "--by", "KL",
                "optics_cleaned"));
  said = RUN_DONE(folder, RESOLVE(now));
  cr_expect_null(strstr(said, "beamtally event"), "it is noted: %s", said);
  free(said);
  folder_end(folder);
}

/* With the first frozen baseline what came before it is judged by none: the id is gone. */
Test(borders, an_episode_that_is_gone_leads_on) {
  char *folder = folder_with_log(0), was[9], now[9], expected[256];
  open_id(folder, was); /* by the suggested baseline */
  char *said = RUN_DONE(folder, BASELINE("high_voltage", "2026-05-30", "2026-06-14"));
  open_id(folder, now);
  (void)snprintf(expected, sizeof expected,
                 "is no more (no baseline judges the days before 2026-05-30 now); its days from "
                 "2026-06-15 on are now those of episode %s (",
                 now);
  cr_expect_not_null(strstr(said, expected), "%s", said);
  free(said);
  run_result result = RUN(folder, RESOLVE(was));
  cr_expect_eq(result.status, FAILED, "%d", result.status);
  (void)snprintf(expected, sizeof expected,
                 "episode %s, which began on 2026-05-10 in high_voltage of Room 1, is no more",
                 was);
  cr_expect_not_null(strstr(result.err, expected), "%s", result.err);
  (void)snprintf(expected, sizeof expected,
                 "`beamtally resolve %s --cause 'mirror dull' --action 'mirror cleaned' --by KL`",
                 now);
  cr_expect_not_null(strstr(result.err, expected), "%s", result.err);
  run_free(&result);
  result = RUN(folder, RESOLVE("00000000")); /* never was one */
  cr_expect_eq(result.status, FAILED, "%d", result.status);
  cr_expect_not_null(strstr(result.err, "there is no episode 00000000"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* A log of the voltage from 1 Mar on: `rise` thousandths of a kV on top of noise, a check a day. */
static char *folder_with_voltage(double (*rise)(int day)) {
  char *folder = folder_begin(), log[8192];
  int n = snprintf(log, sizeof log, "date,unit,hv_kv\n"), month = 3, day = 0;
  for (int i = 0; i < CHECKS; i++) {
    if (++day > (month % 2 != 0 ? 31 : 30)) {
      month++;
      day = 1;
    }
    n += snprintf(log + n, sizeof log - (size_t)n, "2026-%02d-%02d,Room 1,%.3f\n", month, day,
                  25 + (noise[i % 40] + rise(i)) / 1000.0);
  }
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

/* From 10 May on 60 higher, and on 30 May, 9 and 18 June higher still. */
static double with_spikes(int day) {
  return day < SHIFT_AT ? 0 : day == 90 || day == 100 || day == 109 ? 87 - noise[day % 40] : 60;
}

/* By the limits of the new level what was one episode is three: `baseline` and `resolve` both name
 * the first, and how many there are. */
Test(borders, an_episode_that_is_several_now) {
  char *folder = folder_with_voltage(with_spikes), was[9], expected[256];
  open_id(folder, was);                 /* by the suggested baseline */
  free(RUN_DONE(folder, RESOLVE(was))); /* its days are kept with that */
  char *said = RUN_DONE(folder, BASELINE("high_voltage", "2026-05-10", "2026-05-26"));
  char *table = RUN_DONE(folder, "signals", "--format", "csv");
  const char *line = strstr(table, "Room 1,high_voltage,");
  cr_assert_not_null(line, "%s", table);
  (void)snprintf(expected, sizeof expected,
                 "now those of episode %.8s (past, high side, 2026-05-30 to 2026-05-30) and 2 "
                 "others (`beamtally signals --unit 'Room 1'` lists them): ",
                 line + strlen("Room 1,high_voltage,"));
  unwrap(said);
  cr_expect_not_null(strstr(said, expected), "%s\n%s", said, table);
  run_result result = RUN(folder, RESOLVE(was));
  unwrap(result.err);
  cr_expect_not_null(strstr(result.err, expected), "%s\n%s", result.err, table);
  run_free(&result);
  free(said);
  free(table);
  folder_end(folder);
}

/* Days 50 to 69 scatter three times as widely; 12 June lies far out, 18 June a little. */
static double scattered(int day) {
  return day >= 50 && day < SHIFT_AT ? 2 * noise[day % 40] : day == 103 ? 58 : day == 109 ? 17 : 0;
}

/* Its newest signal is none by the new limits, and it is open all the same. */
Test(borders, an_open_episode_that_keeps_its_id_stays_open) {
  char *folder = folder_with_voltage(scattered), was[9], now[9], expected[256];
  free(RUN_DONE(folder, BASELINE("high_voltage", "2026-03-01", "2026-04-15")));
  open_id(folder, was);
  char *said = RUN_DONE(folder, BASELINE("high_voltage", "2026-03-01", "2026-05-09"));
  open_id(folder, now);
  cr_assert_str_eq(was, now);
  (void)snprintf(expected, sizeof expected,
                 "episode %s, open from 2026-06-12 to 2026-06-18 until now, stays open; by its "
                 "limits the newest signal is that of 2026-06-12",
                 was);
  unwrap(said);
  cr_expect_not_null(strstr(said, expected), "%s", said);
  free(said);
  folder_end(folder);
}

/* 11 June lies a little out as well. */
static double scattered_before(int day) {
  return day == 102 ? 24 : scattered(day);
}

/* Nobody concluded it, so that how far it went isn't known. */
Test(borders, an_episode_whose_days_are_not_known) {
  char *folder = folder_with_voltage(scattered_before), was[9], now[9], expected[256];
  free(RUN_DONE(folder, BASELINE("high_voltage", "2026-03-01", "2026-04-15")));
  open_id(folder, was);
  free(RUN_DONE(folder, BASELINE("high_voltage", "2026-03-01", "2026-05-09")));
  open_id(folder, now);
  cr_assert_str_neq(was, now);
  run_result result = RUN(folder, RESOLVE(was));
  (void)snprintf(expected, sizeof expected,
                 "Of its days the first that have a signal now are those of episode %s (open, high "
                 "side, 2026-06-12 to 2026-06-12), later ones perhaps of others (`beamtally "
                 "signals --unit 'Room 1'` lists all): `beamtally resolve %s --cause ",
                 now, now);
  unwrap(result.err);
  cr_expect_not_null(strstr(result.err, expected), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* What was concluded before the baseline belongs to the episode's days, whatever its id is then. */
Test(borders, a_conclusion_goes_along_with_the_new_id) {
  char *folder = folder_with_log(0), was[9], now[9], expected[256];
  open_id(folder, was);
  free(RUN_DONE(folder, RESOLVE(was)));
  char *said = RUN_DONE(folder, BASELINE("high_voltage", "2026-05-30", "2026-06-14"));
  open_id(folder, now);
  cr_assert_str_neq(was, now);
  (void)snprintf(expected, sizeof expected, ": its conclusion goes along; its id is now %s\n", now);
  cr_expect_not_null(strstr(said, expected), "%s", said);
  cr_expect_null(strstr(said, "`beamtally resolve"), "%s", said);
  free(said);
  said = RUN_DONE(folder, "signals", "--open");
  cr_expect_not_null(strstr(said, "mirror dull"), "%s", said);
  free(said);
  folder_end(folder);
}

/* What does not touch an open episode says nothing of it. */
Test(borders, an_episode_that_stays_is_not_spoken_of) {
  char *folder = folder_with_log(0);
  free(RUN_DONE(folder, BASELINE("high_voltage", "2026-03-01", "2026-04-29")));
  char *said = RUN_DONE(folder, BASELINE("energy_ratio", "2026-03-01", "2026-04-29"));
  cr_expect_null(strstr(said, "episode"), "%s", said);
  free(said);
  folder_end(folder);
}

Test(borders, several_are_frozen_at_once) {
  char *folder = folder_with_log(0);
  run_result result = RUN(folder, BASELINE("all", "2026-03-01", "2026-04-29"));
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_not_null(strstr(result.out, "Room 1, energy_ratio: baseline 1 frozen, 60 points"), "%s",
                     result.out);
  cr_expect_not_null(strstr(result.out, "Room 1, high_voltage: baseline 1 frozen, 60 points"), "%s",
                     result.out);
  cr_expect_not_null(strstr(result.err, "demand is left out: its readings are all alike"), "%s",
                     result.err);
  run_free(&result);
  char *said = RUN_DONE(folder, BASELINE("high_voltage,energy_ratio", "2026-03-01", "2026-04-29"));
  cr_expect_not_null(strstr(said, "Room 1, high_voltage: nothing new: baseline 1"), "%s", said);
  cr_expect_not_null(strstr(said, "Room 1, energy_ratio: nothing new: baseline 1"), "%s", said);
  free(said);
  said = RUN_DONE(folder,
                  BASELINE("high_voltage,energy_ratio,high_voltage", "2026-03-02", "2026-04-29"));
  cr_expect_not_null(strstr(said, "Room 1, high_voltage: baseline 2 frozen"), "%s", said);
  cr_expect_not_null(strstr(said, "Room 1, energy_ratio: baseline 2 frozen"), "%s", said);
  cr_expect_null(strstr(said, "baseline 3"), "%s", said);
  free(said);
  folder_end(folder);
}

Test(borders, where_one_is_refused_none_is_frozen) {
  char *folder = folder_with_log(0.0005);
  char *before = RUN_DONE(folder, "verify");
  run_result result = RUN(folder, BASELINE("all", "2026-03-01", "2026-04-29"));
  cr_expect_eq(result.status, FAILED, "%d", result.status);
  cr_expect_str_eq(result.out, "");
  cr_expect_not_null(strstr(result.err, "beamtally: energy_ratio drifts from 2026-03-01"), "%s",
                     result.err);
  cr_expect_not_null(strstr(result.err,
                            "1 of 2 characteristics can't be frozen so, and nothing was "
                            "stored; for the others say --characteristic high_voltage"),
                     "%s", result.err);
  run_free(&result);
  result = RUN(folder, BASELINE("high_voltage,energy_ration", "2026-03-01", "2026-04-29"));
  cr_expect_eq(result.status, USAGE, "%d", result.status);
  cr_expect_not_null(strstr(result.err, "energy_ratio"), "%s", result.err);
  run_free(&result);
  char *after = RUN_DONE(folder, "verify");
  cr_expect_str_eq(before, after);
  free(before);
  free(after);
  free(RUN_DONE(folder, BASELINE("all", "2026-03-01", "2026-04-29"), "--accept-drift"));
  folder_end(folder);
}

/* Narrower limits make signals of days long past: that is said, though no episode is open. */
Test(borders, past_episodes_that_become_others_are_counted) {
  char *folder = folder_begin(), log[8192];
  int n = snprintf(log, sizeof log, "date,time,unit,hv_kv,target_mj\n");
  for (int i = 0; i < 112; i++) {
    double wide = i < 20 ? 1 : i < 80 ? 2.5 : 0.3;
    n += snprintf(log + n, sizeof log - (size_t)n, "2026-%02d-%02d,07:30,Room 1,%.4f,2\n",
                  3 + i / 28, 1 + i % 28, 25 + wide * noise[i % 40] / 1000.0);
  }
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  char *before = RUN_DONE(folder, "signals", "--unit", "Room 1");
  char *said = RUN_DONE(folder, BASELINE("high_voltage", "2026-03-01", "2026-03-20"));
  char *signals = RUN_DONE(folder, "signals", "--unit", "Room 1");
  cr_expect_not_null(strstr(before, "No signal in the log."), "%s", before);
  const char *one = strstr(signals, "past notice");
  cr_assert(one != NULL && strstr(one + 1, "past notice") == NULL, "%s", signals);
  unwrap(said);
  cr_expect_not_null(strstr(said, "past episodes are others by its limits: 0 alarms and 1 notice, "
                                  "where there were 0 alarms and 0 notices: `beamtally signals`"),
                     "%s", said);
  free(before);
  free(said);
  free(signals);
  folder_end(folder);
}
