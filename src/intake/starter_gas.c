/* A column that notes gas refills, in a starter map: how to tell on which side of the reading each
 * was, and a line for each of its texts that tells of gas, as of a diary (A3). What other texts say
 * nobody knows: they may be names. More texts, or longer ones, are remarks, and where the header
 * says who, even "J" is a person. */
#include "event_words.h"
#include "map_line.h"
#include "says_who.h"
#include "starter.h"
#include "words.h"

#include <stdio.h>

static void add_gas_line(const bt_survey *survey, size_t i, bt_event_kind kind, const char *text,
                         bt_text *lines) {
  char key[48];
  bt_text cell = {0};
  (void)snprintf(key, sizeof key, "event.%s", bt_event_key(kind));
  intake_add_marked(text, &cell);
  bt_text_add(&cell, kind == BT_EVENT_GAS_REFILL ? ", before" : "");
  intake_add_example(survey, i, key, bt_text_get(&cell), lines);
  lines->failed = lines->failed || !bt_text_ok(&cell);
  bt_text_free(&cell);
}

/* A text in a column about the gas: of the kind that its words tell of, a refill where they don't.
 * Who notes a new bottle there may have filled from it. */
static void add_gas_text(const bt_survey *survey, size_t i, const char *text, bt_text *lines) {
  bt_event_kind kind = intake_event_guess(text);
  kind = kind == BT_EVENT_OTHER ? BT_EVENT_GAS_REFILL : kind;
  add_gas_line(survey, i, kind, text, lines);
  if (kind == BT_EVENT_GAS_BOTTLE)
    add_gas_line(survey, i, BT_EVENT_GAS_REFILL, text, lines);
}

/* By its own words it says that there was a refill or a new bottle, and nobody's name, and can
 * stand in a map. */
static bool tells_of_gas(const char *text) {
  bt_refill refill = BT_REFILL_NONE;
  bool when = intake_refill_of(text, &refill) && refill != BT_REFILL_NONE;
  bool tells = when || intake_says_yes(text) || intake_says_changed(text) ||
               intake_event_guess(text) != BT_EVENT_OTHER;
  return tells && !intake_says_who(text) && intake_can_stand(text);
}

void intake_add_refill(const bt_survey *survey, size_t i, bt_text *lines) {
  const bt_survey_column *column = &survey->columns[i];
  bool people = intake_says_who(column->header);
  const char *yes = people ? NULL : intake_text_of(column, intake_says_yes, NULL);
  size_t others = 0;
  for (size_t k = 0; k < column->texts_n && !column->texts_more && !people; k++)
    others += column->texts[k] != yes && tells_of_gas(column->texts[k]);
  bt_text_add(lines, "\": if it notes a gas refill, ");
  if (yes == NULL && others == 0)
    bt_text_add(lines, "put its word for yes for YES, and ");
  bt_text_add(lines, "say whether the refill\n"
                     "# came before or after the reading of that row. If nobody knows, compare: "
                     "where the row\n"
                     "# with the refill has the higher energy, or the lower voltage, of the days "
                     "about it, it\n# was read on the fresh gas: before; where the row behind it "
                     "has, after:\n");
  if (yes != NULL)
    add_gas_text(survey, i, yes, lines);
  else if (others == 0)
    intake_add_example(survey, i, "event.gas_refill", "YES, before", lines);
  if (others > 0)
    bt_text_add(lines, yes != NULL
                           ? "# Its other texts, as far as their words tell: look it over.\n"
                           : "# Its texts, as far as their words tell: look it over.\n");
  for (size_t k = 0; k < column->texts_n && others > 0; k++)
    if (column->texts[k] != yes && tells_of_gas(column->texts[k]))
      add_gas_text(survey, i, column->texts[k], lines);
}
