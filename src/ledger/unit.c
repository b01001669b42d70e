/* Units: found by their folded name; kept under the name as first written, by the settings in force
 * or else by what brought it. */
#include "ledger_private.h"
#include "sql_private.h"
#include "unit_private.h"

#include <stdlib.h>
#include <string.h>

/* The first unit of a name that is the same to bt_same_name. */
static bt_status same_unit(bt_ledger *ledger, const char *name, int64_t *number, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_status status = ledger_prepare(ledger, "SELECT number, name FROM main.unit ORDER BY number",
                                    &statement, error);
  while (*number == 0 && ledger_next(ledger, statement, &status, error)) {
    const char *other = (const char *)sqlite3_column_text(statement, 1);
    if (other != NULL && bt_same_name(other, name))
      *number = sqlite3_column_int64(statement, 0);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

/* A ledger of an older version may hold a name in two forms of the same letters, each a unit: each
 * form finds its own. */
bt_status ledger_unit_number(bt_ledger *ledger, const char *name, int64_t *number,
                             bt_error *error) {
  *number = 0;
  char *folded = bt_fold_name(name);
  if (folded == NULL)
    return bt_fail_memory(error);
  bt_status status = ledger_number_of(
      ledger, error, "SELECT number FROM main.unit WHERE folded = ?1", number, "t", folded);
  free(folded);
  if (status == BT_OK && *number == 0)
    status = same_unit(ledger, name, number, error);
  return status;
}

/* As the settings write it, in a [unit] or else a tolerance; else as it came. */
static const char *spelling(const bt_settings *settings, const char *name) {
  const bt_unit_setting *unit = bt_settings_unit(settings, name);
  if (unit != NULL)
    return unit->name;
  for (size_t t = 0; t < settings->tolerances_n; t++)
    if (bt_same_name(settings->tolerances[t].unit, name))
      return settings->tolerances[t].unit;
  return name;
}

bt_status ledger_unit_add(bt_ledger *ledger, const char *given, int64_t entry, int64_t *number,
                          bt_error *error) {
  bt_settings settings = {0};
  bt_status status = bt_ledger_settings(ledger, &settings, error);
  if (status != BT_OK)
    return status;
  const char *name = spelling(&settings, given);
  char *folded = bt_fold_name(name);
  status = folded == NULL ? bt_fail_memory(error)
                          : ledger_number(ledger, LEDGER_NEXT_NUMBER("unit"), number, error);
  if (status == BT_OK)
    status = ledger_put(ledger, error,
                        "INSERT INTO main.unit (number, name, folded, entry) "
                        "VALUES (?1, ?2, ?3, ?4)",
                        "itti", *number, name, folded, entry);
  free(folded);
  bt_settings_free(&settings);
  return status;
}

bt_status ledger_unit_declared(bt_ledger *ledger, const char *name, bool *declared,
                               bt_error *error) {
  bt_settings settings = {0};
  bt_status status = bt_ledger_settings(ledger, &settings, error);
  *declared = status == BT_OK && bt_settings_unit(&settings, name) != NULL;
  bt_settings_free(&settings);
  return status;
}

bt_status ledger_unit_take(bt_ledger *ledger, const char *name, bool new_unit, int64_t entry,
                           int64_t *number, bt_error *error) {
  bool declared = false;
  bt_status status = ledger_unit_number(ledger, name, number, error);
  if (status != BT_OK || *number != 0)
    return status;
  status = ledger_unit_declared(ledger, name, &declared, error);
  if (status != BT_OK)
    return status;
  if (new_unit || declared)
    return ledger_unit_add(ledger, name, entry, number, error);
  return ledger_unit_unknown(ledger, name, BT_REFUSED, LEDGER_NEW_UNIT_ADVICE, error);
}

/* "Laser 1", "laser1" and "LASER-1": the same letters and digits. */
static bool same_letters(const char *a, const char *b) {
  for (;; a++, b++) {
    while (*a != '\0' && strchr(" -_./#:", *a) != NULL)
      a++;
    while (*b != '\0' && strchr(" -_./#:", *b) != NULL)
      b++;
    char x = *a >= 'A' && *a <= 'Z' ? (char)(*a + ('a' - 'A')) : *a;
    char y = *b >= 'A' && *b <= 'Z' ? (char)(*b + ('a' - 'A')) : *b;
    if (x != y || x == '\0')
      return x == y;
  }
}

bt_status ledger_unit_resembles(bt_ledger *ledger, const char *name, bool *like, bt_error *error) {
  char **names = NULL;
  size_t n = 0;
  *like = false;
  bt_status status = bt_ledger_units(ledger, &names, &n, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    *like = *like || same_letters(name, names[i]);
  if (status == BT_OK)
    bt_names_free(names, n);
  return status;
}

/* " (it holds \"A\", \"B\")": all names where they are few. */
static void add_names(char *const *names, size_t n, const char *before, bt_text *out) {
  enum { FEW = 8 };
  for (size_t i = 0; i < n && n <= FEW; i++)
    bt_text_format(out, "%s\"%s\"", i == 0 ? before : ", ", names[i]);
}

/* A name that shares no more than its length with the one that was meant is no misspelling. */
static bool is_near(const char *name, const char *other) {
  return same_letters(name, other) || 3 * bt_name_distance(name, other) <= strlen(name);
}

bt_status ledger_unit_unknown(bt_ledger *ledger, const char *name, bt_status status,
                              const char *advice, bt_error *error) {
  char **names = NULL;
  size_t n = 0;
  bt_text held = {0};
  bt_status listed = bt_ledger_units(ledger, &names, &n, error);
  if (listed != BT_OK)
    return listed;
  size_t nearest = 0;
  for (size_t i = 1; i < n; i++)
    if (!same_letters(name, names[nearest]) &&
        (same_letters(name, names[i]) ||
         bt_name_distance(name, names[i]) < bt_name_distance(name, names[nearest])))
      nearest = i;
  bool brings = status == BT_REFUSED; /* what is put in: it may be a laser of its own */
  add_names(names, n, brings ? " (it holds " : "; it has ", &held);
  if (n == 0)
    status = bt_fail(error, status,
                     "the ledger has no unit yet, so no \"%s\"; import a log of it first", name);
  else if (is_near(name, names[nearest]) || held.length == 0)
    status =
        bt_fail(error, status, "the ledger has no unit named \"%s\"; the nearest is \"%s\"; %s",
                name, names[nearest], advice);
  else if (brings)
    status = bt_fail(error, status, "\"%s\" is new to this ledger%s); %s", name, bt_text_get(&held),
                     advice);
  else
    status = bt_fail(error, status, "the ledger has no unit named \"%s\"%s; %s", name,
                     bt_text_get(&held), advice);
  bt_text_free(&held);
  bt_names_free(names, n);
  return status;
}

bt_status ledger_unit_name(bt_ledger *ledger, int64_t number, char **name, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = false;
  *name = NULL;
  bt_status status =
      ledger_prepare(ledger, "SELECT name FROM main.unit WHERE number = ?1", &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "i", number);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, &row, error);
  if (status == BT_OK && !row)
    status = bt_fail(error, BT_DAMAGED, "%s: the ledger has lost a unit; use a backup of it",
                     ledger->path);
  if (status == BT_OK && (*name = bt_copy((const char *)sqlite3_column_text(statement, 0))) == NULL)
    status = bt_fail_memory(error);
  (void)sqlite3_finalize(statement);
  return status;
}

bt_status ledger_unit_known(bt_ledger *ledger, const char *name, int64_t *number, bt_error *error) {
  bt_status status = ledger_unit_number(ledger, name, number, error);
  if (status == BT_OK && *number == 0)
    status = ledger_unit_unknown(ledger, name, BT_NOTFOUND, "check the name", error);
  return status;
}

bt_status bt_ledger_units(bt_ledger *ledger, char ***names, size_t *n, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  char **list = NULL;
  size_t used = 0;
  size_t capacity = 0;
  *names = NULL;
  *n = 0;
  bt_status status =
      ledger_prepare(ledger, "SELECT name FROM main.unit ORDER BY number", &statement, error);
  while (ledger_next(ledger, statement, &status, error)) {
    if (!bt_grow(&list, &capacity, used + 1, sizeof *list) ||
        (list[used] = bt_copy((const char *)sqlite3_column_text(statement, 0))) == NULL)
      status = bt_fail_memory(error);
    else
      used++;
  }
  (void)sqlite3_finalize(statement);
  if (status != BT_OK) {
    bt_names_free(list, used);
    return status;
  }
  *names = list;
  *n = used;
  return BT_OK;
}

void bt_names_free(char **names, size_t n) {
  for (size_t i = 0; i < n; i++)
    free(names[i]);
  free(names);
}

bt_status bt_ledger_find_unit(bt_ledger *ledger, const char *name, char **found, bt_error *error) {
  int64_t number = 0;
  *found = NULL;
  bt_status status = ledger_unit_known(ledger, name, &number, error);
  return status == BT_OK ? ledger_unit_name(ledger, number, found, error) : status;
}
