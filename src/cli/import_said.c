/* What import says of a log and of what became of it. */
#include "import_said.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void import_say_identity(const bt_survey *survey, const char *path) {
  for (size_t i = 0; i < survey->columns_n; i++)
    if (survey->columns[i].identity)
      cli_say("%s: the column \"%s\" looks like a patient's identity; it is not stored, and a "
              "calibration log needs none",
              path, survey->columns[i].header);
  for (size_t i = 0; i < survey->names_n; i++)
    if (survey->names[i].identity)
      cli_say("%s: rows named \"%s\" look like a patient's identity; they are not stored, and a "
              "calibration log needs none",
              path, survey->names[i].header);
}

void import_say_hints(const bt_survey *survey, const char *path) {
  for (size_t i = 0; i < survey->hints_n; i++)
    cli_say("%s: %s", path, survey->hints[i]);
}

/* With a map, the map alone says what is read, and what it leaves out was meant to be: only a
 * column that would be known without it, or whose header speaks for a key, is easily forgotten. */
static bool is_forgotten(const bt_survey *survey, const bt_survey_column *column) {
  const bt_reading_choices *choices = survey->choices;
  bool known = bt_canonical_column(column->header) != NULL;
  for (size_t k = 0; k < choices->values_n; k++) /* read for what some of its texts mean */
    if (bt_same_name(choices->values[k].header, column->header))
      return false;
  if (column->key != NULL || column->identity || bt_is_bookkeeping(column->header))
    return false;
  for (size_t k = 0; k < choices->own_n && !known; k++)
    known = bt_same_name(choices->own[k].key, column->header) ||
            bt_same_name(choices->own[k].title, column->header);
  return known || choices->columns_n == 0 || bt_likely_reading(survey, column) != NULL;
}

void import_say_left_out(const bt_survey *survey, const char *path) {
  enum { SHOWN = 8 };
  bt_text list = {0};
  size_t n = 0;
  bool mapped = survey->choices->columns_n > 0;
  for (size_t i = 0; i < survey->columns_n; i++)
    if (is_forgotten(survey, &survey->columns[i]) && survey->columns[i].header[0] != '\0' &&
        n++ < SHOWN) {
      bt_text_format(&list, "%s\"", n == 1 ? "" : ", ");
      (void)cli_plain(&list, survey->columns[i].header, SIZE_MAX);
      bt_text_add(&list, "\"");
      const char *key = mapped ? bt_likely_reading(survey, &survey->columns[i]) : NULL;
      if (key != NULL)
        bt_text_format(&list, " (there is a key for it: %s)", key);
    }
  if (n > SHOWN)
    bt_text_format(&list, " and %zu more", n - SHOWN);
  if (n > 0 && mapped)
    cli_say("%s: not in the map, and so not stored: %s; add to its [columns] what should be", path,
            bt_text_get(&list));
  else if (n > 0)
    cli_say(
        "%s: known by no name, and so not stored: %s; `beamtally columns` shows what each could "
        "be read as",
        path, bt_text_get(&list));
  bt_text_free(&list);
}

void import_say_again(bt_ledger *ledger, const bt_survey *survey, const char *path) {
  bt_error error = {0};
  char **names = NULL;
  size_t n = 0;
  bt_text list = {0};
  if (bt_ledger_attesting(ledger, &survey->source, &names, &n, &error) == BT_OK && n > 0) {
    for (size_t i = 0; i < n; i++) {
      bt_text_add(&list, i == 0 ? "" : ", ");
      (void)cli_plain(&list, names[i], SIZE_MAX);
    }
    cli_say("%s: rows that were replaced now may stand in %s as well, and were not stored twice: "
            "import %s again, as before; what only %s has now goes in, and nothing is doubled",
            path, bt_text_get(&list), n == 1 ? "that log" : "those logs",
            n == 1 ? "it" : "each of them");
  }
  if (error.status != BT_OK)
    cli_say("%s: which other logs held the same rows can't be said: %s", path, error.text);
  bt_text_free(&list);
  bt_names_free(names, n);
}

void import_say_doubled(bt_ledger *ledger, const bt_survey *survey, const char *path,
                        bt_time oldest, bt_time newest) {
  bt_error error = {0};
  bt_doubled doubled;
  bt_text words = {0};
  if (bt_ledger_doubled(ledger, &survey->source, oldest, newest, &doubled, &error) != BT_OK)
    cli_say("%s: whether its checks stand twice can't be said: %s", path, error.text);
  else if (doubled.n > 0) {
    bt_text_add_shell_word(&words, doubled.other);
    bt_text_add(&words, " --by NAME --why REASON ");
    bt_text_add_shell_word(&words, path);
    cli_say("%s: %lld row%s the same readings as %s of that laser and day that another log has "
            "%s a time of day: kept, and such checks stand twice. If they are the same ones, this "
            "log takes the other's place: `beamtally import --again --instead-of %s`, with the map "
            "or options as before",
            path, (long long)doubled.n, doubled.n == 1 ? " has" : "s have",
            doubled.n == 1 ? "a row" : "rows", doubled.without ? "with" : "without",
            bt_text_get(&words));
  }
  free(doubled.other);
  bt_text_free(&words);
}

/* "beamtally correct --unit A --at 2026-09-01T07:30#1": where the first of the rows is found; of
 * several lasers the log's own line says which. */
static void add_where(bt_text *sentence, const import_made *made, const bt_told_rows *rows) {
  char at[BT_TIME_TEXT];
  bt_text_add(sentence, "beamtally correct --unit ");
  bt_text_add_shell_word(sentence, made->laser == NULL ? "UNIT" : made->laser);
  bt_text_format(sentence, " --at %s", bt_time_iso(rows->time, rows->has_clock, at));
  if (rows->sequence > 0)
    bt_text_format(sentence, "#%d", (int)rows->sequence);
}

/* All of them at once: a copy of the log in which they are gone takes its place. */
static void add_instead(const char *path, bool one, bt_text *out) {
  const char *slash = strrchr(path, '/');
  if (one || strcmp(path, bt_input_name("-")) == 0)
    return;
  bt_text_add(out, "; or all at once: take them out of a copy of the file, and `beamtally import "
                   "--again --instead-of ");
  bt_text_add_shell_word(out, slash == NULL ? path : slash + 1);
  bt_text_add(out, " --by NAME --why REASON COPY`, with the map or options as before");
}

/* Rows that were taken as their own, or not taken, though a person may have meant another thing. */
static void say_told(const char *path, const import_made *made, const bt_import_counts *counts) {
  const bt_told_rows *twins = &counts->twins, *reworded = &counts->reworded;
  bt_text where = {0}, instead = {0};
  if (twins->n > 0) {
    bool one = twins->n == 1;
    add_where(&where, made, twins);
    add_instead(path, one, &instead);
    cli_say("%s: %lld row%s the same as another row of the file (same laser, time and readings): "
            "kept as %s of %s own, the first is line %lld; if %s pasted twice, take %s out: `%s "
            "--withdraw --by NAME --why REASON`%s",
            path, (long long)twins->n, one ? " says" : "s say", one ? "a check" : "checks",
            one ? "its" : "their", (long long)twins->line, one ? "it was" : "they were",
            one ? "it" : "the first", bt_text_get(&where), bt_text_get(&instead));
  }
  bt_text_clear(&where);
  if (reworded->n > 0) {
    bool one = reworded->n == 1;
    add_where(&where, made, reworded);
    cli_say("%s: %lld row%s known bring%s a remark or operator that the ledger doesn't have; what "
            "the ledger has stands, the first is line %lld: `%s remark=... --by NAME --why REASON` "
            "changes it",
            path, (long long)reworded->n, one ? " that is" : "s that are", one ? "s" : "",
            (long long)reworded->line, bt_text_get(&where));
  }
  bt_text_free(&instead);
  bt_text_free(&where);
}

/* What a person has seen in the list already is told apart from what is new in it. */
static void say_held(const char *path, const bt_import_counts *counts) {
  int64_t before = counts->conflicts_before;
  if (counts->conflicts == 0)
    return;
  if (before == counts->conflicts)
    cli_say("%s: held back as before, and not settled yet: `beamtally conflicts` shows how", path);
  else if (before > 0)
    cli_say("%s: `beamtally conflicts` shows what was held back, %lld of it as before, and how to "
            "settle it",
            path, (long long)before);
  else
    cli_say("%s: `beamtally conflicts` shows what was held back, and how to settle it", path);
}

void import_made_hear(import_made *made, const bt_check *check) {
  if (made->checks++ == 0) {
    made->laser = bt_copy(check->unit);
    made->lasers = made->laser == NULL;
  } else if (!made->lasers && strcmp(made->laser, check->unit) != 0) {
    free(made->laser);
    made->laser = NULL;
    made->lasers = true;
  }
}

void import_add_made(const import_made *made, int64_t refused, bt_text *words) {
  int64_t one_each = made->of_events ? made->events : made->checks;
  if (one_each + refused == made->rows && (made->of_events || made->events == 0))
    return;
  if (!made->of_events) {
    bt_text_format(words, " (%lld check%s", (long long)made->checks, made->checks == 1 ? "" : "s");
    if (made->alone > 0)
      bt_text_format(words, ", %lld of events alone", (long long)made->alone);
    bt_text_add(words, ")");
  }
  if (made->events > 0)
    bt_text_format(words, ", %lld event%s", (long long)made->events, made->events == 1 ? "" : "s");
}

void import_add_by_map(const import_request *request, bt_text *out) {
  if (request->choices->map == NULL)
    return;
  bt_text_add(out, ", by the map ");
  (void)cli_plain(out, request->choices->map, SIZE_MAX);
}

void import_say_summary(const cli_context *cli, const char *path, const import_request *request,
                        const bt_import_counts *counts, const import_made *made,
                        const import_refusals *refusals) {
  if (counts->removed > 0)
    cli_say("%s: %lld text%s left out: a person had the text of that check or event removed for "
            "good; what should stand there is put in with `beamtally correct`",
            path, (long long)counts->removed, counts->removed == 1 ? " was" : "s were");
  say_told(path, made, counts);
  if (cli->quiet)
    return;
  const char *instead_of = request->by.instead_of;
  bt_text before = {0}, rows = {0};
  import_refusals_add_before(refusals, counts, cli->verbose, &before);
  import_add_by_map(request, &before);
  import_add_made(made, counts->refused, &rows);
  if (counts->repeated)
    cli_tell("%s: this file is in the ledger already; nothing added\n", path);
  else
    cli_tell("%s: %lld row%s%s, %lld new, %lld already known, %lld conflict%s, %lld refused%s\n",
             path, (long long)made->rows, made->rows == 1 ? "" : "s", bt_text_get(&rows),
             (long long)counts->fresh, (long long)counts->known, (long long)counts->conflicts,
             counts->conflicts == 1 ? "" : "s", (long long)counts->refused, bt_text_get(&before));
  bt_text_free(&before);
  bt_text_free(&rows);
  if (counts->superseded > 0)
    cli_tell("%s: %lld record%s of %s superseded\n", path, (long long)counts->superseded,
             counts->superseded == 1 ? "" : "s",
             instead_of != NULL ? instead_of : "its earlier import");
  if (counts->closed > 0)
    cli_tell("%s: %lld conflict%s of its earlier import closed, replaced by this reading\n", path,
             (long long)counts->closed, counts->closed == 1 ? "" : "s");
  if (counts->rows == 0 && !counts->repeated)
    cli_say("%s: the file has a header and no row", path);
  say_held(path, counts);
}
