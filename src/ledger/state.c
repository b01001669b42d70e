/* The place of a printed ledger state in the chain. People copy it from paper: what was mistyped is
 * told apart from a state that isn't there. */
#include "ledger_private.h"
#include "sql_private.h"

#include <ctype.h>
#include <sodium.h>
#include <string.h>

enum { STATE_DIGITS = 20, STATE_BYTES = STATE_DIGITS / 2, MISTYPED_MOST = 2 };

/* What was given, blanks taken out and in lower case. */
typedef struct given_state {
  const char *words;
  char digits[STATE_DIGITS + 1];
  unsigned char bytes[STATE_BYTES];
} given_state;

static bt_status not_the_form(const char *words, size_t digits, size_t wrong, bt_error *error) {
  if (wrong != 0)
    return bt_fail(
        error, BT_USAGE,
        "\"%.80s\" is not the form of a state: a report prints it as 20 hex digits (0 to "
        "9, a to f) in groups of 4, and sign %zu of this is no such digit; check it "
        "against the page",
        words, wrong);
  return bt_fail(error, BT_USAGE,
                 "\"%.80s\" is not the form of a state: a report prints it as 20 hex digits (0 to "
                 "9, a to f) in groups of 4, and this has %s%zu; check it against the page",
                 words, digits > STATE_DIGITS ? "more: " : "", digits);
}

static bt_status read_digits(const char *words, given_state *given, bt_error *error) {
  size_t n = 0, place = 0;
  *given = (given_state){.words = words};
  for (const char *at = words; *at != '\0'; at++) {
    place++;
    if (*at == ' ')
      continue;
    if (!isxdigit((unsigned char)*at))
      return not_the_form(words, n, place, error);
    if (n < STATE_DIGITS)
      given->digits[n] = (char)tolower((unsigned char)*at);
    n++;
  }
  if (n != STATE_DIGITS ||
      sodium_hex2bin(given->bytes, STATE_BYTES, given->digits, n, NULL, NULL, NULL) != 0)
    return not_the_form(words, n, 0, error);
  return BT_OK;
}

/* An entry whose state is but MISTYPED_MOST digits off. Of 80 random bits that is no accident. */
typedef struct near_state {
  int64_t entry; /* 0: none */
  int off;
  char digits[STATE_DIGITS + 1];
} near_state;

static void compare(const given_state *given, sqlite3_stmt *row, near_state *near) {
  char digits[STATE_DIGITS + 1];
  int off = 0;
  if (sqlite3_column_bytes(row, 1) != STATE_BYTES)
    return;
  (void)sodium_bin2hex(digits, sizeof digits, sqlite3_column_blob(row, 1), STATE_BYTES);
  for (int i = 0; i < STATE_DIGITS; i++)
    off += digits[i] != given->digits[i];
  if (off > MISTYPED_MOST || (near->entry != 0 && off >= near->off))
    return;
  near->entry = sqlite3_column_int64(row, 0);
  near->off = off;
  memcpy(near->digits, digits, sizeof digits);
}

static bt_status find_near(bt_ledger *ledger, const given_state *given, near_state *near,
                           bt_error *error) {
  sqlite3_stmt *rows = NULL;
  *near = (near_state){0};
  bt_status status = ledger_prepare(
      ledger, "SELECT number, substr(state, 1, 10) FROM main.entry ORDER BY number", &rows, error);
  while (ledger_next(ledger, rows, &status, error))
    compare(given, rows, near);
  (void)sqlite3_finalize(rows);
  return status;
}

static bt_status not_there(bt_ledger *ledger, const given_state *given, bt_error *error) {
  near_state near;
  bt_status status = find_near(ledger, given, &near, error);
  if (status == BT_OK && near.entry != 0)
    status = bt_fail(error, BT_NOTFOUND,
                     "%s: the state %.80s does not stand in this ledger's chain, but that of entry "
                     "%lld, %s, differs from it in %d digit%s only: check the digits against the "
                     "page",
                     ledger->path, given->words, (long long)near.entry, near.digits, near.off,
                     near.off == 1 ? "" : "s");
  else if (status == BT_OK)
    status = bt_fail(error, BT_NOTFOUND,
                     "%s: the state %.80s does not stand in this ledger's chain; check the digits "
                     "against the page first. If they are right, the ledger was altered since that "
                     "report and its chain computed anew, or entries were taken off its end, or an "
                     "older backup was restored (and written on: a fork), or this is another "
                     "ledger: compare it with a backup made after that report",
                     ledger->path, given->words);
  return status;
}

bt_status bt_ledger_find_state(bt_ledger *ledger, const char *digits, bt_state_place *place,
                               bt_error *error) {
  given_state given;
  sqlite3_stmt *statement = NULL;
  bool row = false;
  *place = (bt_state_place){0};
  bt_status status = read_digits(digits, &given, error);
  if (status == BT_OK)
    status = ledger_prepare(ledger,
                            "SELECT number, at, (SELECT count(*) FROM main.entry AS l "
                            "WHERE l.number > e.number) FROM main.entry AS e "
                            "WHERE substr(state, 1, 10) = ?1 ORDER BY number LIMIT 1",
                            &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "b", given.bytes, sizeof given.bytes);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && row)
    *place = (bt_state_place){.entry = sqlite3_column_int64(statement, 0),
                              .at = sqlite3_column_int64(statement, 1),
                              .after = sqlite3_column_int64(statement, 2)};
  (void)sqlite3_finalize(statement);
  return status == BT_OK && !row ? not_there(ledger, &given, error) : status;
}
