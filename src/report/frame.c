/* What every page has: margins, the banner, the footer with provenance and caution. */
#include "report_room.h"

#include <stdio.h>
#include <string.h>

static const double margin = 12.7, top_margin = 8.0, panel_width = 53.4;
static const double footer_top = 13.2; /* from the lower edge */

report_frame report_frame_of(const report_builder *builder) {
  const bt_document *document = builder->document;
  report_frame frame = {.left = margin,
                        .right = document->width_mm - margin,
                        .top = top_margin,
                        .bottom = document->height_mm - footer_top - 2.2};
  frame.panel_left = frame.right - panel_width;
  return frame;
}

/* A date at the end stays in one piece: "NO OPEN SIGNAL", "to 30 Sep 2026" below it. */
static void join_date(bt_text *words) {
  static const char to[] = " to ";
  bt_text joined = {0};
  const char *at = strstr(bt_text_get(words), to);
  if (at == NULL)
    return;
  bt_text_add_bytes(&joined, bt_text_get(words), (size_t)(at - bt_text_get(words)) + 1);
  for (at++; *at != '\0'; at++)
    if (*at == ' ')
      bt_text_add(&joined, REPORT_JOIN);
    else
      bt_text_add_bytes(&joined, at, 1);
  bt_text_free(words);
  *words = joined;
}

/* "Pulse-energy ratio, Fluence, first on 18 Mar 2026" of the unit's open signals of that strength.
 */
static void signals_of(const bt_unit_study *unit, bt_strength strength, bool by_name,
                       bt_text *out) {
  bt_time since = 0;
  size_t n = 0;
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
      since = (n == 1 && first) || at < since ? at : since;
      first = false;
    }
  }
  if (n > 0 && !by_name)
    report_count(out, n, "characteristic", "characteristics");
  if (n > 0)
    bt_text_format(out, ", first on %s", report_short_date(since, date));
}

/* Behind a short verdict, what it is of and since when, as far as there is room. */
static void banner_signals(report_builder *builder, const bt_unit_study *unit, bt_verdict verdict,
                           double left, double right, double y, double height) {
  static const bt_style styles[] = {BT_STYLE_CAPTION, BT_STYLE_FINE};
  bt_text words = {0};
  bt_style style;
  if (verdict != BT_VERDICT_ALARM && verdict != BT_VERDICT_NOTICE)
    return;
  for (int by_name = 1; by_name >= 0; by_name--) {
    bt_text_clear(&words);
    signals_of(unit, verdict == BT_VERDICT_ALARM ? BT_ALARM : BT_NOTICE, by_name != 0, &words);
    if (bt_text_empty(&words) ||
        !report_fits(builder, right - left, height, styles, 2, bt_text_get(&words), &style))
      continue;
    double tall = report_measure(builder, style, bt_text_get(&words), right - left).height;
    (void)report_wrapped(builder, left, y + (height - tall) / 2, right - left, style, BT_INK_PAPER,
                         bt_text_get(&words));
    break;
  }
  report_text_end(builder, &words);
}

double report_banner(report_builder *builder, const bt_unit_study *unit, bt_verdict verdict,
                     const bt_study *of) {
  static const double inset = 2.8, above = 1.3;
  report_frame frame = report_frame_of(builder);
  bt_text words = {0};
  report_banner_words(unit, verdict, of, &words);
  join_date(&words);
  double wrap = panel_width - 2 * inset;
  double height =
      report_measure(builder, BT_STYLE_BANNER, bt_text_get(&words), wrap).height + 2 * above;
  report_box(builder, frame.panel_left, frame.top + 0.6, panel_width, height,
             report_unit_ink(unit, verdict, of));
  double wide = report_measure(builder, BT_STYLE_BANNER, bt_text_get(&words), 0).width;
  double left = frame.panel_left + inset, top = frame.top + 0.6 + above;
  if (wide > wrap)
    (void)report_wrapped(builder, left, top, wrap, BT_STYLE_BANNER, BT_INK_PAPER,
                         bt_text_get(&words));
  else
    (void)report_text(builder, left, top, BT_STYLE_BANNER, BT_INK_PAPER, BT_ALIGN_LEFT,
                      bt_text_get(&words));
  if (of == NULL && wide <= wrap)
    banner_signals(builder, unit, verdict, left + wide + 2, left + wrap, frame.top + 0.6, height);
  report_text_end(builder, &words);
  return height + 0.6;
}

void report_state_words(const char *state, bt_text *out) {
  bt_text_add(out, " Ledger");
  for (size_t i = 0; i < strlen(state); i += 4)
    bt_text_format(out, " %.4s", state + i);
  bt_text_add(out, ".");
}

void report_provenance_words(const bt_unit_study *unit, bt_text *out) {
  const bt_provenance *from = &unit->provenance;
  report_count(out, (uint64_t)from->sources, "log file", "log files");
  bt_text_add(out, ", ");
  report_count(out, (uint64_t)from->checks, "check", "checks");
  bt_text_add(out, ", ");
  report_count(out, (uint64_t)from->refused, "refused line", "refused lines");
  if (from->serious > 0)
    bt_text_format(out, ", %lld of them with a failed self-test, a remark or a refill",
                   (long long)from->serious);
  if (from->conflicts > 0) {
    bt_text_add(out, ", ");
    report_count(out, (uint64_t)from->conflicts, "row held back", "rows held back");
  }
  if (from->corrections > 0) {
    bt_text_add(out, ", ");
    report_count(out, (uint64_t)from->corrections, "correction", "corrections");
  }
  bt_text_add(out, ".");
  report_state_words(from->state, out);
}

static void footer(report_builder *builder, const char *words) {
  report_frame frame = report_frame_of(builder);
  double y = builder->document->height_mm - footer_top;
  char number[128];
  (void)snprintf(number, sizeof number, "%s%spage %zu of %zu", builder->edition,
                 builder->edition[0] == '\0' ? "" : " · ", builder->at + 1,
                 builder->document->pages_n);
  report_size size = report_measure(builder, BT_STYLE_NOTE, number, 0);
  /* The page's number stands at the end of the second line. */
  double wrap = frame.right - frame.left;
  if (report_measure(builder, BT_STYLE_NOTE, words, wrap).height > 1.5 * size.height)
    wrap -= size.width + 8;
  (void)report_wrapped(builder, frame.left, y, wrap, BT_STYLE_NOTE, BT_INK_SOFT, words);
  (void)report_text(builder, frame.right, y + size.height, BT_STYLE_NOTE, BT_INK_SOFT,
                    BT_ALIGN_RIGHT, number);
}

void report_footers(report_builder *builder, const bt_unit_study *unit,
                    const bt_report_request *request) {
  bt_text words = {0};
  if (unit != NULL)
    report_provenance_words(unit, &words);
  if (request->missing > 0) {
    bt_text_add(&words, words.length > 0 ? " " : "");
    report_count(&words, request->missing, "character has", "characters have");
    bt_text_add(&words, " no sign in the font.");
  }
  bt_text_format(&words, "%s%s", words.length > 0 ? " " : "", report_caution);
  for (size_t p = 0; p < builder->document->pages_n; p++) {
    builder->at = p;
    footer(builder, bt_text_get(&words));
  }
  report_text_end(builder, &words);
}
