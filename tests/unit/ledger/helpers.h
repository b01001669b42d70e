/* Shared by the tests of the ledger room: a folder of their own and short ways to records. */
#ifndef LEDGER_TEST_HELPERS_H
#define LEDGER_TEST_HELPERS_H

#include "beamtally/ledger.h"

#include <criterion/criterion.h>
#include <sqlite3.h>
#include <string.h>

/* Passes, or shows the sentence. */
#define cr_ok(call, error)                                                                         \
  do {                                                                                             \
    bt_status cr_ok_status = (call);                                                               \
    cr_assert(cr_ok_status == BT_OK, "%s: %d: %s", #call, (int)cr_ok_status, (error).text);        \
  } while (0)

/* Passes where the call was refused in this way, with these words in the sentence of `error`. */
#define expect_refused(call, expected, words)                                                      \
  do {                                                                                             \
    bt_status refused = (call);                                                                    \
    cr_expect(refused == (expected) && strstr(error.text, words) != NULL, "%d: %s", (int)refused,  \
              error.text);                                                                         \
  } while (0)

/* A path in a fresh folder, which is removed when the test ends with test_cleanup. */
const char *test_path(const char *name);
void test_cleanup(void);

/* A new, empty one at test_path("ledger"): for speed not synced to the disk, or as it is in use. */
bt_ledger *test_ledger(void);
bt_ledger *test_synced_ledger(void);
bt_ledger *test_open(const char *path, bt_ledger_mode mode);

/* A new one that stays when it is closed with nothing in it, as one in a file that was there does.
 */
bt_ledger *test_kept(const char *path);

/* Closes a ledger that must be whole. */
void test_close_whole(bt_ledger *ledger);

/* The energies of unit A that stand, in order, are these n. */
#define test_stands(ledger, ...)                                                                   \
  test_energies_stand((ledger), (const double[]){__VA_ARGS__},                                     \
                      sizeof((const double[]){__VA_ARGS__}) / sizeof(double), __LINE__)
void test_energies_stand(bt_ledger *ledger, const double *energies, size_t n, int line);

bt_time test_time(const char *iso);

/* A source named `name` whose SHA-256 follows from the name. */
bt_source test_source(const char *name);

/* A check with an energy only. */
bt_check test_check(const char *unit, const char *iso, double energy, int64_t line);

/* Stores one frozen baseline, as bt_ledger_add_baselines does several. */
bt_status test_add_baseline(bt_ledger *ledger, const char *unit, const bt_baseline *baseline,
                            const bt_baseline_exclusion *exclusions, size_t exclusions_n,
                            bt_time now, int64_t *version, bt_error *error) BT_MUST_CHECK;

/* Imports n checks as one source. */
bt_import_counts test_import(bt_ledger *ledger, const char *name, const bt_check *checks, size_t n);

/* Units A and B, with every kind of row and of entry: six entries, three checks (log.csv), one row
 * held back, a refused line and an event (changed.csv), an event typed in, settings, a baseline. */
void test_fill(bt_ledger *ledger);

/* All bytes of a file, owned, with a NUL behind them; *n is how many. */
char *test_read_file(const char *path, size_t *n);

/* Runs statements in a database that need not be a ledger. */
void test_run(sqlite3 *db, const char *sql);

/* Makes the ledger that an older version of the program wrote (versionN.sql); returns path. */
const char *test_older_ledger(const char *path, int version);

/* The one integer that a query gives. */
int64_t test_number(bt_ledger *ledger, const char *sql);

/* Takes all triggers away; the list, owned, brings them back. */
char *test_drop_triggers(bt_ledger *ledger);

void test_state(bt_ledger *ledger, char *digits);

#define TEST_NOW ((bt_time)1767225600) /* 2026-01-01 */

/* Runs the body as a person without rights, in a process of its own, as root may write anywhere:
 * its exit status as waitpid tells it, 0 where it came to its end. */
int test_as_nobody(void (*body)(void));

#endif
