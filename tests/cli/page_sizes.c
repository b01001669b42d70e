/* Reports of ledgers of every size, made by the program: a month without a check, one check, 2,000,
 * one characteristic, five years, three units. Read as words with their
 * places, as pdftotext (poppler) gives them: none lies over another or leaves its page; and the
 * file is sound and small. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

typedef struct word {
  double left, top, right, bottom;
  const char *text; /* points into the tool's answer */
} word;

enum { MOST_WORDS = 4000 };

/* The lines of glyphs' boxes touch, which ink does not: a quarter of the height is free. */
static bool overlap(const word *a, const word *b) {
  double tall = a->bottom - a->top, other = b->bottom - b->top;
  double free_height = 0.25 * (tall < other ? tall : other), side = 0.5;
  return a->left + side < b->right - side && b->left + side < a->right - side &&
         a->top + free_height < b->bottom - free_height &&
         b->top + free_height < a->bottom - free_height;
}

static void check_page(const word *words, size_t n, double width, double height, const char *file) {
  const double margin = 14; /* 5 mm */
  for (size_t i = 0; i < n; i++) {
    cr_expect(words[i].left >= margin && words[i].top >= margin &&
                  words[i].right <= width - margin && words[i].bottom <= height - 5,
              "%s: off the page: %.40s", file, words[i].text);
    for (size_t k = i + 1; k < n; k++)
      cr_expect_not(overlap(&words[i], &words[k]), "%s: \"%.30s\" over \"%.30s\"", file,
                    words[i].text, words[k].text);
  }
}

/* Ends each word's text with a zero; how many there were on all pages. */
static size_t check_words(const char *folder, const char *file) {
  char *all = TOOL(folder, "pdftotext", "-bbox", file, "-");
  static word words[MOST_WORDS];
  size_t n = 0, total = 0;
  double width = 0, height = 0;
  for (char *line = strtok(all, "\n"); line != NULL; line = strtok(NULL, "\n")) {
    word found;
    if (sscanf(line, " <page width=\"%lf\" height=\"%lf\"", &width, &height) == 2)
      n = 0;
    else if (sscanf(line, " <word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &found.left,
                    &found.top, &found.right, &found.bottom) == 4) {
      cr_assert_lt(n, MOST_WORDS);
      found.text = strchr(line, '>') + 1;
      words[n++] = found;
      total++;
    } else if (strstr(line, "</page>") != NULL)
      check_page(words, n, width, height, file);
  }
  free(all);
  return total;
}

typedef struct made {
  const char *unit;
  int from_year, days; /* a check each weekday from 1 January on */
  int more;            /* checks of September 2026, one in 20 minutes */
  bool one;            /* discharge voltage alone */
} made;

/* Even noise from -1 to 1, the same each time. */
static double noise(unsigned *state) {
  *state = *state * 1664525U + 1013904223U;
  return (double)(*state >> 8) / (double)(1U << 23) - 1;
}

static void add_check(FILE *out, const made *of, time_t at, unsigned *state) {
  char when[32];
  struct tm parts;
  cr_assert_not_null(gmtime_r(&at, &parts));
  cr_assert_gt(strftime(when, sizeof when, "%Y-%m-%d,%H:%M", &parts), 0);
  if (of->one)
    (void)fprintf(out, "%s,\"%s\",%.2f\n", when, of->unit, 20 + 0.3 * noise(state));
  else
    (void)fprintf(out, "%s,\"%s\",1.61,%.4f,%.2f,%.1f,%.1f,%.1f,9,9\n", when, of->unit,
                  1.61 + 0.014 * noise(state), 1.9 + 0.3 * noise(state), 180 + 2 * noise(state),
                  5 + 8 * noise(state), 8 * noise(state));
}

/* The log of these units. Owned. */
static char *log_of(const made *units, size_t n) {
  char *log = NULL;
  size_t length = 0;
  FILE *out = open_memstream(&log, &length);
  unsigned state = 7;
  cr_assert_not_null(out);
  (void)fputs(units->one ? "date,time,unit,hv_kv\n"
                         : "date,time,unit,target_mj,energy_mj,energy_sd_pct,fluence_mj_cm2,"
                           "offset_x_um,offset_y_um,selftest_passed,selftest_total\n",
              out);
  for (size_t u = 0; u < n; u++) {
    time_t year = (time_t)(units[u].from_year - 1970) * 365 * 86400 +
                  (time_t)((units[u].from_year - 1969) / 4) * 86400;
    for (int day = 0; day < units[u].days; day++) {
      time_t at = year + (time_t)day * 86400;
      if ((at / 86400 + 3) % 7 < 5)
        add_check(out, &units[u], at + 7 * 3600 + 40 * 60, &state);
    }
    for (int i = 0; i < units[u].more; i++) /* from 1 September 2026 on */
      add_check(out, &units[u], (time_t)20697 * 86400 + (time_t)i * 1200, &state);
  }
  cr_assert_eq(fclose(out), 0);
  return log;
}

/* Imports that log into a new ledger and looks at the reports of September 2026. */
static void check_reports(char *log, const char *files) {
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  file_write(path, log, strlen(log));
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  char *said = RUN_DONE(folder, "report", "--month", "2026-09", "-o", ".");
  cr_expect_str_eq(said, files);
  for (char *file = said, *end; (end = strchr(file, '\n')) != NULL; file = end + 1) {
    *end = '\0';
    char *pdf = path_in(folder, file);
    struct stat found;
    cr_assert_eq(stat(pdf, &found), 0);
    cr_expect(found.st_size > 10000 && found.st_size < 1000000, "%s: %lld bytes", file,
              (long long)found.st_size);
    free(TOOL(folder, "qpdf", "--check", file));
    cr_expect_gt(check_words(folder, file), 200, "%s", file);
    free(pdf);
  }
  free(said);
  free(path);
  free(log);
  folder_end(folder);
}

static void check_made(const made *units, size_t n, const char *files) {
  check_reports(log_of(units, n), files);
}

Test(page_sizes, a_month_without_a_check) {
  check_made(&(made){"Gap", 2026, 200, 0, false}, 1, "./gap-2026-09.pdf\n");
}

Test(page_sizes, one_check) {
  check_made(&(made){"One", 2026, 0, 1, false}, 1, "./one-2026-09.pdf\n");
}

Test(page_sizes, two_thousand_checks_in_the_month) {
  check_made(&(made){"Busy", 2026, 240, 2000, false}, 1, "./busy-2026-09.pdf\n");
}

Test(page_sizes, one_characteristic) {
  check_made(&(made){"Voltage", 2026, 273, 0, true}, 1, "./voltage-2026-09.pdf\n");
}

Test(page_sizes, five_years) {
  check_made(&(made){"Long", 2021, 2098, 0, false}, 1, "./long-2026-09.pdf\n");
}

Test(page_sizes, three_units) {
  static const made units[] = {
      {"A", 2026, 273, 0, false}, {"B", 2026, 273, 0, false}, {"C", 2026, 260, 0, false}};
  check_made(units, 3,
             "./a-2026-09.pdf\n./b-2026-09.pdf\n./c-2026-09.pdf\n./all-units-2026-09.pdf\n");
}

/* The comparison itself: words over each other, side by side, and in lines that touch. */
Test(page_sizes, words_over_each_other_are_seen) {
  word one = {100, 100, 130, 110, "one"}, over = {120, 102, 150, 112, "over"},
       beside = {130, 100, 160, 110, "beside"}, under = {100, 109, 130, 119, "under"};
  cr_expect(overlap(&one, &over));
  cr_expect_not(overlap(&one, &beside));
  cr_expect_not(overlap(&one, &under));
}
