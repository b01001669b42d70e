/* Likely causes of a case, each with its evidence; and the days that a change may have affected,
 * where somebody asked for them. */
#include "report_case.h"

enum { COLUMNS = 4 };
static const double at[COLUMNS] = {0, 0.08, 0.33, 0.66};
static const double first_cause = 40; /* mm: heading, head, and a row of six lines */
static const char *const heads[COLUMNS] = {"Strength", "What the data support", "For it",
                                           "Against it"};

/* A row of cells that wrap: evidence is not to be cut. */
static void wrapped_row(case_pages *on, const char *const *cells) {
  static const double column_gap = 2, row_gap = 1.2;
  report_case_room(on, report_cells(on->builder, false, 0, at, column_gap, cells, COLUMNS,
                                    BT_STYLE_TABLE, BT_INK_TEXT));
  on->y += report_cells(on->builder, true, on->y, at, column_gap, cells, COLUMNS, BT_STYLE_TABLE,
                        BT_INK_TEXT) +
           row_gap;
}

static void causes_of(case_pages *on, const bt_drift *drift) {
  bt_text words = {0}, against = {0};
  report_drift_short(on->one->unit, drift, &words);
  report_case_room(on, first_cause); /* a heading and its head stay with the first row */
  report_case_heading(on, bt_text_get(&words));
  if (drift->causes_n == 0)
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT,
                          "No cause is named: what moved together with it points to none.");
  else
    report_case_row(on, at, heads, COLUMNS, BT_STYLE_TABLE_HEAD, BT_INK_SOFT);
  for (size_t c = 0; c < drift->causes_n; c++) {
    bt_text_clear(&words);
    bt_text_clear(&against);
    report_cause_for(on->one->unit, drift, &drift->causes[c], &words);
    report_cause_against(on->one->unit, drift, &drift->causes[c], &against);
    const char *cells[COLUMNS] = {report_cause_strength(drift->causes[c].strength),
                                  report_cause_words(drift, &drift->causes[c]), bt_text_get(&words),
                                  bt_text_get(&against)};
    wrapped_row(on, cells);
  }
  report_text_end(on->builder, &words);
  report_text_end(on->builder, &against);
}

static void look_back_of(case_pages *on, const bt_drift *drift) {
  const bt_look_back *of = &drift->look_back;
  bt_text words = {0};
  bt_text_format(&words, "%s. ", drift->study->quantity.title);
  report_drift_last_good(drift, &words);
  report_count(&words, of->days, "day", "days");
  bt_text_add(&words, of->days > 0 ? ": " : "");
  report_drift_days(drift->look_back_day, of->days, &words);
  bt_text_add(&words, ".");
  report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&words));
  report_text_end(on->builder, &words);
}

/* Of a change that an event brought back, causes are named up to the event only: the command that
 * makes a folder of them. */
static void none_named(const case_pages *on, const bt_drift *back, bt_text *out) {
  const bt_case *one = on->one;
  char day[BT_TIME_TEXT];
  bt_text_add(out, "None is named: nothing changed past its threshold");
  if (back == NULL) {
    bt_text_add(out, ".");
    return;
  }
  bt_time until = report_case_event(one, back)->time - BT_DAY;
  bt_text_add(out, " since the event that page 1 tells of.");
  if (until <= one->from)
    return;
  bt_text_add(out, " What was named before it stands in a folder of the days up to it: “beamtally "
                   "evidence --unit ");
  bt_text_add_shell_word(out, one->unit->history.unit);
  bt_text_format(out, " --from %s", bt_time_day_iso(one->from, day));
  bt_text_format(out, " --to %s -o FOLDER”.", bt_time_day_iso(until, day));
}

/* Where nothing was looked at page 1 says so, and there is no page. */
static void causes(case_pages *on) {
  const bt_unit_drift *all = on->one->unit->drift;
  size_t told = 0;
  const bt_drift *back = NULL;
  for (size_t i = 0; i < all->n && back == NULL; i++)
    if (report_case_brought_back(&all->drift[i]))
      back = &all->drift[i];
  if (report_drift_looked(all) == 0)
    return;
  report_case_section(on, "Likely causes");
  report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_SOFT,
                        "What the data support, in the order of its strength: no diagnosis. The "
                        "manufacturer’s engineer decides. Causes are named only past the threshold "
                        "of the look (see the method).");
  for (const bt_drift *drift = report_drift_after(on->one->unit, NULL); drift != NULL;
       drift = report_drift_after(on->one->unit, drift))
    if (report_drift_is_told(drift)) {
      causes_of(on, drift);
      told++;
    }
  if (told == 0) {
    bt_text sought = {0};
    none_named(on, back, &sought);
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&sought));
    bt_text_clear(&sought);
    report_causes_sought(report_drift_of_gas(on->one->unit) != NULL, &sought);
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&sought));
    report_text_end(on->builder, &sought);
  }
  if (report_drift_looked(all) < all->n) {
    bt_text words = {0};
    bt_text_add(&words, "For drift ");
    report_drift_not_looked(all, &words);
    bt_text_add(&words, ".");
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, bt_text_get(&words));
    report_text_end(on->builder, &words);
  }
}

void report_case_causes(case_pages *on) {
  const bt_unit_drift *all = on->one->unit->drift;
  size_t listed = 0;
  causes(on);
  if (!on->one->with_look_back)
    return;
  report_case_section(on, "Look-back list");
  report_case_heading(
      on,
      "Days with a check in this log; Beamtally does not know on which of them the laser was used");
  for (size_t i = 0; i < all->n; i++)
    if (report_drift_looks_back(&all->drift[i])) {
      look_back_of(on, &all->drift[i]);
      listed++;
    }
  if (listed == 0)
    report_case_paragraph(on, BT_STYLE_TABLE, BT_INK_TEXT, "None: nothing changed.");
}
