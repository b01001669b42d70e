/* The manual page and the lists that a shell completes: from the program itself, and true. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Every command and every option that its help names stands in the manual, set as roff wants. */
Test(manual, has_every_command_and_option_of_the_help) {
  char *folder = folder_begin();
  char *manual = RUN_DONE(folder, "help", "--manual");
  char *commands = RUN_DONE(folder, "help", "--list", "commands");
  size_t n = 0;
  for (char *command = strtok(commands, "\n"); command != NULL; command = strtok(NULL, "\n"), n++) {
    char head[64];
    (void)snprintf(head, sizeof head, "\n.SS %s\n", command);
    cr_expect_not_null(strstr(manual, head), "%s", command);
  }
  cr_expect_geq(n, 20);
  char *keys = RUN_DONE(folder, "help", "--list", "characteristics");
  const char *of = strstr(manual, "\n.SH CHARACTERISTICS\n");
  cr_assert_not_null(of);
  n = 0;
  for (char *key = strtok(keys, "\n"); key != NULL; key = strtok(NULL, "\n"), n++)
    cr_expect(strstr(of, key) != NULL && strstr(of, key) < strstr(of, "\n.SH COLUMN MAPS\n"), "%s",
              key);
  cr_expect_geq(n, 11);
  free(keys);
  static const char *const heads[] = {"DESCRIPTION", "COMMANDS", "OPTIONS",  "EXIT STATUS",
                                      "ENVIRONMENT", "FILES",    "SETTINGS", "CHARACTERISTICS",
                                      "COLUMN MAPS", "JSON",     "CSV",      "EXAMPLES"};
  for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
    char head[64];
    (void)snprintf(head, sizeof head, "\n.SH %s\n", heads[i]);
    cr_expect_not_null(strstr(manual, head), "%s", heads[i]);
  }
  free(commands);
  free(manual);
  folder_end(folder);
}

/* Every kind of event with a sentence of what it is, in the help and in the manual. */
Test(manual, says_what_each_kind_of_event_is) {
  char *folder = folder_begin();
  char *kinds = RUN_DONE(folder, "help", "--list", "events");
  char *help = RUN_DONE(folder, "event", "--help");
  char *manual = RUN_DONE(folder, "help", "--manual");
  size_t n = 0;
  for (char *kind = strtok(kinds, "\n"); kind != NULL; kind = strtok(NULL, "\n"), n++) {
    char line[64], item[64];
    (void)snprintf(line, sizeof line, "\n  %-25s", kind);
    (void)snprintf(item, sizeof item, "\n.B %s\n", kind);
    const char *told = strstr(help, line);
    cr_assert_not_null(told, "%s: %s", kind, help);
    cr_expect_gt(strcspn(told + strlen(line), "\n"), 20, "%s: %s", kind, told);
    cr_expect_not_null(strstr(manual, item), "%s", kind);
  }
  cr_expect_geq(n, 8);
  free(kinds);
  free(help);
  free(manual);
  folder_end(folder);
}

/* What is listed of a command is what its option table takes: none is unknown to it. */
Test(manual, listed_options_are_known_to_the_command) {
  static const char *const commands[] = {"import", "analyse", "report", "correct", "runlength"};
  char *folder = folder_begin();
  for (size_t c = 0; c < sizeof commands / sizeof *commands; c++) {
    char *options = RUN_DONE(folder, "help", "--list", "options", commands[c]), *rest = NULL;
    size_t n = 0;
    for (char *option = strtok_r(options, "\n", &rest); option != NULL;
         option = strtok_r(NULL, "\n", &rest), n++) {
      run_result result = RUN(folder, commands[c], option, "--help", "--help");
      cr_expect_null(strstr(result.err, "has no option"), "%s %s: %s", commands[c], option,
                     result.err);
      run_free(&result);
    }
    cr_expect_geq(n, 7, "%s", commands[c]);
    free(options);
  }
  folder_end(folder);
}

/* The keys that the manual promises are there. */
Test(manual, json_keys_are_as_promised) {
  static const char *const top[] = {"format",       "unit",   "characteristic", "series",
                                    "session",      "n",      "baseline",       "individuals",
                                    "moving_range", "cusum",  "ewma",           "capability",
                                    "segments",     "points", "autocorrelation"};
  static const char *const point[] = {
      "at",         "seq",          "source",    "line", "segment", "raw",   "value",        "z",
      "cusum_high", "moving_range", "cusum_low", "ewma", "rules",   "alarm", "fill_age_days"};
  char *folder = folder_begin();
  demo_into(folder);
  char *manual = RUN_DONE(folder, "help", "--manual");
  char *forms = strstr(manual, "\n.SH JSON\n");
  cr_assert_not_null(forms);
  json_t *analysis = analysis_of(folder, "Suite North", "energy_ratio", NULL);
  const json_t *first = json_array_get(json_object_get(analysis, "points"), 0);
  for (size_t i = 0; i < sizeof top / sizeof *top; i++) {
    cr_expect_not_null(json_object_get(analysis, top[i]), "%s", top[i]);
    cr_expect_not_null(strstr(forms, top[i]), "%s", top[i]);
  }
  for (size_t i = 0; i < sizeof point / sizeof *point; i++) {
    cr_expect_not_null(json_object_get(first, point[i]), "%s", point[i]);
    cr_expect_not_null(strstr(forms, point[i]), "%s", point[i]);
  }
  json_decref(analysis);
  free(manual);
  folder_end(folder);
}

Test(manual, help_of_a_mistyped_command_and_list_says_what_is_right) {
  char *folder = folder_begin();
  run_result result = RUN(folder, "help", "reprot");
  cr_expect_eq(result.status, 2);
  cr_expect_not_null(strstr(result.err, "did you mean \"report\"?"), "%s", result.err);
  run_free(&result);
  result = RUN(folder, "help", "--list", "lasers");
  cr_expect_eq(result.status, 2);
  cr_expect_not_null(strstr(result.err, "commands, units"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* A drawing command without the chart device names the package and leaves no file. */
Test(manual, without_the_chart_device_the_package_is_named) {
  char *folder = folder_begin();
  demo_into(folder);
  char *empty = path_in(folder, "empty");
  file_write(empty, "", 0); /* no folder of devices */
  char variable[512];
  (void)snprintf(variable, sizeof variable, "PLPLOT_DRV_DIR=%s", empty);
  const char *const environment[] = {variable, NULL};
  static const char *const commands[][10] = {
      {"report", "--month", "2026-09", "-o", "out"},
      {"chart", "--unit", "Suite North", "--characteristic", "energy_ratio", "-o", "out.png"},
      {"evidence", "--unit", "Suite North", "--from", "2026-02-01", "-o", "out"}};
  char *out = path_in(folder, "out"), *png = path_in(folder, "out.png");
  for (size_t i = 0; i < 3; i++) {
    run_setting setting = {.folder = folder, .environment = environment};
    run_result result = run_with(&setting, commands[i]);
    cr_expect_eq(result.status, 1, "%s", commands[i][0]);
    cr_expect_not_null(strstr(result.err, "plplot-driver-cairo"), "%s", result.err);
    cr_expect(!file_exists(out) && !file_exists(png), "%s left a file", commands[i][0]);
    run_free(&result);
  }
  free(out);
  free(png);
  free(empty);
  folder_end(folder);
}

/* What the help shows as a file for settings is one. */
Test(manual, the_example_of_settings_is_taken) {
  char *folder = folder_begin(), *path = path_in(folder, "clinic.ini");
  char *help = RUN_DONE(folder, "help", "settings"), *from = strstr(help, "[unit 1]");
  cr_assert_not_null(from, "%s", help);
  char *end = strstr(from, "\n\n");
  cr_assert_not_null(end, "%s", help);
  file_write(path, from, (size_t)(end + 1 - from));
  char *said = RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "first");
  cr_expect_not_null(strstr(said, "1 unit, 1 tolerance"), "%s", said);
  free(said);
  free(help);
  free(path);
  folder_end(folder);
}
