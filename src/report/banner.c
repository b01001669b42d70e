/* The banner of a page: the verdict and, where there is room, what it is of and since when. */
#include "report_drift.h"
#include "report_episodes.h"
#include "report_sentences.h"
#include "report_sheet.h"

#include <string.h>

/* A date at the end stays in one piece: "NO OPEN SIGNAL", "to 30 Sep 2026" below it. */
static void join_date(bt_text *words) {
  static const char to[] = " to ";
  bt_text joined = {.failed = words->failed};
  const char *at = strstr(bt_text_get(words), to);
  if (at == NULL)
    return;
  bt_text_add_bytes(&joined, bt_text_get(words), (size_t)(at - bt_text_get(words)) + 1);
  report_add_joined(&joined, at + 1);
  bt_text_free(words);
  *words = joined;
}

/* "Pulse-energy ratio, Fluence, first alarm 18 Mar 2026" of the unit's open signals of that
 * strength. */
static void signals_of(const bt_unit_study *unit, bt_strength strength, bool by_name,
                       bt_text *out) {
  bt_time since = 0;
  size_t n = 0;
  bool told = false; /* the dates of a change have it */
  char date[REPORT_DATE_TEXT];
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    if (!report_is_judged(of) || bt_study_open_strength(of) != strength)
      continue;
    bool first = true;
    for (bt_side side = BT_LOW; side < BT_SIDES; side++) {
      const bt_episode *episode = report_open_on(of, side);
      if (episode == NULL || bt_study_open_strength_on(of, side) != strength)
        continue;
      bt_time at = of->points.at[report_open_from(of, episode)];
      if (first && by_name)
        bt_text_format(out, "%s%s", n > 0 ? ", " : "", of->quantity.title);
      n += first;
      if ((n == 1 && first) || at < since) {
        since = at;
        told = report_drift_has_dates(unit, of);
      }
      first = false;
    }
  }
  if (n > 0 && !by_name)
    report_count(out, n, "characteristic", "characteristics");
  if (n > 0 && !told)
    bt_text_format(out, ", first %s %s", report_strength_word(strength),
                   report_short_date(since, date));
}

/* Behind a short verdict, what it is of and since when, as far as there is room: its words, and
 * their height in that style; 0: there are none. */
static double fit_signals(report_builder *builder, const bt_unit_study *unit, bt_verdict verdict,
                          double width, double height, bt_text *words, bt_style *style) {
  static const bt_style styles[] = {BT_STYLE_CAPTION, BT_STYLE_FINE};
  if (verdict != BT_VERDICT_ALARM && verdict != BT_VERDICT_NOTICE)
    return 0;
  for (int by_name = 1; by_name >= 0; by_name--) {
    bt_text_clear(words);
    signals_of(unit, verdict == BT_VERDICT_ALARM ? BT_ALARM : BT_NOTICE, by_name != 0, words);
    if (!bt_text_empty(words) &&
        report_fits(builder, width, height, styles, 2, bt_text_get(words), style))
      return report_measure(builder, *style, bt_text_get(words), width).height;
  }
  return 0;
}

double report_banner(report_builder *builder, const bt_unit_study *unit, bt_verdict verdict,
                     const bt_study *of) {
  static const double inset = 2.8, above = 1.3;
  report_frame frame = report_frame_of(builder);
  bt_text words = {0}, signals = {0};
  bt_style style = BT_STYLE_FINE;
  report_banner_words(unit, verdict, of, &words);
  join_date(&words);
  double panel_width = frame.right - frame.panel_left, wrap = panel_width - 2 * inset;
  double left = frame.panel_left + inset, top = frame.top + 0.6;
  double wide = report_measure(builder, BT_STYLE_BANNER, bt_text_get(&words), 0).width;
  double own = report_measure(builder, BT_STYLE_BANNER, bt_text_get(&words), wrap).height;
  double beside = of == NULL && wide <= wrap ? fit_signals(builder, unit, verdict, wrap - wide - 2,
                                                           own + 2 * above, &signals, &style)
                                             : 0;
  double height = (own > beside ? own : beside) + 2 * above, middle = top + height / 2;
  report_box(builder, frame.panel_left, top, panel_width, height,
             report_unit_ink(unit, verdict, of));
  if (wide > wrap)
    (void)report_wrapped(builder, left, middle - own / 2, wrap, BT_STYLE_BANNER, BT_INK_PAPER,
                         bt_text_get(&words));
  else
    (void)report_text(builder, left, middle - own / 2, BT_STYLE_BANNER, BT_INK_PAPER, BT_ALIGN_LEFT,
                      bt_text_get(&words));
  if (beside > 0)
    (void)report_wrapped(builder, left + wide + 2, middle - beside / 2, wrap - wide - 2, style,
                         BT_INK_PAPER, bt_text_get(&signals));
  report_text_end(builder, &words);
  report_text_end(builder, &signals);
  return height + 0.6;
}
