/* signals and resolve, from outside, on the demo: episodes with their ids, and what is concluded of
 * one. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static json_t *episodes_of(const char *folder, const char *const *more) {
  const char *words[16] = {"signals", "--format", "json"};
  for (size_t i = 0; more != NULL && more[i] != NULL && i < 8; i++)
    words[3 + i] = more[i];
  char *text = run_done(folder, words);
  json_t *document = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
  cr_assert_not_null(document, "no JSON: %s", text);
  cr_expect_eq((int)number_of(document, "format"), 1);
  json_t *episodes = json_incref(json_object_get(document, "episodes"));
  cr_assert(json_is_array(episodes));
  json_decref(document);
  free(text);
  return episodes;
}

Test(signals, the_table_has_every_episode_in_80_columns) {
  char *folder = demo_folder(), *text = RUN_DONE(folder, "signals");
  json_t *episodes = episodes_of(folder, NULL);
  cr_assert_gt(json_array_size(episodes), 3);
  size_t i;
  const json_t *episode;
  json_array_foreach(episodes, i, episode) {
    const char *id = text_of(episode, "id");
    cr_expect_eq(strspn(id, "0123456789abcdef"), 8, "%s", id);
    char *line = strstr(text, id);
    cr_assert_not_null(line, "%s is not in:\n%s", id, text);
    cr_expect_eq(strncmp(line + 10, text_of(episode, "side"), strlen(text_of(episode, "side"))), 0);
    cr_expect_eq(strncmp(line + 26, text_of(episode, "first"), 10), 0, "%.60s", line);
    cr_expect_eq(strncmp(line + 38, text_of(episode, "last"), 10), 0, "%.60s", line);
    const char *rules = text_of(episode, "rules");
    cr_expect_eq(strncmp(line + 50, rules, strcspn(rules, " ")), 0, "%.80s", line);
    cr_expect_null(json_string_value(json_object_get(episode, "cause")));
  }
  size_t column = 0;
  for (const char *at = text; *at != '\0'; at++) {
    column = *at == '\n' ? 0 : column + (((unsigned char)*at & 0xC0) != 0x80);
    cr_expect_leq(column, 80, "a line is too long:\n%s", text);
  }
  json_decref(episodes);
  free(text);
  folder_end(folder);
}

/* Suite North has drifted low since August; nothing of Suite North's is open in the energy spread.
 */
Test(signals, open_ones_are_some_of_all) {
  char *folder = demo_folder();
  json_t *all = episodes_of(folder, NULL);
  json_t *open = episodes_of(folder, (const char *const[]){"--open", NULL});
  json_t *north = episodes_of(folder, (const char *const[]){"--unit", "suite north", NULL});
  size_t i, seen = 0;
  const json_t *episode;
  json_array_foreach(all, i, episode) seen += strcmp(text_of(episode, "open"), "yes") == 0;
  cr_expect_eq(seen, json_array_size(open));
  cr_expect_lt(seen, json_array_size(all));
  cr_expect_gt(seen, 0);
  json_array_foreach(north, i, episode) cr_expect_str_eq(text_of(episode, "unit"), "Suite North");
  cr_expect_lt(json_array_size(north), json_array_size(all));
  json_decref(all);
  json_decref(open);
  json_decref(north);
  char *csv = RUN_DONE(folder, "signals", "--format", "csv");
  cr_expect_eq(strncmp(csv, "unit,characteristic,id,side,strength,", 37), 0, "%.80s", csv);
  free(csv);
  folder_end(folder);
}

Test(signals, what_was_concluded_stands_with_its_episode) {
  char *folder = demo_folder();
  json_t *open = episodes_of(folder, (const char *const[]){"--open", NULL});
  char *id = strdup(text_of(json_array_get(open, 0), "id"));
  json_decref(open);
  MUST_BE(folder, DONE, "stored", "resolve", id, "--cause", "mirror dull", "--action",
          "mirror cleaned", "--by", "KL");
  char *text = RUN_DONE(folder, "signals");
  const char *line = strstr(text, id);
  cr_assert_not_null(line);
  line = strstr(line, "2026-10-01, KL: mirror dull; mirror cleaned\n");
  cr_expect_not_null(line, "%s", text);
  free(text);
  json_t *episodes = episodes_of(folder, NULL);
  size_t i;
  const json_t *episode;
  json_array_foreach(episodes, i, episode) if (strcmp(text_of(episode, "id"), id) == 0) {
    cr_expect_str_eq(text_of(episode, "cause"), "mirror dull");
    cr_expect_str_eq(text_of(episode, "action"), "mirror cleaned");
    cr_expect_str_eq(text_of(episode, "by"), "KL");
  }
  json_decref(episodes);
  MUST_BE(folder, DONE, "whole: ", "verify");
  free(id);
  folder_end(folder);
}

/* A person thought otherwise later: all that was concluded stays to be seen, the last first. */
Test(signals, what_was_concluded_before_is_shown_with_it) {
  char *folder = demo_folder();
  const char *words[] = {"--open", "--unit", "Suite North", NULL};
  json_t *open = episodes_of(folder, words);
  char *id = strdup(text_of(json_array_get(open, 0), "id"));
  char *key = strdup(text_of(json_array_get(open, 0), "characteristic"));
  cr_expect_eq((int)number_of(json_array_get(open, 0), "revised"), 0);
  json_decref(open);
  static const char *const causes[] = {"meter", "mirror dull", "window dull"};
  for (size_t i = 0; i < 3; i++)
    MUST_BE(folder, DONE, "stored", "resolve", id, "--cause", causes[i], "--action", "cleaned",
            "--by", "KL");
  MUST_BE(folder, DONE,
          "            2026-10-01, KL: window dull; cleaned\n"
          "            before: 2026-10-01, KL: mirror dull; cleaned\n"
          "            before: 2026-10-01, KL: meter; cleaned\n",
          "signals");
  open = episodes_of(folder, words);
  const json_t *first = json_array_get(open, 0);
  cr_expect_str_eq(text_of(first, "cause"), "window dull");
  cr_expect_eq((int)number_of(first, "revised"), 2);
  cr_expect_str_eq(text_of(first, "earlier"),
                   "2026-10-01, KL: meter; cleaned | 2026-10-01, KL: mirror dull; cleaned");
  json_decref(open);
  MUST_BE(folder, DONE, "revised 2 times", "analyse", "--unit", "Suite North", "--characteristic",
          key);
  json_t *analysis = analysis_of(folder, "Suite North", key, NULL);
  size_t i, seen = 0;
  const json_t *episode;
  json_array_foreach(json_object_get(analysis, "episodes"), i,
                     episode) if (strcmp(text_of(episode, "id"), id) == 0) {
    const json_t *earlier = json_object_get(episode, "earlier_dispositions");
    cr_assert_eq(json_array_size(earlier), 2);
    cr_expect_str_eq(text_of(json_array_get(earlier, 0), "cause"), "meter");
    cr_expect_str_eq(text_of(json_array_get(earlier, 1), "cause"), "mirror dull");
    seen++;
  }
  cr_expect_eq(seen, 1);
  json_decref(analysis);
  free(id);
  free(key);
  folder_end(folder);
}

/* The last restart of Suite North's energy ratio. */
static void last_restart_is(const char *folder, const char *at, const char *cause_at) {
  json_t *analysis = analysis_of(folder, "Suite North", "energy_ratio", NULL);
  const json_t *restarts = json_object_get(json_object_get(analysis, "cusum"), "restarts");
  const json_t *last = json_array_get(restarts, json_array_size(restarts) - 1);
  cr_expect_eq(strncmp(text_of(last, "at"), at, 10), 0, "%s", text_of(last, "at"));
  cr_expect_eq(strncmp(text_of(last, "event_at"), cause_at, strlen(cause_at)), 0, "%s",
               text_of(last, "event_at"));
  json_decref(analysis);
}

/* Whenever it is typed in: after the episode's last signal, or from the action on. */
Test(signals, a_restart_is_a_restart) {
  char *folder = demo_folder();
  const char *words[] = {"--open", "--unit", "Suite North", NULL};
  json_t *open = episodes_of(folder, words);
  char *id = NULL, *ended = NULL, *began = NULL;
  size_t i;
  const json_t *episode;
  json_array_foreach(open, i,
                     episode) if (strcmp(text_of(episode, "characteristic"), "energy_ratio") == 0) {
    id = strdup(text_of(episode, "id"));
    began = strdup(text_of(episode, "first"));
    ended = strdup(text_of(episode, "last"));
  }
  cr_assert_not_null(id);
  json_decref(open);
  MUST_BE(folder, USAGE, "give --restart with it", "resolve", id, "--cause", "x", "--action", "y",
          "--by", "KL", "--at", ended);
  MUST_BE(folder, USAGE, "before the first signal of episode", "resolve", id, "--cause", "x",
          "--action", "y", "--by", "KL", "--restart", "--at", "2026-01-05T08:00");
  began[10] = '\0';
  MUST_BE(folder, USAGE, "with the time of day", "resolve", id, "--cause", "x", "--action", "y",
          "--by", "KL", "--restart", "--at", began);
  MUST_BE(folder, DONE, "the episode's last signal", "resolve", id, "--cause", "x", "--action", "y",
          "--by", "KL", "--restart");
  free(RUN_DONE(folder, "record", "--unit", "Suite North", "--at", "2026-10-01T09:00", "--by", "KL",
                "target_mj=1.61", "energy_mj=1.60"));
  last_restart_is(folder, "2026-10-01", ended);
  char after[32];
  (void)snprintf(after, sizeof after, "restarted after %.10s", ended);
  MUST_BE(folder, DONE, after, "signals", "--unit", "Suite North");
  MUST_BE(folder, DONE, "from 2026-09-30T12:00 on", "resolve", id, "--cause", "x", "--action", "y",
          "--by", "KL", "--restart", "--at", "2026-09-30T12:00");
  MUST_BE(folder, DONE, "restarted from 2026-09-30T12:00", "signals", "--unit", "Suite North");
  last_restart_is(folder, "2026-10-01", "2026-09-30T12:00");
  free(id);
  free(began);
  free(ended);
  folder_end(folder);
}

static void put_log(const char *folder, double last) {
  static const double energy[] = {1.61, 1.60, 1.62, 1.59, 1.61, 1.60, 1.63, 1.61, 1.60};
  char log[1024];
  int n = snprintf(log, sizeof log, "date,time,unit,target_mj,energy_mj\n");
  for (int i = 0; i < 10; i++)
    n += snprintf(log + n, sizeof log - (size_t)n, "2026-09-%02d,07:30,Room 1,1.61,%g\n", 14 + i,
                  i < 9 ? energy[i] : last);
  file_put(folder, "log.csv", log);
}

/* Ten checks of which the last is outside tolerance, or none is. */
static void strict_must_be(double last, int status) {
  char *folder = folder_begin();
  put_log(folder, last);
  file_put(folder, "clinic.ini",
           "[unit 1]\nname = Room 1\n"
           "[tolerance 1]\nunit = Room 1\ncharacteristic = energy_ratio\n"
           "low = 0.9\nhigh = 1.1\nsource = policy\nfrom = 2026-01-01\n");
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first"));
  free(RUN_DONE(folder, "import", "log.csv"));
  run_result result = RUN(folder, "signals", "--strict", "--open");
  cr_expect_eq(result.status, status, "%d: %s", result.status, result.out);
  run_free(&result);
  folder_end(folder);
}

Test(signals, strict_wants_a_look_at_an_open_alarm) {
  strict_must_be(2.1, ATTENTION);
  strict_must_be(1.6, DONE);
}

Test(signals, wrong_usage_is_2) {
  char *folder = demo_folder();
  MUST_BE(folder, USAGE, "no further words", "signals", "open");
  MUST_BE(folder, USAGE, "text, json or csv", "signals", "--format", "xml");
  MUST_BE(folder, FAILED, "\"Suite North\"", "signals", "--unit", "Suite Nort");
  MUST_BE(folder, USAGE, "needs the id", "resolve", "--cause", "x", "--action", "y", "--by", "KL");
  MUST_BE(folder, USAGE, "no episode's id", "resolve", "mirror", "--cause", "x", "--action", "y",
          "--by", "KL");
  MUST_BE(folder, USAGE, "needs --cause", "resolve", "00000000", "--action", "y", "--by", "KL");
  MUST_BE(folder, USAGE, "needs --action", "resolve", "00000000", "--cause", "y", "--by", "KL");
  MUST_BE(folder, USAGE, "needs --by", "resolve", "00000000", "--cause", "y", "--action", "KL");
  MUST_BE(folder, FAILED, "`beamtally signals` lists them", "resolve", "00000000", "--cause", "x",
          "--action", "y", "--by", "KL");
  folder_end(folder);
}

/* The rules' keys beside the pages' words, each with its strength; one characteristic alone; and an
 * empty list says why. */
Test(signals, rules_are_told_as_the_pages_call_them) {
  char *folder = folder_begin();
  demo_into(folder);
  char *text =
      RUN_DONE(folder, "signals", "--unit", "Suite North", "--characteristic", "energy_ratio");
  cr_expect_not_null(strstr(text, "\nopen: a signal is among the last 8 points; past: none is, "),
                     "%s", text);
  cr_expect_not_null(strstr(text, "\nOn the pages:\n  WE1          notice  1 > 3σ ("), "%s", text);
  cr_expect_not_null(strstr(text, "\n  TOLERANCE    alarm   tolerance\n"), "%s", text);
  cr_expect_not_null(strstr(text, "Suite North, energy_ratio\n"), "%s", text);
  cr_expect_null(strstr(text, "fluence"), "%s", text);
  free(text);
  text = RUN_DONE(folder, "signals", "--unit", "Suite North", "--characteristic", "energy_ratio",
                  "--open", "--format", "csv");
  cr_expect_not_null(strstr(text, ",earlier,notice_rules,alarm_rules\r\n"), "%s", text);
  cr_expect_not_null(strstr(text, ",WE1 WE2 WE3 WE4 CUSUM,ALARM_LIMIT ALARM_CUSUM\r\n"), "%s",
                     text);
  free(text);
  MUST_BE(folder, USAGE, "did you mean \"energy_ratio\"", "signals", "--characteristic",
          "energy_ration");
  folder_end(folder);
  folder = folder_begin();
  free(RUN_DONE(folder, "event", "--unit", "A", "--at", "2026-04-01T10:00", "--by", "KL",
                "--new-unit", "service"));
  MUST_BE(folder, DONE, "the ledger holds no check yet. `beamtally import FILE`", "signals");
  run_result result = RUN(folder, "baseline", "--unit", "A", "--characteristic", "fluence",
                          "--from", "2026-04-01", "--to", "2026-05-01", "--by", "KL", "--why", "x");
  cr_expect_eq(result.status, FAILED, "%d", result.status);
  cr_expect_not_null(strstr(result.err, "the log of \"A\" has no fluence; import a log"), "%s",
                     result.err);
  run_free(&result);
  folder_end(folder);
}
