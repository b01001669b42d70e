/* The glossary as a screen shows it: every word of it, in order, in 80 columns; one by its name, or
 * by what speaks of it. */
#include "made_drift.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static char *words_of(const char *word) {
  bt_text text = {0};
  bt_error error;
  cr_assert_eq(bt_report_words(word, &text, &error), BT_OK);
  return bt_text_take(&text);
}

Test(glossary, all_in_order) {
  char *all = words_of(NULL), before[100] = "";
  size_t n = 0;
  must_be_plain(all);
  for (char *line = strtok(all, "\n"); line != NULL; line = strtok(NULL, "\n")) {
    if (*line == ' ')
      continue;
    n++;
    if ((unsigned char)before[1] < 0x80) /* T² stands by its letter */
      cr_expect_lt(strcasecmp(before, line), 0, "%s after %s", line, before);
    (void)strncpy(before, line, sizeof before - 1);
  }
  cr_expect_gt(n, 50);
  free(all);
}

Test(glossary, one_word) {
  char *text = words_of("likelihood");
  cr_expect_eq(strncmp(text, "Likelihood ratio\n    How much better", 35), 0, "%s", text);
  cr_expect_eq(count_of(text, "\n    "), count_of(text, "\n") - 1, "one entry: %s", text);
  free(text);
  text = words_of("theil-sen"); /* it has no entry of its own */
  cr_expect_eq(strncmp(text, "Level\n", 6), 0, "%s", text);
  free(text);
  text = words_of("FILL'S end"); /* with the apostrophe of a keyboard */
  cr_expect_eq(strncmp(text, "Fill’s end\n", 13), 0, "%s", text);
  free(text);
  text = words_of("no such word");
  cr_expect_str_eq(text, "");
  free(text);
}

/* A plural has the entries of its singular alone. */
Test(glossary, plurals) {
  static const char *const words[][2] = {{"covariates", "Covariate\n"},
                                         {"Baselines", "Baseline\n"},
                                         {"capabilities", "Capability\n"},
                                         {"autocorrelations", "Autocorrelation\n"},
                                         {"moving ranges", "Moving range\n"}};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
    char *text = words_of(words[i][0]);
    cr_expect_eq(strncmp(text, words[i][1], strlen(words[i][1])), 0, "%s: %s", words[i][0], text);
    cr_expect_eq(count_of(text, "\n    "), count_of(text, "\n") - 1, "one entry: %s", text);
    free(text);
  }
}

/* The terms of statistics that screens print. */
Test(glossary, has_the_terms_of_the_screens) {
  static const char *const terms[] = {"as found",      "as left",     "Brown and Forsythe",
                                      "covariate",     "fitted line", "interval",
                                      "alarm",         "notice",      "episode",
                                      "undecided",     "baseline",    "centre",
                                      "tolerance",     "freeze",      "provisional",
                                      "mean fill age", "fill’s end",  "threshold",
                                      "1 in 20",       "T²",          "not judged",
                                      "variance",      "onset",       "single look",
                                      "retest",        "step",        "scatter",
                                      "moving range",  "CUSUM"};
  for (size_t i = 0; i < sizeof terms / sizeof *terms; i++) {
    char *text = words_of(terms[i]);
    cr_expect_neq(*text, '\0', "%s is not explained", terms[i]);
    free(text);
  }
}
