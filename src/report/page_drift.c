/* The page "Gas and drift": whether it is the gas, the gas fills laid over one another, the level
 * from fill to fill with the change and what is ahead, what the data support, and what else was
 * looked at. It is of the characteristic that says most: one that changed, the energy ratio before
 * others. Of one that no gas acts on it shows time alone. */
#include "report_drift.h"

#include <math.h>

static const double gap = 2.2, left_labels = 13, fills_share = 0.31, table_most = 58,
                    least_charts = 60;

static double head(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                   bool continued) {
  report_frame frame = report_frame_of(builder);
  char from[REPORT_DATE_TEXT], to[REPORT_DATE_TEXT];
  bt_text line = {0};
  double y = frame.top, width = frame.right - frame.left;
  y += report_text(builder, frame.left, y, BT_STYLE_TITLE, BT_INK_TEXT, BT_ALIGN_LEFT,
                   report_drift_page_title(unit))
           .height +
       0.3;
  bt_text_format(&line, "%s  ·  %s  ·  %s " REPORT_DASH " %s, %s%s", unit->history.unit,
                 drift->study->quantity.title,
                 report_short_date(report_drift_time(drift->values.day[0]), from),
                 report_short_date(report_drift_time(drift->last_day), to),
                 drift->study->adjusted ? "moved to the mean fill age" : "as measured",
                 continued ? "  ·  continued" : "");
  y += report_wrapped(builder, frame.left, y, width, BT_STYLE_SUBTITLE, BT_INK_SOFT,
                      bt_text_get(&line))
           .height;
  report_text_end(builder, &line);
  return y;
}

/* Appends what the text holds as a sentence of its own, behind a bold word or two by which a reader
 * finds it (NULL: none), and empties it. */
static void next_headed(report_words *words, const char *head, bt_text *text) {
  if (text->length > 0) {
    if (!bt_text_empty(&words->text))
      report_words_next(words);
    if (head != NULL)
      report_words_bold(words, "%s: ", head);
    report_words_add(words, "%s", bt_text_get(text));
  }
  words->text.failed |= text->failed;
  bt_text_clear(text);
}

static void next_sentence(report_words *words, bt_text *text) {
  next_headed(words, NULL, text);
}

/* The question of the page, answered of the reading that says most of it; false: of none. */
static bool gas_line(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  const bt_drift *asked = report_drift_asked_for_gas(unit);
  if (asked == NULL)
    return false;
  report_drift_gas_line(unit, asked, out);
  if (asked != drift)
    bt_text_format(out, " This is of “%s”.", asked->study->quantity.title);
  return true;
}

/* Of several forecasts, what each is measured against: equal losses are no equal dates. */
static void tolerances(const bt_unit_study *unit, bt_text *out) {
  const bt_unit_drift *all = unit->drift;
  size_t n = 0;
  for (size_t i = 0; i < all->n; i++)
    n += all->drift[i].forecast.use == BT_FORECAST_GIVEN;
  for (size_t i = 0, k = 0; i < all->n && n > 1; i++) {
    const bt_drift *drift = &all->drift[i];
    if (drift->forecast.use != BT_FORECAST_GIVEN || drift->tolerance == NULL)
      continue;
    bt_text_format(out, "%s%s against ",
                   k == 0 ? "Each forecast is measured against its own tolerance, so that equal "
                            "losses meet them on different days: "
                          : ", ",
                   drift->study->quantity.title);
    report_tolerance_range(drift->tolerance, &drift->study->quantity, out);
    k++;
  }
  if (out->length > 0)
    bt_text_add(out, ".");
}

static double sentences(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                        double y) {
  report_frame frame = report_frame_of(builder);
  report_words words = {0}, gas = {0};
  bt_text text = {0};
  if (gas_line(unit, drift, &text)) {
    report_words_bold(&words, "%s", bt_text_get(&text));
    y += report_paragraph(builder, frame.left, y, frame.right - frame.left, BT_STYLE_BODY,
                          BT_INK_TEXT, &words)
             .height +
         0.8;
    report_words_free(&words);
  }
  bt_text_clear(&text);
  report_drift_short(unit, drift, &text);
  report_words_bold(&words, "%s.", bt_text_get(&text));
  bt_text_clear(&text);
  report_drift_pace(drift, false, &text);
  next_sentence(&words, &text);
  report_drift_level(drift, &text);
  next_headed(&words, report_drift_is_changed(drift) ? "Level" : NULL, &text);
  report_drift_when(unit, drift, &text);
  next_headed(&words, "When it matters", &text);
  report_drift_together(unit, &text);
  next_sentence(&words, &text);
  tolerances(unit, &text);
  next_sentence(&words, &text);
  report_drift_past_score(drift, &text);
  next_headed(&words, "Earlier forecasts", &text);
  y += report_paragraph(builder, frame.left, y, frame.right - frame.left, BT_STYLE_CAPTION,
                        BT_INK_TEXT, &words)
           .height +
       0.8;
  report_drift_span(unit, drift, &text);
  next_sentence(&gas, &text);
  report_drift_left_out(drift, &text);
  next_sentence(&gas, &text);
  report_drift_likelihood(drift, &text);
  next_sentence(&gas, &text);
  report_drift_far(drift, &text);
  next_sentence(&gas, &text);
  report_drift_before(unit, drift, &text);
  next_sentence(&gas, &text);
  report_drift_at_event(unit, drift, &text);
  next_sentence(&gas, &text);
  report_drift_gas_numbers(unit, drift, &text);
  next_sentence(&gas, &text);
  if (unit->drift->evidence.plate.changed && report_drift_plate(unit->drift, &text))
    bt_text_add(&text, ".");
  next_sentence(&gas, &text);
  y += report_paragraph(builder, frame.left, y, frame.right - frame.left, BT_STYLE_CAPTION,
                        BT_INK_SOFT, &gas)
           .height;
  report_text_end(builder, &text);
  report_words_free(&words);
  report_words_free(&gas);
  return y;
}

/* ---- The table ------------------------------------------------------------------------------- */

enum { COLUMNS = 5 };

static const double column_at[COLUMNS] = {0, 0.125, 0.202, 0.4, 0.69};

/* One row, its cells wrapped; its height, and nothing put down where `put` is false. */
static double row(report_builder *builder, bool put, double y, const char *const *cells,
                  bt_style style, bt_ink ink) {
  report_frame frame = report_frame_of(builder);
  double width = frame.right - frame.left, height = 0;
  for (int c = 0; c < COLUMNS; c++) {
    double left = frame.left + column_at[c] * width;
    double right = c + 1 < COLUMNS ? frame.left + column_at[c + 1] * width - 3 : frame.right;
    double tall = put && *cells[c] != '\0'
                      ? report_wrapped(builder, left, y, right - left, style, ink, cells[c]).height
                      : report_measure(builder, style, cells[c], right - left).height;
    height = tall > height ? tall : height;
  }
  return height;
}

static bool any_changed(const bt_unit_drift *all) {
  bool any = false;
  for (size_t i = 0; i < all->n; i++)
    any = any || report_drift_is_changed(&all->drift[i]);
  return any;
}

/* "2 more causes: “beamtally drift --unit 'Suite North' --characteristic fluence”. " */
static void add_left(const bt_unit_study *unit, const bt_drift *of, size_t n, bt_text *out) {
  report_count(out, n, "more cause", "more causes");
  bt_text_add(out, ": “beamtally drift --unit ");
  bt_text_add_shell_word(out, unit->history.unit);
  if (of != NULL)
    bt_text_format(out, " --characteristic %s", of->study->quantity.key);
  bt_text_add(out, "”. ");
}

/* The causes of all characteristics, as many as there is room for; what is left is counted. Returns
 * where it ends. */
static double table(report_builder *builder, const bt_unit_study *unit, double y, double bottom) {
  static const char *const heads[COLUMNS] = {"Characteristic", "Strength", "What the data support",
                                             "For it", "Against it"};
  report_frame frame = report_frame_of(builder);
  bt_text evidence = {0}, against = {0}, words = {0};
  size_t left = 0, shown = 0;
  const bt_drift *left_of = NULL; /* those without a row, where all are of one */
  y += report_text(builder, frame.left, y, BT_STYLE_HEADING, BT_INK_TEXT, BT_ALIGN_LEFT,
                   "What the data support")
           .height +
       0.8;
  double line = report_measure(builder, BT_STYLE_NOTE, "0", 0).height;
  for (size_t i = 0; i < unit->drift->n; i++)
    for (size_t c = 0; c < unit->drift->drift[i].causes_n; c++) {
      const bt_drift *drift = &unit->drift->drift[i];
      const bt_cause *cause = &drift->causes[c];
      bt_text_clear(&evidence);
      bt_text_clear(&against);
      report_cause_for(unit, drift, cause, &evidence);
      report_cause_against(unit, drift, cause, &against);
      const char *cells[COLUMNS] = {
          drift->study->quantity.title, report_cause_strength(cause->strength),
          report_cause_words(drift, cause), bt_text_get(&evidence), bt_text_get(&against)};
      if (shown == 0)
        y += row(builder, true, y, heads, BT_STYLE_TABLE_HEAD, BT_INK_SOFT) + 0.6;
      if (y + row(builder, false, y, cells, BT_STYLE_TABLE, BT_INK_TEXT) > bottom - 2 * line) {
        left_of = left == 0 || left_of == drift ? drift : NULL;
        left++;
        continue;
      }
      y += row(builder, true, y, cells, BT_STYLE_TABLE, BT_INK_TEXT) + 0.8;
      shown++;
    }
  if (shown + left == 0) {
    bt_text_format(&words, "No cause is named: %s ",
                   any_changed(unit->drift)
                       ? "what moved together points to none."
                       : "nothing changed past its threshold in the days looked at.");
    report_causes_sought(report_drift_asks_for_gas(unit), &words);
    bt_text_add(&words, " ");
  }
  if (left > 0) {
    add_left(unit, left_of, left, &words);
  }
  bt_text_format(&words,
                 "A cause is named only past a threshold that keeps false ones under 5" REPORT_JOIN
                 "%% a laser and year. It is what the record supports, not a diagnosis: the "
                 "manufacturer’s engineer decides.");
  y += report_wrapped(builder, frame.left, y, frame.right - frame.left, BT_STYLE_NOTE, BT_INK_SOFT,
                      bt_text_get(&words))
           .height;
  report_text_end(builder, &evidence);
  report_text_end(builder, &against);
  report_text_end(builder, &words);
  return y;
}

/* With room for one more line of its note. */
static double table_height(report_builder *builder, const bt_unit_study *unit) {
  builder->measures_only = true;
  double height = table(builder, unit, 0, table_most);
  builder->measures_only = false;
  return height + report_measure(builder, BT_STYLE_NOTE, "0", 0).height;
}

void report_drift_charts(report_builder *builder, const bt_unit_study *unit, const bt_drift *drift,
                         double top, double bottom) {
  report_frame frame = report_frame_of(builder);
  double middle = frame.left + fills_share * (frame.right - frame.left);
  bool fills =
      report_drift_by_fills(drift) &&
      report_drift_fills(builder, unit, drift, frame.left + left_labels, middle - 3, top, bottom);
  report_drift_levels(builder, unit, drift, (fills ? middle + 2 : frame.left) + left_labels,
                      frame.right, top, bottom);
}

/* On one page where all has room, else causes and what else was looked at on a second. */
void report_drift_page(report_builder *builder, const bt_unit_study *unit) {
  const bt_drift *drift = report_drift_chosen(unit);
  report_page(builder, report_drift_page_title(unit), "drift");
  report_frame frame = report_frame_of(builder);
  double y = head(builder, unit, drift, false) + gap;
  y = sentences(builder, unit, drift, y) + gap;
  double others = report_drift_others(builder, false, unit, drift, 0, HUGE_VAL);
  double tall = table_height(builder, unit), table_top = frame.bottom - others - tall;
  if (others > 0 && table_top - y < least_charts) {
    report_drift_charts(builder, unit, drift, y, frame.bottom);
    report_page(builder, NULL, "drift-2");
    table_top = head(builder, unit, drift, true) + gap;
  } else
    report_drift_charts(builder, unit, drift, y, table_top - gap);
  y = table(builder, unit, table_top, frame.bottom - others);
  (void)report_drift_others(builder, others > 0, unit, drift, y, frame.bottom - y);
}
