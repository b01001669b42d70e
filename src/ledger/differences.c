/* What two records differ in, as a person reads it.
 *
 * Numbers have at most 15 significant digits. What a person wrote freely (remark, operator, a note)
 * is never spelled out: it may be what has to be removed one day. */
#include "differences_private.h"

#include <stdlib.h>
#include <string.h>

/* Columns of a check: its readings, state, refill, its texts, then the clinic's own. */
enum {
  STATE_COLUMN = BT_READING_COUNT,
  REFILL_COLUMN,
  TEXT_COLUMNS,
  OWN_COLUMNS = TEXT_COLUMNS + BT_FIELD_COUNT
};

typedef struct cell {
  const char *key;
  bool there;
  bool number; /* value counts, else word */
  double value;
  const char *word;
  bool personal; /* written freely */
} cell;

/* A number or a word, as a cell that is there unless the word is NULL. */
static cell word_cell(const char *key, const char *word) {
  return (cell){.key = key, .there = word != NULL, .word = word};
}

static cell cell_of(const bt_check *check, size_t column) {
  static const char *const states[] = {NULL, "as_found", "as_left"};
  static const char *const refills[] = {NULL, "before", "after"};
  if (column < BT_READING_COUNT)
    return (cell){.key = bt_reading_key((bt_reading)column),
                  .there = bt_check_has(check, (bt_reading)column),
                  .number = true,
                  .value = check->reading[column]};
  if (column == STATE_COLUMN)
    return word_cell("state", states[check->state]);
  if (column == REFILL_COLUMN)
    return word_cell("refill", refills[check->refill]);
  bt_text_field field = (bt_text_field)(column - TEXT_COLUMNS);
  cell found = word_cell(bt_text_field_key(field), check->text[field]);
  found.personal = field == BT_FIELD_REMARK || field == BT_FIELD_OPERATOR;
  return found;
}

static cell own_cell(const bt_check *check, const char *key) {
  for (size_t i = 0; i < check->own_n; i++)
    if (strcmp(check->own[i].key, key) == 0)
      return (cell){.key = key, .there = true, .number = true, .value = check->own[i].value};
  return (cell){.key = key};
}

static bool same_cell(const cell *a, const cell *b) {
  if (a->there != b->there || !a->there)
    return a->there == b->there;
  return a->number ? a->value == b->value : strcmp(a->word, b->word) == 0;
}

static void add_value(const cell *c, bt_text *out) {
  if (c->number)
    bt_text_format(out, "%.15g", c->value);
  else
    bt_text_add(out, c->word);
}

static void part(bt_text *out, size_t from, const char *by) {
  if (out->length > from)
    bt_text_add(out, by);
}

/* ---- A change -------------------------------------------------------------------------------- */

static void say_change(const cell *old, const cell *new, bt_text *out) {
  if (same_cell(old, new))
    return;
  part(out, 0, "; ");
  if (old->personal) {
    bt_text_format(out, "%s %s", old->key,
                   !old->there   ? "added"
                   : !new->there ? "removed"
                                 : "changed");
    return;
  }
  bt_text_format(out, "%s ", old->key);
  if (old->there)
    add_value(old, out);
  if (old->there && new->there)
    bt_text_add(out, " -> ");
  if (new->there)
    add_value(new, out);
  if (!old->there || !new->there)
    bt_text_add(out, new->there ? " added" : " removed");
}

/* Unit and time of a record. */
typedef struct place {
  const char *unit;
  bt_time time;
  bool has_clock;
} place;

static void say_place(place old, place new, bt_text *out) {
  char from[BT_TIME_TEXT], to[BT_TIME_TEXT];
  if (!bt_same_name(old.unit, new.unit))
    bt_text_format(out, "unit %s -> %s", old.unit, new.unit);
  if (old.time == new.time && old.has_clock == new.has_clock)
    return;
  part(out, 0, "; ");
  bt_text_format(out, "time %s -> %s", bt_time_iso(old.time, old.has_clock, from),
                 bt_time_iso(new.time, new.has_clock, to));
}

void ledger_say_event_changes(const bt_event *old, const bt_event *replacement, bt_text *out) {
  cell from = word_cell("event", bt_event_key(old->kind));
  cell to = word_cell("event", bt_event_key(replacement->kind));
  say_place((place){old->unit, old->time, old->has_clock},
            (place){replacement->unit, replacement->time, replacement->has_clock}, out);
  say_change(&from, &to, out);
  from = word_cell("note", old->note);
  to = word_cell("note", replacement->note);
  from.personal = true;
  say_change(&from, &to, out);
}

void ledger_say_changes(const bt_check *old, const bt_check *replacement, bt_text *out) {
  say_place((place){old->unit, old->time, old->has_clock},
            (place){replacement->unit, replacement->time, replacement->has_clock}, out);
  for (size_t c = 0; c < OWN_COLUMNS; c++) {
    cell from = cell_of(old, c), to = cell_of(replacement, c);
    say_change(&from, &to, out);
  }
  for (size_t i = 0; i < old->own_n; i++) {
    cell from = own_cell(old, old->own[i].key), to = own_cell(replacement, old->own[i].key);
    say_change(&from, &to, out);
  }
  for (size_t i = 0; i < replacement->own_n; i++) {
    cell from = own_cell(old, replacement->own[i].key);
    cell to = own_cell(replacement, replacement->own[i].key);
    if (!from.there) /* the others were said above */
      say_change(&from, &to, out);
  }
}

static bool touch_own(const char *key, bt_touched *touched, size_t *capacity) {
  char *copy = bt_copy(key);
  if (copy == NULL || !bt_grow(&touched->own, capacity, touched->own_n + 1, sizeof *touched->own)) {
    free(copy);
    return false;
  }
  touched->own[touched->own_n++] = copy;
  return true;
}

bool ledger_touch(const bt_check *old, const bt_check *replacement, bt_touched *touched) {
  static const bt_check nothing = {.unit = ""};
  const bt_check *new = replacement == NULL ? &nothing : replacement;
  size_t capacity = 0;
  bool noted = true;
  for (size_t r = 0; r < BT_READING_COUNT; r++) {
    cell from = cell_of(old, r), to = cell_of(new, r);
    touched->readings |= same_cell(&from, &to) ? 0U : 1U << r;
  }
  touched->refill = old->refill != new->refill;
  touched->place =
      replacement != NULL && (!bt_same_name(old->unit, new->unit) || old->time != new->time ||
                              old->has_clock != new->has_clock || old->state != new->state);
  for (size_t i = 0; i < old->own_n && noted; i++) {
    cell from = own_cell(old, old->own[i].key), to = own_cell(new, old->own[i].key);
    noted = same_cell(&from, &to) || touch_own(from.key, touched, &capacity);
  }
  for (size_t i = 0; i < new->own_n &&noted; i++)
    noted = own_cell(old, new->own[i].key).there || touch_own(new->own[i].key, touched, &capacity);
  return noted;
}

/* ---- Rows ------------------------------------------------------------------------------------ */

/* Rows of two lists, one behind the other. */
typedef struct row_set {
  const bt_check *const *rows, *const *others;
  size_t n, others_n;
} row_set;

static const bt_check *row_at(const row_set *set, size_t i) {
  return i < set->n ? set->rows[i] : set->others[i - set->n];
}

static bool same_in_all(const row_set *set, size_t column, const char *own) {
  for (size_t i = 1; i < set->n + set->others_n; i++) {
    const bt_check *first = row_at(set, 0), *next = row_at(set, i);
    cell a = own != NULL ? own_cell(first, own) : cell_of(first, column);
    cell b = own != NULL ? own_cell(next, own) : cell_of(next, column);
    if (!same_cell(&a, &b))
      return false;
  }
  return true;
}

static void say_cell(const cell *c, size_t from, bt_text *out) {
  if (c->personal)
    return;
  part(out, from, ", ");
  bt_text_format(out, c->there ? "%s " : "no %s", c->key);
  if (c->there)
    add_value(c, out);
}

/* Whether a row before the i-th has that key: it is said once. */
static bool key_before(const row_set *set, size_t i, size_t own) {
  const char *key = row_at(set, i)->own[own].key;
  for (size_t k = 0; k < i; k++)
    if (own_cell(row_at(set, k), key).there)
      return true;
  return false;
}

/* All that a check holds. */
static void say_whole(const bt_check *check, size_t from, bt_text *out) {
  for (size_t c = 0; c < OWN_COLUMNS; c++) {
    cell said = cell_of(check, c);
    if (said.there)
      say_cell(&said, from, out);
  }
  for (size_t i = 0; i < check->own_n; i++) {
    cell said = own_cell(check, check->own[i].key);
    say_cell(&said, from, out);
  }
}

void ledger_say_check(const bt_check *check, bt_text *out) {
  say_whole(check, 0, out);
}

/* What one row of the set holds that isn't the same in all. */
static void say_differing(const row_set *set, const bt_check *row, size_t from, bt_text *out) {
  for (size_t c = 0; c < OWN_COLUMNS; c++) {
    cell said = cell_of(row, c);
    if (!same_in_all(set, c, NULL))
      say_cell(&said, from, out);
  }
  for (size_t k = 0; k < set->n + set->others_n; k++)
    for (size_t o = 0; o < row_at(set, k)->own_n; o++) {
      const char *key = row_at(set, k)->own[o].key;
      cell said = own_cell(row, key);
      if (!key_before(set, k, o) && !same_in_all(set, 0, key))
        say_cell(&said, from, out);
    }
}

void ledger_say_rows(const bt_check *const *rows, size_t n, const bt_check *const *others,
                     size_t others_n, bt_text *out) {
  const row_set set = {.rows = rows, .others = others, .n = n, .others_n = others_n};
  for (size_t i = 0; i < n; i++) {
    part(out, 0, "; ");
    if (others_n == 0)
      say_whole(rows[i], out->length, out);
    else
      say_differing(&set, rows[i], out->length, out);
  }
}
