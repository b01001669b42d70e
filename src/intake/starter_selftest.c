/* A self-test in words, in a starter map: a count of one, or of as many as stand beside it in
 * numbers. */
#include "map_line.h"
#include "starter.h"
#include "words.h"

#include <stdio.h>
#include <string.h>

double intake_counted_of(const bt_survey_column *column) {
  double passed = 0.0, total = 0.0;
  for (size_t k = 0; k < column->texts_n; k++)
    if (intake_pair_of(column->texts[k], &passed, &total))
      return total;
  return 0.0;
}

static bool names_part(const bt_survey_column *column) {
  for (size_t k = 0; k < column->texts_n; k++)
    if (intake_failed_part(column->texts[k]) != NULL)
      return true;
  return false;
}

/* Texts that say which part failed: as failed, with the part's name. */
static void add_failed_parts(const bt_survey *survey, size_t i, double total, bt_text *lines) {
  const bt_survey_column *column = &survey->columns[i];
  for (size_t k = 0; k < column->texts_n; k++) {
    const char *part = intake_failed_part(column->texts[k]);
    char key[96];
    bt_text cell = {0};
    if (part == NULL || !intake_can_stand(column->texts[k]))
      continue;
    intake_add_marked(column->texts[k], &cell);
    intake_add_example(survey, i, "selftest_passed.0", bt_text_get(&cell), lines);
    (void)snprintf(key, sizeof key, "selftest_total.%.0f", total);
    intake_add_example(survey, i, key, bt_text_get(&cell), lines);
    (void)snprintf(key, sizeof key, "selftest_failed.%s", part);
    if (strpbrk(part, "=:[]#;\"|,") == NULL) /* INI's */
      intake_add_example(survey, i, key, bt_text_get(&cell), lines);
    lines->failed = lines->failed || !bt_text_ok(&cell);
    bt_text_free(&cell);
  }
}

/* The part behind a mark: "shutter" of " - shutter"; "" without one. */
static const char *part_of(const char *rest) {
  static const char marks[] = " -:,;(";
  return rest[strspn(rest, " ")] != '\0' && strspn(rest, marks) > 0 ? rest + strspn(rest, marks)
                                                                    : "";
}

/* "PASS 19/19", "FAIL 18/19 - shutter": each text with its own counts; one without any passed or
 * failed as a whole, of so many items as the others count. */
static void add_counted(const bt_survey *survey, size_t i, const char *text, double items,
                        bt_text *lines) {
  double passed = 0.0, total = 0.0;
  const char *rest = "";
  char key[96];
  bt_text cell = {0};
  if (!intake_pair_behind(text, &passed, &total, &rest)) {
    passed = intake_says_passed(text) ? items : 0.0;
    total = passed > 0.0 || intake_says_failed(text) ? items : 0.0;
  }
  if (!intake_can_stand(text) || total <= 0.0)
    return;
  const char *part = part_of(rest);
  intake_add_marked(text, &cell);
  (void)snprintf(key, sizeof key, "selftest_passed.%.0f", passed);
  intake_add_example(survey, i, key, bt_text_get(&cell), lines);
  (void)snprintf(key, sizeof key, "selftest_total.%.0f", total);
  intake_add_example(survey, i, key, bt_text_get(&cell), lines);
  (void)snprintf(key, sizeof key, "selftest_failed.%s", part);
  if (*part != '\0' && passed < total && strpbrk(part, "=:[]#;\"|,)") == NULL) /* INI's */
    intake_add_example(survey, i, key, bt_text_get(&cell), lines);
  lines->failed = lines->failed || !bt_text_ok(&cell);
  bt_text_free(&cell);
}

/* How many items the first text counts that does behind words; 0 where none does. */
static double items_behind_words(const bt_survey_column *column) {
  double passed, total;
  const char *rest;
  for (size_t k = 0; k < column->texts_n; k++)
    if (intake_pair_behind(column->texts[k], &passed, &total, &rest))
      return total;
  return 0.0;
}

void intake_add_selftest(const bt_survey *survey, size_t i, bt_text *lines) {
  const bt_survey_column *column = &survey->columns[i];
  double items = items_behind_words(column);
  if (items > 0.0) {
    bt_text_add(lines,
                "\": its texts count the items of the self-test; a line for each of them:\n");
    for (size_t k = 0; k < column->texts_n; k++)
      add_counted(survey, i, column->texts[k], items, lines);
    return;
  }
  bt_text both = {0};
  char key[48];
  double counted = intake_counted_of(column), total = counted > 0.0 ? counted : 1.0;
  bool told = counted > 0.0 || names_part(column);
  const char *passed = intake_text_of(column, intake_says_passed, "PASSED"),
             *failed = intake_text_of(column, intake_says_failed, told ? NULL : "FAILED");
  bt_text_format(lines,
                 "\": if it says in words whether the self-test passed: %.0f of %.0f is\n"
                 "# passed, 0 of %.0f failed%s",
                 total, total, total, counted > 0.0 ? "" : " (or count the parts)");
  if (strcmp(passed, "PASSED") == 0 || (failed != NULL && strcmp(failed, "FAILED") == 0))
    bt_text_add(lines, "; put its words for those in capitals");
  bt_text_add(lines, ":\n");
  (void)snprintf(key, sizeof key, "selftest_passed.%.0f", total);
  intake_add_example(survey, i, key, passed, lines);
  if (failed != NULL)
    intake_add_example(survey, i, "selftest_passed.0", failed, lines);
  bt_text_format(&both, "%s%s%s", passed, failed == NULL ? "" : " | ",
                 failed == NULL ? "" : failed);
  (void)snprintf(key, sizeof key, "selftest_total.%.0f", total);
  intake_add_example(survey, i, key, bt_text_get(&both), lines);
  add_failed_parts(survey, i, total, lines);
  lines->failed = lines->failed || !bt_text_ok(&both);
  bt_text_free(&both);
}
