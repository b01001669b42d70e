/* Numbers of the demo's papers, each recomputed from its logs by another program:
 * thirty_numbers.R, in base R, which reads nothing that Beamtally wrote. */
#include "program.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PAPERS = 4 };

/* A paper's text as its lines lie, and column by column, or NULL: a sentence beside a table is
 * whole in one of them, a row of a table in the other. A form feed stands between its pages, the
 * caution between the units of a status. */
typedef struct paper {
  const char *name, *between;
  char *text, *columns;
} paper;

/* Blanks and line breaks as single blanks, in place. */
static char *squeeze(char *text) {
  char *to = text;
  for (const char *from = text; *from != '\0'; from++)
    if (!isspace((unsigned char)*from))
      *to++ = *from;
    else if (to > text && to[-1] != ' ')
      *to++ = ' ';
  *to = '\0';
  return text;
}

/* Does a page that begins with `first` say these words? */
static bool says(const paper *of, const char *text, const char *first, const char *words) {
  bool found = false;
  for (const char *page = text; page != NULL && !found;) {
    const char *end = strstr(page, of->between);
    char *copy = end == NULL ? strdup(page) : strndup(page, (size_t)(end - page));
    cr_assert_not_null(copy);
    char *at = squeeze(copy);
    found = strncmp(at + (*at == ' '), first, strlen(first)) == 0 && strstr(at, words) != NULL;
    free(copy);
    page = end == NULL ? NULL : end + strlen(of->between);
  }
  return found;
}

static const paper *paper_named(const paper *papers, const char *name) {
  for (size_t i = 0; i < PAPERS; i++)
    if (strcmp(papers[i].name, name) == 0)
      return &papers[i];
  cr_assert_fail("no paper is called \"%s\"", name);
  return NULL;
}

Test(numbers, thirty_of_the_papers_are_those_that_base_r_finds_in_the_logs) {
  char *folder = folder_begin(), *log = sample("suite-north.csv");
  demo_into(folder);
  free(RUN_DONE(folder, "report", "--month", "2026-09", "-o", "out"));
  free(RUN_DONE(folder, "evidence", "--unit", "Suite North", "--from", "2026-01-01", "-o", "case"));
  paper papers[PAPERS] = {
      {"north", "\f", TOOL(folder, "pdftotext", "-layout", "out/suite-north-2026-09.pdf", "-"),
       TOOL(folder, "pdftotext", "out/suite-north-2026-09.pdf", "-")},
      {"south", "\f", TOOL(folder, "pdftotext", "-layout", "out/suite-south-2026-09.pdf", "-"),
       TOOL(folder, "pdftotext", "out/suite-south-2026-09.pdf", "-")},
      {"case", "\f", TOOL(folder, "pdftotext", "-layout", "case/evidence.pdf", "-"),
       TOOL(folder, "pdftotext", "case/evidence.pdf", "-")},
      {"status", "clinician.\n", RUN_DONE(folder, "status"), NULL}};

  *strrchr(log, '/') = '\0'; /* the folder of all logs */
  char *cases =
      TOOL(folder, "Rscript", "--vanilla", BEAMTALLY_TREE "/tests/cli/thirty_numbers.R", log);
  size_t cases_n = 0;
  char *rest = NULL;
  for (char *line = strtok_r(cases, "\n", &rest); line != NULL;
       line = strtok_r(NULL, "\n", &rest)) {
    char *next = NULL;
    const char *name = strtok_r(line, "\t", &next), *first = strtok_r(NULL, "\t", &next),
               *words = strtok_r(NULL, "\t", &next);
    cr_assert_not_null(words, "%s", line);
    const paper *of = paper_named(papers, name);
    cr_expect(says(of, of->text, first, words) || says(of, of->columns, first, words),
              "R finds \"%s\"; no page \"%s\" of \"%s\" says so", words, first, name);
    cases_n++;
  }
  cr_expect_eq(cases_n, 30, "%zu lines", cases_n);
  free(cases);
  for (size_t i = 0; i < PAPERS; i++) {
    free(papers[i].text);
    free(papers[i].columns);
  }
  free(log);
  folder_end(folder);
}
