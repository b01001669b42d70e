/* The units that a log names: found, taken as new where that is allowed, or kept as unknown, to be
 * told all at once. */
#include "log_units_private.h"
#include "sql_private.h"
#include "tally_private.h"
#include "unit_private.h"

#include <stdlib.h>
#include <string.h>

bt_status ledger_log_units_begin(bt_ledger *ledger, int64_t entry, ledger_log_units *units,
                                 bt_error *error) {
  units->ledger = ledger;
  units->entry = entry;
  return ledger_number(ledger, "SELECT coalesce(max(number), 0) FROM main.unit", &units->last,
                       error);
}

void ledger_log_units_free(ledger_log_units *units) {
  for (size_t i = 0; i < units->names_n; i++)
    free(units->names[i].name);
  free(units->names);
  for (size_t i = 0; i < units->unknown_n; i++)
    free(units->unknown_name[i]);
  free(units->tally);
}

/* Keeps a name that the ledger doesn't know: all of them are told at once, at the end. */
static bt_status keep_unknown(ledger_log_units *units, const char *name, int64_t line,
                              bt_error *error) {
  units->unknown = true;
  for (size_t i = 0; i < units->unknown_n; i++)
    if (bt_same_name(units->unknown_name[i], name))
      return BT_OK;
  if (units->unknown_n == LEDGER_UNKNOWN_NAMED) {
    units->unknown_more++; /* rows: their names aren't kept */
    return BT_OK;
  }
  if ((units->unknown_name[units->unknown_n] = bt_copy(name)) == NULL)
    return bt_fail_memory(error);
  units->unknown_line[units->unknown_n++] = line;
  return BT_OK;
}

/* The sentence of all unknown names: the first with what to do, the others with theirs nearest. */
bt_status ledger_log_units_unknown(ledger_log_units *units, bt_error *error) {
  bt_error one = {0};
  bt_text all = {0};
  for (size_t i = 0; i < units->unknown_n; i++) {
    const char *name = units->unknown_name[i];
    if (ledger_unit_unknown(units->ledger, name, BT_REFUSED,
                            units->unknown_n > 1 ? "first used in this line"
                                                 : LEDGER_NEW_UNIT_ADVICE,
                            &one) != BT_REFUSED) {
      bt_text_free(&all);
      return bt_fail(error, one.status, "%s", one.text);
    }
    bt_text_format(&all, "%sline %lld: %s", i == 0 ? "" : "; ", (long long)units->unknown_line[i],
                   one.text);
  }
  if (units->unknown_n > 1)
    bt_text_format(&all,
                   "%s; correct the names, or say --new-unit where each is a laser of its own",
                   units->unknown_more > 0 ? "; and others" : "");
  bt_status status = bt_text_ok(&all) ? bt_fail(error, BT_REFUSED, "%s", bt_text_get(&all))
                                      : bt_fail_memory(error);
  bt_text_free(&all);
  return status;
}

/* The number of the unit of that name: found, or taken as new where that is allowed; else 0, and it
 * is kept as unknown. */
static bt_status unit_of(ledger_log_units *units, const char *name, int64_t line, int64_t *unit,
                         bt_error *error) {
  bt_status status = ledger_unit_number(units->ledger, name, unit, error);
  if (status != BT_OK || *unit != 0)
    return status;
  bool declared = false;
  status = ledger_unit_declared(units->ledger, name, &declared, error);
  if (status != BT_OK)
    return status;
  /* A first log brings its units, but not one laser under several spellings. */
  bool like = false;
  if (!units->new_units && !declared && units->last == 0)
    status = ledger_unit_resembles(units->ledger, name, &like, error);
  if (status != BT_OK)
    return status;
  if (!units->new_units && !declared && (units->last > 0 || like))
    return keep_unknown(units, name, line, error);
  return ledger_unit_add(units->ledger, name, units->entry, unit, error);
}

/* The place of that unit's tally; LEDGER_NO_TALLY for an unknown one. The names that a log uses are
 * few and looked up once. */
bt_status ledger_log_unit(ledger_log_units *units, const char *name, int64_t line, size_t *tally,
                          bt_error *error) {
  for (size_t tried = 0; tried < units->names_n; tried++) {
    size_t i = (units->last_name + tried) % units->names_n;
    if (strcmp(units->names[i].name, name) == 0) {
      units->last_name = i;
      *tally = units->names[i].tally;
      return BT_OK;
    }
  }
  int64_t unit = 0;
  size_t at = 0;
  bt_status status = unit_of(units, name, line, &unit, error);
  *tally = LEDGER_NO_TALLY;
  if (status != BT_OK || unit == 0)
    return status;
  while (at < units->tallies && units->tally[at].unit != unit)
    at++;
  if (!bt_grow(&units->tally, &units->tally_capacity, at + 1, sizeof *units->tally) ||
      !bt_grow(&units->names, &units->names_capacity, units->names_n + 1, sizeof *units->names) ||
      (units->names[units->names_n].name = bt_copy(name)) == NULL)
    return bt_fail_memory(error);
  if (at == units->tallies)
    units->tally[units->tallies++] = (ledger_tally){.unit = unit};
  units->names[units->names_n].tally = at;
  units->last_name = units->names_n++;
  *tally = at;
  return BT_OK;
}
