/* Gas refills that stand among a log's remarks: a help for the person who writes a map, never a
 * decision.
 *
 * R1  A text in three rows or more that speaks of gas and of a change or a fill. One that stands
 *     once is a remark.
 * R2  "gas changed before test" is a refill before the row's reading, "test before gas change" one
 *     after it. */
#include "noted.h"
#include "columns.h"
#include "event_words.h"
#include "likely.h"
#include "map_line.h"
#include "preview.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

enum { ROWS_LEAST = 3 };

/* English, German, French, Italian, Spanish, Portuguese, Dutch, Polish, Turkish. */
static bool tells_of_change(const char *text) {
  static const char *const parts[] = {"chang",   "fill",   "replac",  "exchang", "new",   "wechsel",
                                      "neu",     "füll",   "rempl",   "nouve",   "ricar", "cambi",
                                      "nuov",    "recar",  "nuev",    "troc",    "novo",  "verv",
                                      "verniew", "wymian", "değişti", "dolum"};
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
    if (bt_name_has(text, parts[i]))
      return true;
  return false;
}

/* R2, of English words. */
static bt_refill when_of(const char *text) {
  char *plain = bt_fold_name(text);
  if (plain == NULL) /* without memory: not told */
    return BT_REFILL_NONE;
  const char *before = strstr(plain, "before"), *after = strstr(plain, "after");
  const char *word = before != NULL ? before : after, *gas = strstr(plain, "gas");
  gas = gas == NULL ? strstr(plain, "refill") : gas;
  bt_refill refill = BT_REFILL_NONE;
  if (word != NULL && gas != NULL && (before == NULL || after == NULL))
    refill = (gas < word) == (before != NULL) ? BT_REFILL_BEFORE : BT_REFILL_AFTER;
  free(plain);
  return refill;
}

static bool holds_remarks(const bt_survey *survey, const bt_survey_column *column) {
  int item = 0;
  if (column->key != NULL)
    return intake_role_of(column->key, &item) == INTAKE_ROLE_TEXT && item == BT_FIELD_REMARK;
  intake_likely likely = intake_likely_keys(survey, column);
  return likely.content == INTAKE_CONTENT_TEXT && !likely.by_words && likely.n > 0 &&
         strcmp(likely.key[0], "remark") == 0;
}

/* R1, of text k. *refill is when it was, as far as the words say (NONE: they don't). */
static bool notes_refill(const bt_survey *survey, size_t i, size_t k, bt_refill *refill) {
  const bt_survey_column *column = &survey->columns[i];
  const char *text = column->texts[k];
  if (column->identity || column->texts_rows[k] < ROWS_LEAST || !intake_can_stand(text) ||
      intake_event_guess(text) != BT_EVENT_GAS_REFILL || !tells_of_change(text) ||
      intake_has_meanings(survey, i) || !holds_remarks(survey, column))
    return false;
  *refill = when_of(text);
  return true;
}

static void add_line(const bt_survey *survey, size_t i, size_t k, bt_refill refill, bt_text *out) {
  bt_text_add(out, "event.gas_refill = ");
  intake_add_column(survey, i, ",\"", out);
  bt_text_add(out, ", ");
  intake_add_marked(survey->columns[i].texts[k], out);
  bt_text_add(out, refill == BT_REFILL_AFTER ? ", after" : ", before");
}

void intake_add_noted(const bt_survey *survey, bt_text *lines) {
  for (size_t i = 0; i < survey->columns_n; i++) {
    size_t n = 0;
    for (size_t k = 0; k < survey->columns[i].texts_n; k++) {
      bt_refill refill = BT_REFILL_NONE;
      if (!notes_refill(survey, i, k, &refill))
        continue;
      if (n++ == 0) {
        bt_text_format(lines, "\n# Column %zu, \"", i + 1);
        intake_add_remark(survey->columns[i].header, lines);
        bt_text_add(lines, "\": these words seem to note a gas refill. Look over whether it came\n"
                           "# before or after the reading of its row:\n");
      }
      bt_text_add(lines, "# ");
      add_line(survey, i, k, refill, lines);
      bt_text_add(lines, "\n");
    }
  }
}

static bt_status hint(bt_survey *survey, size_t i, size_t k, bt_error *error) {
  const bt_survey_column *column = &survey->columns[i];
  char header[INTAKE_SHORT_BYTES], text[INTAKE_SHORT_BYTES];
  bt_refill refill = BT_REFILL_NONE;
  bt_text sentence = {0};
  if (!notes_refill(survey, i, k, &refill))
    return BT_OK;
  bt_text_format(&sentence,
                 "%lld rows have \"%s\" in the column \"%s\", which seems to note a gas refill, "
                 "and no refill is taken from it unless a column map says so under [values]: ",
                 (long long)column->texts_rows[k], intake_show(column->texts[k], text, sizeof text),
                 intake_show(column->header, header, sizeof header));
  add_line(survey, i, k, refill, &sentence);
  bt_text_add(&sentence, refill == BT_REFILL_NONE
                             ? " (or after: whether it came before or after its row's reading)"
                             : " (look over whether it came before or after its row's reading)");
  bt_status status = intake_add_hint(survey, &sentence, error);
  bt_text_free(&sentence);
  return status;
}

bt_status intake_hint_noted(bt_survey *survey, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < survey->columns_n; i++)
    for (size_t k = 0; k < survey->columns[i].texts_n && status == BT_OK; k++)
      status = hint(survey, i, k, error);
  return status;
}
