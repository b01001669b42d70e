/* Finds the check that a person means, or says which there are. */
#include "sql_private.h"
#include "stored_private.h"
#include "unit_private.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* "2026-01-03T08:05#1", as --at takes it; room for BT_TIME_TEXT bytes. */
static const char *place_text(bt_time time, int32_t sequence, char *buffer) {
  (void)bt_time_iso(time, time % BT_DAY != 0, buffer);
  size_t length = strlen(buffer);
  (void)snprintf(buffer + length, BT_TIME_TEXT - length, "#%d", (int)sequence);
  return buffer;
}

/* What stands in for the check of that place now; *kind is the word of the last step. False in
 * *superseded where the check stands. */
typedef struct succession {
  bool superseded, ended; /* ended: nothing took its place */
  ledger_place last;
  char kind[16], by[100], day[BT_TIME_TEXT]; /* of the first step */
} succession;

static void take_word(sqlite3_stmt *statement, int column, char *to, size_t size) {
  const char *word = (const char *)sqlite3_column_text(statement, column);
  (void)snprintf(to, size, "%s", word == NULL ? "" : word);
}

static bt_status follow(bt_ledger *ledger, const ledger_place *from, succession *found,
                        bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bool row = true;
  *found = (succession){.last = *from};
  bt_status status =
      ledger_prepare(ledger,
                     "SELECT s.kind, e.by, e.at, s.new_unit, s.new_time, s.new_sequence "
                     "FROM main.superseded AS s LEFT JOIN main.entry AS e ON e.number = s.entry "
                     "WHERE s.unit = ?1 AND s.time = ?2 AND s.sequence = ?3",
                     &statement, error);
  while (status == BT_OK && row && !found->ended) {
    status = ledger_bind(ledger, error, statement, "iii", found->last.unit, found->last.time,
                         (int64_t)found->last.sequence);
    if (status == BT_OK)
      status = ledger_step(ledger, statement, &row, error);
    if (status != BT_OK || !row)
      break;
    if (!found->superseded) {
      take_word(statement, 0, found->kind, sizeof found->kind);
      take_word(statement, 1, found->by, sizeof found->by);
      (void)bt_time_day_iso(sqlite3_column_int64(statement, 2), found->day);
    }
    found->superseded = true;
    found->ended = sqlite3_column_type(statement, 3) == SQLITE_NULL;
    if (!found->ended)
      found->last =
          (ledger_place){sqlite3_column_int64(statement, 3), sqlite3_column_int64(statement, 4),
                         (int32_t)sqlite3_column_int64(statement, 5)};
    (void)sqlite3_reset(statement);
  }
  (void)sqlite3_finalize(statement);
  return status;
}

static bt_status say_superseded(bt_ledger *ledger, const char *name, const ledger_place *place,
                                const succession *found, bt_error *error) {
  char old[BT_TIME_TEXT], new[BT_TIME_TEXT];
  char *unit = NULL;
  (void)place_text(place->time, place->sequence, old);
  const char *by = found->by[0] == '\0' ? "nobody named" : found->by;
  if (found->ended)
    return bt_fail(error, BT_REFUSED,
                   "the check of \"%s\" at %s no longer stands (%s on %s by %s) and nothing stands "
                   "in its place; record the check anew if it is to count",
                   name, old, found->kind, found->day, by);
  bt_status status = ledger_unit_name(ledger, found->last.unit, &unit, error);
  if (status == BT_OK)
    status = bt_fail(error, BT_REFUSED,
                     "the check of \"%s\" at %s no longer stands (%s on %s by %s): that of \"%s\" "
                     "at %s stands in its place and may be corrected instead",
                     name, old, found->kind, found->day, by, unit,
                     place_text(found->last.time, found->last.sequence, new));
  free(unit);
  return status;
}

/* Time of the standing check nearest to that time, on one side of it; *there is false without. */
static bt_status nearest_on(bt_ledger *ledger, const char *sql, int64_t unit, bt_time time,
                            bool *there, bt_time *nearest, bt_error *error) {
  sqlite3_stmt *statement = NULL;
  bt_status status = ledger_prepare(ledger, sql, &statement, error);
  if (status == BT_OK)
    status = ledger_bind(ledger, error, statement, "ii", unit, time);
  if (status == BT_OK)
    status = ledger_step(ledger, statement, there, error);
  if (status == BT_OK && *there)
    *nearest = sqlite3_column_int64(statement, 0);
  (void)sqlite3_finalize(statement);
  return status;
}

#define NEAREST(compared, order)                                                                   \
  "SELECT time FROM main.checks AS c WHERE unit = ?1 AND time " compared " ?2 AND NOT EXISTS ("    \
  "SELECT 1 FROM main.superseded AS s WHERE s.unit = c.unit AND s.time = c.time "                  \
  "AND s.sequence = c.sequence) ORDER BY time " order " LIMIT 1"

/* Checks of that day, at different times; such as no longer stand count too. */
static bt_status times_on_day(bt_ledger *ledger, int64_t unit, bt_time day, int64_t *times,
                              bt_error *error) {
  return ledger_number_of(ledger, error,
                          "SELECT count(DISTINCT time) FROM main.checks "
                          "WHERE unit = ?1 AND time BETWEEN ?2 AND ?3",
                          times, "iii", unit, day, day + BT_DAY - 1);
}

static bt_status say_nearest(bt_ledger *ledger, const char *name, int64_t unit, bt_time time,
                             bt_error *error) {
  char asked[BT_TIME_TEXT], there[BT_TIME_TEXT];
  bool earlier = false, later = false;
  bt_time before = 0, after = 0;
  int64_t times = 0;
  bt_status status = nearest_on(ledger, NEAREST("<", "DESC"), unit, time, &earlier, &before, error);
  if (status == BT_OK)
    status = nearest_on(ledger, NEAREST(">", "ASC"), unit, time, &later, &after, error);
  if (status == BT_OK && time % BT_DAY == 0)
    status = times_on_day(ledger, unit, time, &times, error);
  if (status != BT_OK)
    return status;
  (void)bt_time_iso(time, time % BT_DAY != 0, asked);
  if (times > 1 && later && after - time < BT_DAY)
    return bt_fail(error, BT_NOTFOUND,
                   "\"%s\" has had several checks on %s, of which the first that stands is at %s: "
                   "give the time of the one that is meant",
                   name, asked, bt_time_iso(after, true, there));
  if (!earlier && !later)
    return bt_fail(error, BT_NOTFOUND, "\"%s\" has no check at %s, nor any other; import its log",
                   name, asked);
  bt_time nearest = !later || (earlier && time - before <= after - time) ? before : after;
  return bt_fail(error, BT_NOTFOUND,
                 "\"%s\" has no check at %s; the nearest is at %s: give the time as the log has it",
                 name, asked, bt_time_iso(nearest, nearest % BT_DAY != 0, there));
}

/* "#0, #2" of what stands. */
static bt_status say_which(const char *name, bt_time time, const ledger_stored_list *list,
                           const int32_t *sequence, bt_error *error) {
  char at[BT_TIME_TEXT];
  bt_text which = {0};
  for (size_t i = 0; i < list->n; i++)
    bt_text_format(&which, "%s#%d", i == 0 ? "" : ", ", (int)list->row[i].check.sequence);
  (void)bt_time_iso(time, time % BT_DAY != 0, at);
  bt_status status =
      sequence == NULL
          ? bt_fail(error, BT_USAGE, "\"%s\" has %zu checks at %s (%s); say which one, as %s#%d",
                    name, list->n, at, bt_text_get(&which), at, (int)list->row[0].check.sequence)
          : bt_fail(error, BT_NOTFOUND, "\"%s\" has no check #%d at %s; there is %s", name,
                    (int)*sequence, at, bt_text_get(&which));
  if (!bt_text_ok(&which))
    status = bt_fail_memory(error);
  bt_text_free(&which);
  return status;
}

/* The last check of that unit and time, which no longer stands; -1 where there is none. */
static bt_status last_sequence(bt_ledger *ledger, int64_t unit, bt_time time, int32_t *sequence,
                               bt_error *error) {
  int64_t last = -1;
  bt_status status = ledger_number_of(ledger, error,
                                      "SELECT coalesce(max(sequence), -1) FROM main.checks "
                                      "WHERE unit = ?1 AND time = ?2",
                                      &last, "ii", unit, time);
  *sequence = (int32_t)last;
  return status;
}

/* None that stands was meant: says why. */
static bt_status say_none(bt_ledger *ledger, const char *name, const ledger_place *place,
                          bool has_sequence, const ledger_stored_list *standing, bt_error *error) {
  ledger_place meant = *place;
  succession found;
  bt_status status = BT_OK;
  if (!has_sequence)
    status = last_sequence(ledger, place->unit, place->time, &meant.sequence, error);
  if (status == BT_OK)
    status = follow(ledger, &meant, &found, error);
  if (status != BT_OK)
    return status;
  if (found.superseded)
    return say_superseded(ledger, name, &meant, &found, error);
  if (standing->n > 0)
    return say_which(name, place->time, standing, &place->sequence, error);
  return say_nearest(ledger, name, place->unit, place->time, error);
}

bt_status ledger_find_standing(bt_ledger *ledger, const char *name, const ledger_place *place,
                               bool has_sequence, ledger_stored *found, bt_error *error) {
  ledger_stored_list list = {0};
  bt_status status =
      ledger_stored_standing(ledger, place->unit, place->time, LEDGER_NOW, &list, error);
  size_t at = 0;
  while (has_sequence && at < list.n && list.row[at].check.sequence != place->sequence)
    at++;
  if (status == BT_OK && at == list.n)
    status = say_none(ledger, name, place, has_sequence, &list, error);
  else if (status == BT_OK && !has_sequence && list.n > 1)
    status = say_which(name, place->time, &list, NULL, error);
  if (status == BT_OK) {
    *found = list.row[at];
    list.row[at] = (ledger_stored){0};
  }
  ledger_stored_free(&list);
  return status;
}

bt_status bt_ledger_find_check(bt_ledger *ledger, const char *unit, bt_time time, bool has_sequence,
                               int32_t sequence, bt_check *check, bt_error *error) {
  ledger_place place = {.time = time, .sequence = sequence};
  ledger_stored found = {0};
  *check = (bt_check){0};
  bt_status status = ledger_unit_known(ledger, unit, &place.unit, error);
  if (status == BT_OK)
    status = ledger_find_standing(ledger, unit, &place, has_sequence, &found, error);
  if (status == BT_OK)
    *check = found.check;
  return status;
}

bt_status bt_ledger_time_on_day(bt_ledger *ledger, const char *unit, bt_time *time,
                                bt_error *error) {
  int64_t number = 0;
  bt_status status = ledger_unit_known(ledger, unit, &number, error);
  if (status == BT_OK)
    status = ledger_number_of(ledger, error,
                              "SELECT iif(min(time) = max(time), min(time), ?2) FROM main.checks "
                              "WHERE unit = ?1 AND time BETWEEN ?2 AND ?3",
                              time, "iii", number, *time, *time + BT_DAY - 1);
  return status;
}
