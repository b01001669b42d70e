/* A log imported again adds nothing, in whatever form its rows come back. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const logs[] = {"suite-north.csv", "suite-north-2026-q3.csv", "suite-south.txt",
                                   "events.csv"};
enum { LOGS = 4, SOUTH = 2 };

/* Imports a file into the demo's ledger, as the demo does. Owned. */
static char *import(const char *folder, const char *path, bool south) {
  char *map = sample("suite-south.map.ini");
  char *said =
      south ? RUN_DONE(folder, "import", "--map", map, path) : RUN_DONE(folder, "import", path);
  free(map);
  return said;
}

/* Checks of both units, as status counts them. */
static void counts_must_be(const char *folder, const char *north, const char *south) {
  char *said = RUN_DONE(folder, "status");
  cr_expect_not_null(strstr(said, north), "%s", said);
  cr_expect_not_null(strstr(said, south), "%s", said);
  free(said);
}

Test(idempotence, the_same_files_again_add_nothing) {
  char *folder = folder_begin();
  demo_into(folder);
  char *before = all_of_demo(folder), *status = RUN_DONE(folder, "status");
  counts_must_be(folder, "354 checks", "351 checks");
  for (size_t i = 0; i < LOGS; i++) {
    char *path = sample(logs[i]), *said = import(folder, path, i == SOUTH);
    cr_expect_not_null(strstr(said, "in the ledger already; nothing added"), "%s", said);
    free(said);
    free(path);
  }
  char *after = all_of_demo(folder), *status_after = RUN_DONE(folder, "status");
  cr_expect_str_eq(before, after);
  cr_expect_str_eq(status, status_after, "the ledger state stands in it");
  free(before);
  free(after);
  free(status);
  free(status_after);
  folder_end(folder);
}

/* The file with CRLF line ends. */
static char *with_crlf(const char *text, size_t n, size_t *made) {
  char *copy = malloc(2 * n + 1);
  cr_assert_not_null(copy);
  *made = 0;
  for (size_t i = 0; i < n; i++) {
    if (text[i] == '\n')
      copy[(*made)++] = '\r';
    copy[(*made)++] = text[i];
  }
  return copy;
}

/* The file with its rows, but for the first `head` lines, in reverse order. */
static char *reversed(const char *text, size_t n, size_t head, size_t *made) {
  char *copy = malloc(n + 1);
  cr_assert_not_null(copy);
  size_t top = 0;
  for (size_t lines = 0; lines < head; top++)
    lines += text[top] == '\n';
  memcpy(copy, text, top);
  *made = top;
  cr_assert_eq(text[n - 1], '\n');
  for (size_t end = n; end > top;) {
    size_t start = end - 1;
    while (start > top && text[start - 1] != '\n')
      start--;
    memcpy(copy + *made, text + start, end - start);
    *made += end - start;
    end = start;
  }
  cr_assert_eq(*made, n);
  return copy;
}

static void other_form_adds_nothing(bool crlf) {
  char *folder = folder_begin();
  demo_into(folder);
  char *before = all_of_demo(folder);
  for (size_t i = 0; i < LOGS; i++) {
    char *path = sample(logs[i]), *copy = path_in(folder, logs[i]);
    size_t n, made;
    char *text = file_read(path, &n);
    char *other = crlf ? with_crlf(text, n, &made) : reversed(text, n, i == SOUTH ? 3 : 1, &made);
    cr_assert(made != n || memcmp(text, other, n) != 0);
    file_write(copy, other, made);
    char *said = import(folder, copy, i == SOUTH);
    cr_expect_not_null(strstr(said, " 0 new, "), "%s", said);
    cr_expect_not_null(strstr(said, " 0 conflicts, "), "%s", said);
    free(said);
    free(text);
    free(other);
    free(path);
    free(copy);
  }
  counts_must_be(folder, "354 checks", "351 checks");
  char *after = all_of_demo(folder);
  /* Points keep the source and line that they first came from. */
  cr_expect_str_eq(before, after);
  free(before);
  free(after);
  folder_end(folder);
}

Test(idempotence, a_copy_with_other_line_ends_adds_nothing) {
  other_form_adds_nothing(true);
}

Test(idempotence, a_copy_in_another_order_adds_nothing) {
  other_form_adds_nothing(false);
}

/* The rows of the third quarter's export, one half after the other: the longer export brings the
 * second half alone, and the order of the exports does not matter. */
Test(idempotence, a_longer_export_adds_its_surplus_alone) {
  char *folder = folder_begin(), *path = sample("suite-north-2026-q3.csv");
  char *half = path_in(folder, "half.csv");
  size_t n;
  char *text = file_read(path, &n);
  size_t cut = 0, rows = 0;
  while (rows < 32) /* the header and 31 checks */
    rows += text[cut++] == '\n';
  file_write(half, text, cut);
  char *said = RUN_DONE(folder, "import", "half.csv");
  cr_expect_str_eq(said, "half.csv: 31 rows, 31 new, 0 already known, 0 conflicts, 0 refused\n");
  free(said);
  said = RUN_DONE(folder, "import", path);
  cr_expect_not_null(strstr(said, ": 63 rows, 32 new, 31 already known, 0 conflicts, 0 refused"),
                     "%s", said);
  free(said);

  char *other = folder_begin();
  free(RUN_DONE(other, "import", path));
  said = RUN_DONE(other, "import", half);
  cr_expect_not_null(strstr(said, ": 31 rows, 0 new, 31 already known"), "%s", said);
  free(said);
  json_t *one = analysis_of(folder, "Suite North", "fluence", NULL);
  json_t *two = analysis_of(other, "Suite North", "fluence", NULL);
  cr_expect(json_equal(json_object_get(one, "baseline"), json_object_get(two, "baseline")));
  cr_expect_eq(number_of(one, "n"), number_of(two, "n"));
  json_decref(one);
  json_decref(two);
  free(text);
  free(half);
  free(path);
  folder_end(folder);
  folder_end(other);
}
