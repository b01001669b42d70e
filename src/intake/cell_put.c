/* What all that read a cell end with: a row refused, a text as it is kept, a refill. */
#include "cells.h"
#include "words.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void intake_row_refuse(intake_row *row, const intake_column *column, const char *value,
                       const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  (void)vsnprintf(row->reason, sizeof row->reason, format, arguments);
  va_end(arguments);
  row->kind = INTAKE_ROW_REFUSED;
  row->refusal.reason = row->reason;
  if (column != NULL) {
    row->refusal.column = column->header;
    row->refusal.field = column->key;
  }
  if (value != NULL) {
    row->refusal.value = intake_show(value, row->value, sizeof row->value);
  }
}

/* A text of our own export that a spreadsheet would take for a formula has a quote before it. */
static bool is_guarded(const char *text) {
  size_t quotes = strspn(text, "'");
  return quotes > 0 && text[quotes] != '\0' && strchr("=+-@\t\r", text[quotes]) != NULL;
}

char *intake_cell_text(const intake_plan *plan, char *text) {
  if (plan->own_export && is_guarded(text))
    text++;
  intake_join_line_ends(text);
  return text;
}

bool intake_cell_refill(const intake_column *column, bt_refill refill, const char *text,
                        intake_row *row) {
  bt_refill before = row->check.refill;
  if (refill == BT_REFILL_NONE)
    return true;
  if (before != BT_REFILL_NONE && before != refill) {
    intake_row_refuse(row, column, text,
                      "two cells of the row note a refill, one before the reading, one after it; "
                      "correct one");
    return false;
  }
  row->check.refill = refill;
  return true;
}
