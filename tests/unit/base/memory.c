/* Checked allocation, and text that grows. */
#include "beamtally/base.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* Reading the sizes at run time keeps the compiler from warning of sizes that can't be had. */
static volatile size_t huge = SIZE_MAX;

Test(memory, new_is_zeroed_and_checked) {
  int64_t *items = bt_new(1000, sizeof *items);
  cr_assert_not_null(items);
  for (size_t i = 0; i < 1000; i++)
    cr_assert_eq(items[i], 0);
  free(items);

  void *none = bt_new(0, sizeof *items);
  cr_assert_not_null(none);
  free(none);
}

Test(memory, new_refuses_what_overflows) {
  cr_assert_null(bt_new(huge / 2, 3));
  cr_assert_null(bt_new(3, huge / 2));
  cr_assert_null(bt_new(huge / 8 + 1, 8)); /* the product is 2^64: 0 when it wraps */
}

Test(memory, copy) {
  char *copy = bt_copy("Suite North");
  cr_assert_str_eq(copy, "Suite North");
  free(copy);
  copy = bt_copy("");
  cr_assert_str_eq(copy, "");
  free(copy);
  cr_assert_null(bt_copy(NULL));
}

Test(memory, grow_keeps_and_zeroes) {
  int32_t *items = NULL;
  size_t capacity = 0;
  size_t moves = 0;
  for (size_t n = 1; n <= 5000; n++) {
    size_t before = capacity;
    cr_assert(bt_grow(&items, &capacity, n, sizeof *items));
    cr_assert(capacity >= n);
    moves += capacity != before;
    for (size_t i = before; i < capacity; i++)
      cr_assert_eq(items[i], 0);
    items[n - 1] = (int32_t)n;
  }
  for (size_t i = 0; i < 5000; i++)
    cr_assert_eq(items[i], (int32_t)i + 1);
  cr_assert(moves < 25, "grown %zu times: not by half as much again", moves);

  size_t same = capacity;
  cr_assert(bt_grow(&items, &capacity, 1, sizeof *items));
  cr_assert_eq(capacity, same);
  free(items);
}

Test(memory, grow_that_overflows_changes_nothing) {
  int64_t *items = NULL;
  size_t capacity = 0;
  cr_assert(bt_grow(&items, &capacity, 3, sizeof *items));
  items[2] = 42;
  int64_t *before = items;
  size_t had = capacity;
  cr_assert_not(bt_grow(&items, &capacity, huge, sizeof *items));
  cr_assert_not(bt_grow(&items, &capacity, huge / 8 + 1, sizeof *items));
  cr_assert_not(bt_grow(&items, &capacity, 100, 0));
  cr_assert_eq(items, before);
  cr_assert_eq(capacity, had);
  cr_assert_eq(items[2], 42);
  free(items);
}

Test(text, grows_by_appending) {
  bt_text text = {0}, lost = {.failed = true};
  cr_assert(!bt_text_empty(&lost), "what there was no memory for would be left out");
  cr_assert_str_eq(bt_text_get(&text), "");
  cr_assert(bt_text_empty(&text));
  bt_text_add(&text, "a");
  cr_assert(!bt_text_empty(&text));
  bt_text_add(&text, "");
  bt_text_format(&text, "%d-%s", 17, "µm");
  bt_text_add_bytes(&text, "xyz", 2);
  bt_text_add_bytes(&text, NULL, 0);
  cr_assert(bt_text_ok(&text));
  cr_assert_str_eq(bt_text_get(&text), "a17-µmxy");
  cr_assert_eq(text.length, strlen("a17-µmxy"));
  bt_text_free(&text);
  cr_assert_str_eq(bt_text_get(&text), "");
  bt_text_free(NULL);
}

/* Against a plain copy, for pieces of every size up to well past the first growths. */
Test(text, equals_a_plain_copy) {
  enum { MOST = 300 };
  static char plain[MOST * (MOST + 1)];
  char piece[MOST + 1];
  size_t used = 0;
  bt_text text = {0};
  for (size_t n = 0; n < MOST; n++) {
    memset(piece, 'a' + (int)(n % 26), n);
    piece[n] = '\0';
    memcpy(plain + used, piece, n);
    used += n;
    if (n % 3 == 0)
      bt_text_add(&text, piece);
    else if (n % 3 == 1)
      bt_text_format(&text, "%s", piece);
    else
      bt_text_add_bytes(&text, piece, n);
  }
  cr_assert(bt_text_ok(&text));
  cr_assert_eq(text.length, used);
  cr_assert(memcmp(text.data, plain, used) == 0);
  cr_assert_eq(text.data[used], '\0');
  bt_text_free(&text);
}

Test(text, a_failure_sticks) {
  bt_text text = {0};
  bt_text_add(&text, "before");
  bt_text_add_bytes(&text, "x", huge - 2); /* refused before a byte is read */
  cr_assert_not(bt_text_ok(&text));
  bt_text_add(&text, "after");
  bt_text_format(&text, "%d", 1);
  cr_assert_not(bt_text_ok(&text));
  cr_assert_str_eq(bt_text_get(&text), "before");

  bt_text_clear(&text); /* who looks at the end learns of it all the same */
  cr_assert_not(bt_text_ok(&text));
  cr_assert_str_eq(bt_text_get(&text), "");
  bt_text_free(&text);
  cr_assert(bt_text_ok(&text));
  bt_text_add(&text, "anew");
  cr_assert_str_eq(bt_text_get(&text), "anew");
  bt_text_free(&text);
}

Test(text, take) {
  bt_text text = {0};
  char *taken = bt_text_take(&text);
  cr_assert_str_eq(taken, "");
  free(taken);

  bt_text_add(&text, "all of it");
  taken = bt_text_take(&text);
  cr_assert_str_eq(taken, "all of it");
  free(taken);
  cr_assert_eq(text.length, 0);
  cr_assert_str_eq(bt_text_get(&text), "");

  bt_text_add(&text, "lost");
  text.failed = true;
  cr_assert_null(bt_text_take(&text));
  cr_assert(bt_text_ok(&text));
}
