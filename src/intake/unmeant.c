/* Texts of a column that a map reads events out of, and gives no meaning: their rows are kept, but
 * no event is taken from them.
 *
 * U1  Of a column that is read for its events alone, all texts but those that say that there was
 *     none: blank, a word for no, "ok".
 * U2  Of one that is kept as a text as well, a remark, those that may be what the map means by
 *     another: a slip of the pen, a word for that event. */
#include "unmeant.h"
#include "event_words.h"
#include "map_line.h"
#include "near_text.h"
#include "preview.h"

#include <stdlib.h>
#include <string.h>

enum { LONGEST = 60 };

static bool may_be_lost(const intake_plan *plan, size_t i, const char *text) {
  const intake_column *column = &plan->columns[i];
  if (intake_is_missing(text) || intake_plan_means(plan, i, text) || intake_says_no(text) ||
      intake_says_passed(text))
    return false;
  if (column->role == INTAKE_ROLE_NONE)
    return true;
  for (size_t k = 0; k < plan->values_n; k++)
    if (plan->values[k].column == i && plan->values[k].role == INTAKE_ROLE_EVENT &&
        intake_is_near(&plan->values[k], text))
      return true;
  return false;
}

static bool keep(intake_plan *plan, size_t i, const char *text, int64_t line) {
  intake_unmeant *found = NULL;
  for (size_t k = 0; k < plan->unmeant_n && found == NULL; k++)
    if (plan->unmeant[k].column == i && bt_same_name(plan->unmeant[k].text, text))
      found = &plan->unmeant[k];
  if (found == NULL && plan->unmeant_n == INTAKE_UNMEANT_MOST) {
    plan->columns[i].unmeant_more++;
    return true;
  }
  if (found == NULL) {
    if (plan->unmeant == NULL &&
        (plan->unmeant = bt_new(INTAKE_UNMEANT_MOST, sizeof *plan->unmeant)) == NULL)
      return false;
    found = &plan->unmeant[plan->unmeant_n];
    *found = (intake_unmeant){.column = i, .text = bt_copy(text)};
    if (found->text == NULL)
      return false;
    plan->unmeant_n++;
  }
  if (found->rows < INTAKE_UNMEANT_LINES)
    found->lines[found->rows] = line;
  found->rows++;
  return true;
}

bool intake_hear_unmeant(intake_plan *plan, intake_fields *fields, int64_t line) {
  bool kept = true;
  for (size_t i = 0; i < plan->columns_n && i < fields->n && kept; i++) {
    const intake_column *column = &plan->columns[i];
    const char *text = intake_field(fields, i);
    bool alone = column->role == INTAKE_ROLE_NONE || column->role == INTAKE_ROLE_TEXT;
    if (column->events && alone && !column->must_mean && may_be_lost(plan, i, text))
      kept = keep(plan, i, text, line);
  }
  return kept;
}

bool intake_is_unmeant(const intake_plan *plan, size_t column) {
  for (size_t k = 0; k < plan->unmeant_n; k++)
    if (plan->unmeant[k].column == column)
      return true;
  return false;
}

/* An event of the column that the map may mean by it; `slip`: one of nearly its spelling, that no
 * row has. */
static const intake_value *nearest(const intake_plan *plan, const intake_unmeant *one, bool slip) {
  for (size_t k = 0; k < plan->values_n; k++) {
    const intake_value *value = &plan->values[k];
    if (value->column == one->column && value->role == INTAKE_ROLE_EVENT &&
        (slip ? !value->seen && intake_is_slip(value, one->text)
              : intake_is_near(value, one->text)))
      return value;
  }
  return NULL;
}

/* "Gaswechsl" (line 14), "neue Füllung" (lines 20, 31, 40 and 6 more). */
static void add_text(const intake_plan *plan, const intake_unmeant *one, bt_text *out) {
  char shown[LONGEST + 1];
  const intake_value *unseen = nearest(plan, one, true);
  bt_text_format(out, "\"%s\" (line%s ", intake_show(one->text, shown, sizeof shown),
                 one->rows == 1 ? "" : "s");
  for (int64_t k = 0; k < one->rows && k < INTAKE_UNMEANT_LINES; k++)
    bt_text_format(out, "%s%lld", k == 0 ? "" : ", ", (long long)one->lines[k]);
  if (one->rows > INTAKE_UNMEANT_LINES)
    bt_text_format(out, " and %lld more", (long long)(one->rows - INTAKE_UNMEANT_LINES));
  if (unseen != NULL)
    bt_text_format(out, "; the map has \"%s\", and no row", unseen->choice->value);
  bt_text_add(out, ")");
}

/* The line of a map for that text: of the kind that it is near to, or that its words tell of, or
 * else that the map reads out of its column. */
static void add_line(const bt_survey *survey, const intake_plan *plan, const intake_unmeant *one,
                     bt_text *out) {
  const intake_value *near = nearest(plan, one, false);
  bt_event_kind kind = near != NULL ? (bt_event_kind)near->item : intake_event_guess(one->text);
  for (size_t k = 0; k < plan->values_n && kind == BT_EVENT_OTHER; k++)
    if (plan->values[k].column == one->column && plan->values[k].role == INTAKE_ROLE_EVENT)
      kind = (bt_event_kind)plan->values[k].item;
  bt_text_format(out, "event.%s = ", bt_event_key(kind));
  intake_add_column(survey, one->column, ",\"", out);
  bt_text_add(out, ", ");
  if (intake_can_stand(one->text))
    intake_add_marked(one->text, out);
  else
    bt_text_add(out, "THE CELL'S TEXT");
  if (kind == BT_EVENT_GAS_REFILL)
    bt_text_add(out, ", before (or after)");
}

static bt_status hint_column(bt_survey *survey, const intake_plan *plan, size_t i,
                             bt_error *error) {
  enum { SHOWN = 6 };
  const intake_unmeant *first = NULL;
  const intake_column *column = &plan->columns[i];
  char header[INTAKE_SHORT_BYTES];
  bt_text list = {0}, sentence = {0};
  int64_t rows = column->unmeant_more;
  size_t texts = 0;
  for (size_t k = 0; k < plan->unmeant_n; k++) {
    const intake_unmeant *one = &plan->unmeant[k];
    if (one->column != i)
      continue;
    first = first == NULL ? one : first;
    rows += one->rows;
    if (texts++ >= SHOWN)
      continue;
    bt_text_add(&list, texts == 1 ? "" : ", ");
    add_text(plan, one, &list);
  }
  if (first == NULL)
    return BT_OK;
  bt_text_format(
      &sentence,
      "the map reads events out of the column \"%s\", and %lld row%s a text there that "
      "it gives no meaning: %s is kept, but no event is taken from %s: %s%s. Where it is "
      "one, add to the map's [values] a line like: ",
      intake_show(column->header, header, sizeof header), (long long)rows,
      rows == 1 ? " has" : "s have", rows == 1 ? "the row" : "each row", rows == 1 ? "it" : "them",
      bt_text_get(&list), texts > SHOWN || column->unmeant_more > 0 ? " and further ones" : "");
  add_line(survey, plan, first, &sentence);
  if (column->role == INTAKE_ROLE_NONE) {
    bt_text_add(&sentence, "; of a word that is none: not_stored = ");
    intake_add_column(survey, i, ",\"", &sentence);
    bt_text_add(&sentence, ", THE WORD");
  }
  if (!survey->preview)
    bt_text_add(&sentence, "; then `beamtally import --again --by NAME --why REASON --map MAP "
                           "FILE` reads it so");
  bt_status status =
      bt_text_ok(&list) ? intake_add_hint(survey, &sentence, error) : bt_fail_memory(error);
  bt_text_free(&list);
  bt_text_free(&sentence);
  return status;
}

bt_status intake_hint_unmeant(bt_survey *survey, const intake_plan *plan, bt_error *error) {
  bt_status status = BT_OK;
  for (size_t i = 0; i < plan->columns_n && status == BT_OK; i++)
    status = hint_column(survey, plan, i, error);
  return status;
}
