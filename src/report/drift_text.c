/* `drift --format text`: the answers first, then what the data support, what to do, and details. */
#include "report_drift.h"

static void add_causes(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text words = {0}, head = {0};
  bt_text_add(out, "\nWhat the data support\n");
  if (drift->causes_n == 0)
    report_wrap_plain(out, "  ",
                      report_drift_is_changed(drift)
                          ? "No cause is named: what moved together with it points to none."
                      : drift->use == BT_DRIFT_LOOKED_AT ? "No cause is named without a change."
                                                         : "Nothing: it was not looked at.");
  for (size_t c = 0; c < drift->causes_n; c++) {
    const bt_cause *cause = &drift->causes[c];
    bt_text_clear(&head);
    bt_text_format(&head, "  %-10s", report_cause_strength(cause->strength));
    bt_text_add(&words, report_cause_words(drift, cause));
    bt_text_add(&words, ".");
    report_drift_answer(out, bt_text_get(&head), &words);
    report_cause_for(unit, drift, cause, &words);
    report_drift_answer(out, "            for: ", &words);
    report_cause_against(unit, drift, cause, &words);
    report_drift_answer(out, "            against: ", &words);
  }
  bt_text_free(&words);
  report_text_pass(&head, out);
}

static void add_next(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text step = {0};
  bt_text_add(out, "\nWhat to do next\n");
  for (size_t i = 0; report_drift_next(unit, drift, i, &step); i++)
    report_wrap_plain(out, "  - ", bt_text_get(&step));
  report_text_pass(&step, out);
}

/* All above is measured from it. */
static void shaky_words(const bt_drift *drift, bt_text *out) {
  if (report_is_shaky(drift->study))
    bt_text_add(out, "Provisional, and the days that it comes from drift themselves: what is found "
                     "here is measured from them. Do not freeze it.");
}

/* Of the days before those that are looked at, and of the event between. */
static void before_words(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text event = {0};
  report_drift_before(unit, drift, out);
  report_drift_at_event(unit, drift, &event);
  if (!bt_text_empty(&event))
    bt_text_format(out, "%s%s", bt_text_empty(out) ? "" : " ", bt_text_get(&event));
  report_text_pass(&event, out);
}

static void add_one(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  bt_text_format(&words, "%s, %s, up to its last check, of %s", unit->history.unit,
                 drift->study->quantity.title, report_drift_log_end(drift, date));
  report_drift_answer(out, "", &words);
  if (!report_drift_is_changed(drift)) /* else months of decline would stand under "no change" */
    before_words(unit, drift, &words);
  report_drift_answer(out, "", &words);
  report_drift_gas_line(unit, drift, &words);
  report_drift_answer(out, "", &words);
  bt_text_add(out, "\n");
  report_drift_is(unit, drift, &words);
  bt_text_add(&words, " ");
  report_drift_level(drift, &words);
  report_drift_answer(out, "Is it drifting?  ", &words);
  if (report_drift_is_changed(drift))
    before_words(unit, drift, &words);
  report_drift_answer(out, "Before that      ", &words);
  report_drift_since(drift, &words);
  report_drift_answer(out, "Since when?      ", &words);
  report_drift_gas_numbers(unit, drift, &words);
  report_drift_answer(out, "The gas fills    ", &words);
  shaky_words(drift, &words);
  report_drift_answer(out, "The baseline     ", &words);
  report_drift_when(unit, drift, &words);
  report_drift_answer(out, "When it matters  ", &words);
  add_causes(unit, drift, out);
  add_next(unit, drift, out);
  if (drift->use == BT_DRIFT_LOOKED_AT)
    report_drift_details(unit, drift, out);
  bt_text_add(out, "\n");
  bt_text_free(&words);
}

/* Of the whole unit, where no section of a reading that the gas acts on says it. */
static void add_gas(const bt_unit_study *unit, bt_text *out) {
  const bt_drift *drift = report_drift_of_gas(unit);
  bt_text words = {0};
  if (drift != NULL && report_drift_is_told(drift))
    return;
  report_drift_gas_line(unit, drift, &words);
  if (drift != NULL)
    bt_text_format(&words, " This is of “%s”.", drift->study->quantity.title);
  report_drift_answer(out, "", &words);
  bt_text_add(out, "\n");
  bt_text_free(&words);
}

/* That nothing was looked at must not read as nothing found. */
static void add_looked_at(const bt_unit_drift *all, bt_text *out) {
  size_t told = 0;
  for (size_t i = 0; i < all->n; i++)
    told += report_drift_is_told(&all->drift[i]);
  if (all->n == 0)
    bt_text_add(out, "The log holds no reading that drift is looked for in.\n");
  else if (report_drift_looked(all) == 0)
    report_wrap_plain(out, "",
                      "Nothing was looked at: nothing here says that the laser has not "
                      "changed.");
  else if (report_drift_looked(all) > told)
    report_wrap_plain(out, "",
                      "A drift too slow, or too young, to be told from chance may be there all the "
                      "same; “--characteristic” tells more of each.");
  if (told < all->n || all->n == 0)
    bt_text_add(out, "\n");
}

bt_status bt_report_drift(const bt_unit_study *unit, const bt_drift *only, bt_text *out,
                          bt_error *error) {
  const bt_unit_drift *all = unit->drift;
  bt_text words = {0};
  if (only != NULL)
    add_one(unit, only, out);
  else
    add_gas(unit, out);
  for (size_t i = 0; only == NULL && i < all->n; i++)
    if (report_drift_is_told(&all->drift[i]))
      add_one(unit, &all->drift[i], out);
  for (size_t i = 0; only == NULL && i < all->n; i++)
    if (!report_drift_is_told(&all->drift[i])) {
      report_drift_brief(unit, &all->drift[i], &words);
      report_drift_suspected(&all->drift[i], &words);
      report_drift_answer(out, "", &words);
    }
  if (only == NULL && report_drift_both(all, &words))
    report_drift_answer(out, "", &words);
  if (only == NULL)
    add_looked_at(all, out);
  report_wrap_plain(out, "", report_words_at);
  bt_text_add(out, "\n");
  report_wrap_plain(out, "", report_caution);
  bt_text_free(&words);
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}
