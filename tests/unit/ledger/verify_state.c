/* A printed state in the chain: forged ledgers, older copies, states typed in. */
#include "forge.h"
#include "helpers.h"
#include "sql_private.h"

#include <stdio.h>
#include <stdlib.h>

TestSuite(ledger_verify_state, .fini = test_cleanup);

static void copy_file(const char *from, const char *to) {
  bt_ledger *ledger = test_open(from, BT_LEDGER_READ);
  bt_verification found;
  bt_error error = {0};
  FILE *empty = fopen(to, "w");
  cr_assert(empty != NULL && fclose(empty) == 0);
  cr_ok(bt_ledger_copy(ledger, to, &found, &error), error);
  bt_ledger_close(ledger);
}

Test(ledger_verify_state, a_reading_forged_with_its_chain_shows_by_the_printed_state_alone) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  bt_state_place place;
  char printed[21], first[21];
  test_state(ledger, first);
  test_fill(ledger);
  test_state(ledger, printed);
  cr_ok(bt_ledger_find_state(ledger, printed, &place, &error), error);

  char *triggers = test_drop_triggers(ledger);
  cr_ok(
      ledger_run(ledger, "UPDATE checks SET meter = NULL, energy_mj = 1.6 WHERE line = 3", &error),
      error);
  cr_assert_eq(bt_ledger_verify(ledger, &found, &error), BT_DAMAGED);
  cr_assert_not_null(strstr(error.text, "the check of \"B\""), "%s", error.text);
  forge_digest(ledger, "WHERE line = 3");
  cr_assert_eq(bt_ledger_verify(ledger, &found, &error), BT_DAMAGED);
  cr_assert_not_null(strstr(error.text, "entry 2 (import"), "%s", error.text);
  forge_chain(ledger, 2);
  cr_ok(ledger_run(ledger, triggers, &error), error);
  free(triggers);
  bt_ledger_close(ledger);

  ledger = test_open(test_path("ledger"), BT_LEDGER_READ);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_assert(found.entries == 6 && found.checks == 3);
  cr_assert_eq(bt_ledger_find_state(ledger, printed, &place, &error), BT_NOTFOUND);
  cr_ok(bt_ledger_find_state(ledger, first, &place, &error), error);
  cr_assert_eq(place.after, 5);
  bt_ledger_close(ledger);
}

Test(ledger_verify_state, a_row_added_with_a_right_digest_is_found_by_its_entry) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  test_fill(ledger);
  char *triggers = test_drop_triggers(ledger);
  cr_ok(ledger_run(ledger,
                   "INSERT INTO checks (unit, time, sequence, has_clock, source, line, last_line, "
                   "state, refill, energy_mj, digest) VALUES (2, 0, 0, 1, 1, 5, 5, 0, 0, 1.5, "
                   "zeroblob(16))",
                   &error),
        error);
  forge_digest(ledger, "WHERE line = 5");
  cr_assert_eq(bt_ledger_verify(ledger, &found, &error), BT_DAMAGED);
  cr_assert_not_null(strstr(error.text, "entry 2 (import"), "%s", error.text);
  free(triggers);
  bt_ledger_close(ledger);
}

Test(ledger_verify_state, a_state_is_found_at_its_entry_however_it_is_typed) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_state_place place;
  char state[21], typed[40] = "";
  bt_check check = test_check("A", "2026-01-01", 1, 2);
  (void)test_import(ledger, "one.csv", &check, 1);
  test_state(ledger, state);
  check = test_check("A", "2026-01-02", 1, 2);
  (void)test_import(ledger, "two.csv", &check, 1);
  for (size_t i = 0; i < 20; i++) {
    char letter = state[i] >= 'a' ? (char)(state[i] - 'a' + 'A') : state[i];
    size_t n = strlen(typed);
    (void)snprintf(typed + n, sizeof typed - n, "%s%c", i > 0 && i % 4 == 0 ? " " : "", letter);
  }
  const char *const forms[] = {state, typed};
  for (size_t i = 0; i < 2; i++) {
    cr_ok(bt_ledger_find_state(ledger, forms[i], &place, &error), error);
    cr_assert(place.entry == 2 && place.after == 1 && place.at == TEST_NOW, "%s", forms[i]);
  }
  static const char *const wrong[] = {"", "12", "0123456789abcdef0123x", "0123456789abcdef012g",
                                      "0123456789abcdef01234"};
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
    cr_assert_eq(bt_ledger_find_state(ledger, wrong[i], &place, &error), BT_USAGE, "%s", wrong[i]);
  cr_assert_eq(bt_ledger_find_state(ledger, "00000000000000000000", &place, &error), BT_NOTFOUND);
  cr_expect_not_null(strstr(error.text, "check the digits against the page first"), "%s",
                     error.text);
  bt_ledger_close(ledger);
}

Test(ledger_verify_state, an_older_copy_that_was_written_on_lacks_the_printed_state) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_state_place place;
  char common[21], printed[21];
  test_fill(ledger);
  test_state(ledger, common);
  copy_file(test_path("ledger"), test_path("older"));
  bt_check check = test_check("A", "2026-02-01", 1, 2);
  (void)test_import(ledger, "february.csv", &check, 1);
  test_state(ledger, printed);
  bt_ledger_close(ledger);

  ledger = test_open(test_path("older"), BT_LEDGER_WRITE);
  check.reading[BT_READING_ENERGY_MJ] = 1.1;
  (void)test_import(ledger, "february again.csv", &check, 1);
  bt_verification found;
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_assert_eq(bt_ledger_find_state(ledger, printed, &place, &error), BT_NOTFOUND);
  cr_assert_not_null(strstr(error.text, "an older backup was restored (and written on: a fork)"),
                     "%s", error.text);
  cr_ok(bt_ledger_find_state(ledger, common, &place, &error), error);
  cr_assert_eq(place.after, 1);
  bt_ledger_close(ledger);
}

static void must_say(bt_ledger *ledger, const char *digits, bt_status status, const char *words) {
  bt_error error = {0};
  bt_state_place place;
  cr_expect_eq(bt_ledger_find_state(ledger, digits, &place, &error), status, "%s", digits);
  cr_expect_not_null(strstr(error.text, words), "%s", error.text);
}

/* What a person copies from paper: a digit misread, two changed about, one too few, an o for 0. */
Test(ledger_verify_state, a_mistyped_state_is_said_to_be_mistyped) {
  bt_ledger *ledger = test_ledger();
  char state[21], typed[24];
  test_fill(ledger);
  test_state(ledger, state);
  memcpy(typed, state, sizeof state);
  typed[7] = typed[7] == '3' ? '8' : '3';
  must_say(ledger, typed, BT_NOTFOUND, "that of entry 6, ");
  must_say(ledger, typed, BT_NOTFOUND, "differs from it in 1 digit only: check the digits");
  size_t at = 0;
  while (state[at] == state[at + 1])
    at++;
  memcpy(typed, state, sizeof state);
  typed[at] = state[at + 1];
  typed[at + 1] = state[at];
  must_say(ledger, typed, BT_NOTFOUND, "in 2 digits only");
  memcpy(typed, state, sizeof state);
  for (at = 0; at < 3; at++)
    typed[at] = typed[at] == '3' ? '8' : '3';
  must_say(ledger, typed, BT_NOTFOUND, "its chain computed anew");
  must_say(ledger, typed, BT_NOTFOUND, "taken off its end");
  memcpy(typed, state, sizeof state);
  typed[19] = '\0';
  must_say(ledger, typed, BT_USAGE, "is not the form of a state");
  must_say(ledger, typed, BT_USAGE, "this has 19;");
  typed[19] = 'o';
  typed[20] = '\0';
  must_say(ledger, typed, BT_USAGE, "sign 20 of this is no such digit");
  bt_ledger_close(ledger);
}

/* Who takes the newest entries off has a whole ledger; the state of the newest page tells. */
Test(ledger_verify_state, entries_taken_off_the_end_show_by_the_printed_state_alone) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  bt_event event = {.unit = "A", .kind = BT_EVENT_SERVICE, .time = test_time("2026-03-01")};
  char printed[21];
  bool known = false;
  bt_check check = test_check("A", "2026-01-01", 1, 2);
  (void)test_import(ledger, "one.csv", &check, 1);
  cr_ok(bt_ledger_add_event(ledger, &event, false, "KL", TEST_NOW + BT_DAY, &known, &error), error);
  test_state(ledger, printed);
  char *triggers = test_drop_triggers(ledger);
  cr_ok(ledger_run(ledger, "DELETE FROM event; DELETE FROM entry WHERE number = 3", &error), error);
  cr_ok(ledger_run(ledger, triggers, &error), error);
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect(found.entries == 2 && found.last == TEST_NOW);
  must_say(ledger, printed, BT_NOTFOUND, "taken off its end");
  free(triggers);
  bt_ledger_close(ledger);
}

Test(ledger_verify_state, entries_dated_before_the_one_before_are_counted) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  bt_verification found;
  bool known = false;
  static const int days[] = {3, 3, 1, 5, 4};
  for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
    bt_event event = {.unit = "A",
                      .kind = BT_EVENT_SERVICE,
                      .time = test_time("2026-03-01") + (bt_time)i * BT_DAY};
    cr_ok(bt_ledger_add_event(ledger, &event, true, "KL", TEST_NOW + days[i] * BT_DAY, &known,
                              &error),
          error);
  }
  cr_ok(bt_ledger_verify(ledger, &found, &error), error);
  cr_expect(found.backward == 2 && found.backward_at == 4);
  cr_expect_eq(found.backward_date, TEST_NOW + BT_DAY);
  cr_expect_eq(found.backward_before, TEST_NOW + 3 * BT_DAY);
  cr_expect_eq(found.last, TEST_NOW + 4 * BT_DAY);
  bt_ledger_close(ledger);
}
