/* A cell that tells of an event: its kind, and which of its words are kept as the event's note.
 *
 * N1  Words that no kind is called by (BT_EVENT_OTHER) are kept: without them it would say nothing.
 * N2  Of the other kinds those that say more than the kind: a bottle's lot, a meter's number, what
 *     the visit was for.
 * N3  In a check's row a word for yes says no more than that it was so. */
#include "cells.h"
#include "words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* N2: a number, something in brackets or behind a comma, or more words than another text of column
 * i that means the same. */
static bool says_more(const intake_plan *plan, size_t i, const char *text, bt_event_kind kind) {
  if (strpbrk(text, "0123456789()[],;:/+") != NULL)
    return true;
  for (size_t k = 0; k < plan->values_n; k++) {
    const intake_value *value = &plan->values[k];
    if (value->column != i || value->role != INTAKE_ROLE_EVENT || value->item != (int)kind ||
        bt_same_name(text, value->choice->value))
      continue;
    char *other = bt_fold_name(value->choice->value);
    bool longer = other == NULL || bt_name_has(text, other); /* without memory: rather kept */
    free(other);
    if (longer)
      return true;
  }
  return false;
}

void intake_cell_keep_words(const intake_plan *plan, size_t i, char *text, intake_row *row) {
  const intake_column *column = &plan->columns[i];
  if (plan->kind != BT_SOURCE_EVENTS || column->role != INTAKE_ROLE_EVENT ||
      row->event.note != NULL)
    return;
  if (plan->words_are_note || row->event.kind == BT_EVENT_OTHER ||
      says_more(plan, i, text, row->event.kind))
    row->event.note = intake_cell_text(plan, text);
}

/* Puts words behind those that other cells of the row say of that kind of event. */
static bool add_words(const intake_column *column, bt_event_kind kind, const char *words,
                      const char *text, intake_row *row) {
  bool first = (row->worded >> kind & 1U) == 0;
  char *to = row->words[kind];
  size_t used = first ? 0 : strlen(to), room = sizeof row->words[kind] - used;
  int length = snprintf(to + used, room, "%s%s", first ? "" : "; ", words);
  row->worded |= 1U << kind;
  intake_join_line_ends(to + used);
  if (length >= 0 && (size_t)length < room)
    return true;
  intake_row_refuse(row, column, text,
                    "the row notes more than fits into the note of one event; "
                    "part it into two rows");
  return false;
}

static bool put_event(const intake_column *column, bt_event_kind kind, bt_refill refill,
                      const char *text, intake_row *row) {
  if (kind == BT_EVENT_GAS_REFILL)
    return intake_cell_refill(column, refill, text, row);
  row->also |= 1U << kind;
  return true;
}

bool intake_cell_event(const intake_plan *plan, const intake_column *column,
                       const intake_value *value, const char *text, intake_row *row) {
  bt_event_kind kind = (bt_event_kind)value->item;
  bool kept = kind == BT_EVENT_OTHER ||
              (!intake_says_yes(text) && says_more(plan, value->column, text, kind));
  return put_event(column, kind, value->refill, text, row) &&
         (!kept || add_words(column, kind, text, text, row));
}

bool intake_cell_named_event(const intake_plan *plan, const intake_name *name, const char *text,
                             intake_row *row) {
  const intake_column *column = &name->column;
  bt_event_kind kind = (bt_event_kind)column->item;
  bt_refill refill;
  bool when = intake_refill_of(text, &refill), plain = when || intake_says_yes(text);
  if (when && refill == BT_REFILL_NONE)
    return true;
  bool of_name = kind == BT_EVENT_OTHER || says_more(plan, plan->name_column, name->text, kind);
  return put_event(column, kind, name->refill, text, row) &&
         (!of_name || add_words(column, kind, name->text, text, row)) &&
         (plain || add_words(column, kind, text, text, row));
}
