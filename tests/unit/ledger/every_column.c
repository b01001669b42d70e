/* An export leaves no column of the ledger out: the columns are asked of the database, so that none
 * can be forgotten, and each value of each must stand in the files, or the column stands in the
 * list below with the reason why it does not. */
#include "everything.h"
#include "sql_private.h"

#include <stdio.h>
#include <stdlib.h>

TestSuite(ledger_every_column, .fini = test_cleanup);

/* How the export says a column's value. */
typedef enum way {
  AS_IS, /* zeros may be an empty cell: no line, no file */
  HEX,
  UNIT_NAME,
  OWN_KEY,
  BODY,  /* of a text that was not removed */
  MONTH, /* of a moment: year and month */
  WORDS, /* in words of its own: some cell has one */
  NOT    /* not at all: the column's name here is the reason */
} way;

static const struct {
  const char *table,
      *column; /* NULL: all columns that are not named elsewhere, of their own name */
  way way;
  bt_table to[2];
  const char *as;
} places[] = {
#define BOTH_CHECKS                                                                                \
  { BT_TABLE_CHECKS, BT_TABLE_SUPERSEDED_CHECKS }
#define BOTH_EVENTS                                                                                \
  { BT_TABLE_EVENTS, BT_TABLE_SUPERSEDED_EVENTS }
#define ONE(ID)                                                                                    \
  { BT_TABLE_##ID, BT_TABLE_##ID }
#define ROW(table, ...)                                                                            \
  {table, "unit", UNIT_NAME, __VA_ARGS__, "unit"}, {table, "time", AS_IS, __VA_ARGS__, "date"},    \
      {table, "has_clock", WORDS, __VA_ARGS__, "time"},                                            \
      {table, "source", AS_IS, __VA_ARGS__, "beamtally_source"},                                   \
      {table, "line", AS_IS, __VA_ARGS__, "beamtally_line"},                                       \
      {table, "last_line", AS_IS, __VA_ARGS__, "beamtally_last_line"}, {                           \
    table, "digest", HEX, __VA_ARGS__, "beamtally_digest"                                          \
  }
#define TEXT(ID, key)                                                                              \
  {"checks", #key, BODY, BOTH_CHECKS, #key}, {"held", #key, BODY, ONE(HELD), #key},
    BT_TEXTS(TEXT)
#undef TEXT
        ROW("checks", BOTH_CHECKS),
    {"checks", "sequence", AS_IS, BOTH_CHECKS, "beamtally_sequence"},
    {"checks", "state", WORDS, BOTH_CHECKS, "state"},
    {"checks", "refill", WORDS, BOTH_CHECKS, "refill"},
    {"checks", NULL, AS_IS, BOTH_CHECKS, NULL},
    ROW("held", ONE(HELD)),
    {"held", "sequence", AS_IS, ONE(HELD), "beamtally_sequence"},
    {"held", "state", NOT, .as = "as that of checks, in the same columns"},
    {"held", "refill", NOT, .as = "as that of checks, in the same columns"},
    {"held", NULL, AS_IS, ONE(HELD), NULL},
    ROW("event", BOTH_EVENTS),
    {"event", "number", AS_IS, BOTH_EVENTS, "beamtally_number"},
    {"event", "kind", AS_IS, BOTH_EVENTS, "event"},
    {"event", "note", BODY, BOTH_EVENTS, "note"},
    {"event", "entry", AS_IS, BOTH_EVENTS, "beamtally_entry"},
    {"own_reading", "unit", UNIT_NAME, BOTH_CHECKS, "unit"},
    {"own_reading", "time", AS_IS, BOTH_CHECKS, "date"},
    {"own_reading", "sequence", AS_IS, BOTH_CHECKS, "beamtally_sequence"},
    {"own_reading", "own", NOT, .as = "says the column in which the value stands"},
    {"own_reading", "value", AS_IS, BOTH_CHECKS, "door_force"},
    {"held_own", "unit", UNIT_NAME, ONE(HELD), "unit"},
    {"held_own", "time", AS_IS, ONE(HELD), "date"},
    {"held_own", "sequence", AS_IS, ONE(HELD), "beamtally_sequence"},
    {"held_own", "own", NOT, .as = "says the column in which the value stands"},
    {"held_own", "value", AS_IS, ONE(HELD), "door_force"},
    {"own_key", NULL, NOT, .as = "keys are columns' names; the rest serves the ledger's own joins"},
    {"superseded", "unit", UNIT_NAME, ONE(SUPERSEDED_CHECKS), "unit"},
    {"superseded", "time", AS_IS, ONE(SUPERSEDED_CHECKS), "date"},
    {"superseded", "sequence", AS_IS, ONE(SUPERSEDED_CHECKS), "beamtally_sequence"},
    {"superseded", "kind", AS_IS, ONE(SUPERSEDED_CHECKS), "became"},
    {"superseded", "new_unit", UNIT_NAME, ONE(SUPERSEDED_CHECKS), "became_unit"},
    {"superseded", "new_time", AS_IS, ONE(SUPERSEDED_CHECKS), "became_date"},
    {"superseded", "new_sequence", AS_IS, ONE(SUPERSEDED_CHECKS), "became_sequence"},
    {"superseded", "entry", AS_IS, ONE(SUPERSEDED_CHECKS), "entry"},
    {"superseded_event", "event", AS_IS, ONE(SUPERSEDED_EVENTS), "beamtally_number"},
    {"superseded_event", "kind", AS_IS, ONE(SUPERSEDED_EVENTS), "became"},
    {"superseded_event", "replacement", AS_IS, ONE(SUPERSEDED_EVENTS), "became_number"},
    {"superseded_event", "entry", AS_IS, ONE(SUPERSEDED_EVENTS), "entry"},
    {"settled", "unit", UNIT_NAME, ONE(HELD), "unit"},
    {"settled", "time", AS_IS, ONE(HELD), "date"},
    {"settled", "source", AS_IS, ONE(HELD), "beamtally_source"},
    {"settled", NULL, AS_IS, ONE(HELD), NULL},
    {"text", "number", NOT, .as = "joins rows and bodies inside the ledger"},
    {"text", "salt", NOT,
     .as = "once a text is removed, nobody may try guesses against its digest"},
    {"text", "body", NOT, .as = "stands with its rows: remark, operator, note"},
    {"redaction", "text", AS_IS, ONE(REMOVED_TEXTS), "number"},
    {"redaction", "sha256", HEX, ONE(REMOVED_TEXTS), "sha256"},
    {"redaction", "unit", UNIT_NAME, ONE(REMOVED_TEXTS), "unit"},
    {"redaction", "time", AS_IS, ONE(REMOVED_TEXTS), "at"},
    {"redaction", NULL, AS_IS, ONE(REMOVED_TEXTS), NULL},
    {"entry", "at", AS_IS, ONE(ENTRIES), "entered_at"},
    {"entry", "previous", HEX, ONE(ENTRIES), "previous"},
    {"entry", "state", HEX, ONE(ENTRIES), "state"},
    {"entry", NULL, AS_IS, ONE(ENTRIES), NULL},
    {"unit", "folded", NOT, .as = "follows from the name"},
    {"unit", NULL, AS_IS, ONE(UNITS), NULL},
    {"unit_setting", NULL, AS_IS, ONE(UNITS), NULL},
    {"source", "sha256", HEX, ONE(SOURCES), "sha256"},
    {"source", NULL, AS_IS, ONE(SOURCES), NULL},
    {"source_unit", "unit", UNIT_NAME, ONE(UNIT_SOURCES), "unit"},
    {"source_unit", NULL, AS_IS, ONE(UNIT_SOURCES), NULL},
    {"refusal", "header", AS_IS, ONE(REFUSALS), "column"},
    {"refusal", NULL, AS_IS, ONE(REFUSALS), NULL},
    {"left_out", "entry", AS_IS, ONE(REFUSALS), "left_out"},
    {"left_out", NULL, AS_IS, ONE(REFUSALS), NULL},
    {"setting_version", "number", AS_IS, ONE(SETTINGS), "version"},
    {"setting_version", "weekdays", WORDS, ONE(SETTINGS), "weekdays"},
    {"setting_version", NULL, AS_IS, ONE(SETTINGS), NULL},
    {"tolerance", "from_day", AS_IS, ONE(TOLERANCES), "from"},
    {"tolerance", NULL, AS_IS, ONE(TOLERANCES), NULL},
    {"own_characteristic", NULL, AS_IS, ONE(OWN_CHARACTERISTICS), NULL},
    {"baseline", "unit", UNIT_NAME, ONE(BASELINES), "unit"},
    {"baseline", "from_day", AS_IS, ONE(BASELINES), "from"},
    {"baseline", "to_day", AS_IS, ONE(BASELINES), "to"},
    {"baseline", NULL, AS_IS, ONE(BASELINES), NULL},
    {"baseline_exclusion", "unit", UNIT_NAME, ONE(BASELINES), "unit"},
    {"baseline_exclusion", "characteristic", AS_IS, ONE(BASELINES), NULL},
    {"baseline_exclusion", "version", AS_IS, ONE(BASELINES), NULL},
    {"baseline_exclusion", "number", NOT, .as = "the order of the words in left_out"},
    {"baseline_exclusion", NULL, WORDS, ONE(BASELINES), "left_out"},
    {"disposition", "unit", UNIT_NAME, ONE(DISPOSITIONS), "unit"},
    {"disposition", "high", WORDS, ONE(DISPOSITIONS), "side"},
    {"disposition", "from_time", AS_IS, ONE(DISPOSITIONS), "first_at"},
    {"disposition", "to_time", AS_IS, ONE(DISPOSITIONS), "last_at"},
    {"disposition", NULL, AS_IS, ONE(DISPOSITIONS), NULL},
    {"issued", "unit", UNIT_NAME, ONE(ISSUED), "unit"},
    {"issued", "month", MONTH, ONE(ISSUED), "month"},
    {"issued", "sha256", HEX, ONE(ISSUED), "sha256"},
    {"issued", "state", HEX, ONE(ISSUED), "state"},
    {"issued", NULL, AS_IS, ONE(ISSUED), NULL},
};
enum { PLACES = sizeof places / sizeof *places };

/* The place of a column, or of all others of its table. */
static size_t place_of(const char *table, const char *column) {
  size_t others = PLACES;
  for (size_t p = 0; p < PLACES; p++)
    if (strcmp(places[p].table, table) == 0) {
      if (places[p].column == NULL)
        others = p;
      else if (strcmp(places[p].column, column) == 0)
        return p;
    }
  return others;
}

/* ---- Cells of an export ---------------------------------------------------------------------- */

/* All cells of one column of the export, each between line ends. */
typedef struct cells {
  const char *column;
  size_t at;
  bool there;
  bt_text text;
} cells;

static bt_status find_column(void *context, const char *const *names, size_t n, bt_error *error) {
  cells *all = context;
  (void)error;
  all->there = false;
  for (size_t i = 0; i < n; i++)
    if (strcmp(names[i], all->column) == 0) {
      all->at = i;
      all->there = true;
    }
  return BT_OK;
}

static bt_status keep_cell(void *context, const bt_cell *row, size_t n, bt_error *error) {
  cells *all = context;
  (void)error;
  if (!all->there)
    return BT_OK;
  cr_assert_lt(all->at, n);
  const bt_cell *cell = &row[all->at];
  if (cell->type == BT_CELL_TEXT)
    bt_text_format(&all->text, "\n%s\n", cell->text);
  else if (cell->type == BT_CELL_REAL)
    bt_text_format(&all->text, "\n%.17g\n", cell->real);
  else if (cell->type != BT_CELL_EMPTY)
    bt_text_format(&all->text, "\n%lld\n", (long long)cell->integer);
  return BT_OK;
}

static cells cells_of(bt_ledger *ledger, size_t place, const char *column) {
  cells all = {.column = column};
  const bt_table_sink sink = {.context = &all, .columns = find_column, .row = keep_cell};
  bt_error error = {0};
  bt_text_add(&all.text, "");
  for (int t = 0; t < 2; t++) {
    cr_ok(bt_ledger_table(ledger, places[place].to[t], &sink, &error), error);
    cr_expect(all.there, "%s.csv has no column %s, for %s", bt_table_name(places[place].to[t]),
              column, places[place].table);
  }
  cr_assert(bt_text_ok(&all.text));
  return all;
}

/* ---- Values of the ledger -------------------------------------------------------------------- */

static char *statement_of(size_t place, const char *table, const char *column) {
  switch (places[place].way) {
  case HEX:
    return sqlite3_mprintf("SELECT lower(hex(\"%w\")) FROM \"%w\"", column, table);
  case UNIT_NAME:
    return sqlite3_mprintf(
        "SELECT (SELECT u.name FROM unit AS u WHERE u.number = t.\"%w\") FROM \"%w\" AS t", column,
        table);
  case BODY:
    return sqlite3_mprintf(
        "SELECT (SELECT nullif(b.body, '') FROM text AS b WHERE b.number = t.\"%w\") FROM \"%w\" "
        "AS t",
        column, table);
  case MONTH:
    return sqlite3_mprintf("SELECT strftime('%%Y-%%m', \"%w\", 'unixepoch') FROM \"%w\"", column,
                           table);
  default:
    return sqlite3_mprintf("SELECT \"%w\" FROM \"%w\"", column, table);
  }
}

/* Values that the cells must have among them; how many there were. */
static size_t look_for(bt_ledger *ledger, size_t place, const char *table, const char *column,
                       const cells *all) {
  sqlite3_stmt *values = NULL;
  bt_error error = {0};
  size_t n = 0;
  char *sql = statement_of(place, table, column);
  cr_assert_not_null(sql);
  cr_ok(ledger_prepare(ledger, sql, &values, &error), error);
  while (sqlite3_step(values) == SQLITE_ROW) {
    bt_text wanted = {0};
    int type = sqlite3_column_type(values, 0);
    const char *words = (const char *)sqlite3_column_text(values, 0);
    if (words == NULL || (type != SQLITE_FLOAT && words[strspn(words, "0")] == '\0'))
      continue;
    if (type == SQLITE_FLOAT)
      bt_text_format(&wanted, "\n%.17g\n", sqlite3_column_double(values, 0));
    else
      bt_text_format(&wanted, "\n%s\n", words);
    cr_expect(strstr(bt_text_get(&all->text), bt_text_get(&wanted)) != NULL,
              "%s.%s: the export lacks %s", table, column, bt_text_get(&wanted));
    bt_text_free(&wanted);
    n++;
  }
  (void)sqlite3_finalize(values);
  sqlite3_free(sql);
  return n;
}

Test(ledger_every_column, of_the_ledger_stands_in_the_export_or_is_left_out_for_a_reason) {
  bt_ledger *ledger = test_ledger();
  bt_error error = {0};
  sqlite3_stmt *schema = NULL;
  size_t columns = 0, values = 0;
  bool used[PLACES] = {false};
  test_fill_everything(ledger);
  cr_ok(ledger_prepare(ledger,
                       "SELECT s.name, c.name FROM sqlite_schema AS s, pragma_table_info(s.name) "
                       "AS c WHERE s.type = 'table' ORDER BY 1, c.cid",
                       &schema, &error),
        error);
  for (; sqlite3_step(schema) == SQLITE_ROW; columns++) {
    const char *table = (const char *)sqlite3_column_text(schema, 0);
    const char *column = (const char *)sqlite3_column_text(schema, 1);
    size_t place = place_of(table, column);
    cr_expect_lt(place, (size_t)PLACES, "%s.%s: export it, or say here why not", table, column);
    if (place == PLACES)
      continue;
    used[place] = true;
    if (places[place].way == NOT)
      continue;
    cells all = cells_of(ledger, place, places[place].as == NULL ? column : places[place].as);
    if (places[place].way == WORDS)
      cr_expect(all.text.length > 2, "%s.%s: no word", table, column);
    else
      values += look_for(ledger, place, table, column, &all);
    bt_text_free(&all.text);
  }
  (void)sqlite3_finalize(schema);
  for (size_t p = 0; p < PLACES; p++)
    cr_expect(used[p], "%s has no column %s any more", places[p].table, places[p].column);
  cr_expect_gt(columns, 200);
  cr_expect_gt(values, 400);
  bt_ledger_close(ledger);
}
