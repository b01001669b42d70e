/* What else was looked at: a line each of the characteristics that the drift page is not of, those
 * with nothing to tell on one. Under the page's causes where all of it has room there, else on a
 * page of its own. */
#include "report_drift.h"

static const double above = 1.6, between = 0.3;

/* Unchanged, and nothing else is to be said of it. */
static bool is_plain(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && !drift->moved.changed &&
         !report_drift_was_changed(drift) && drift->window.event == BT_NONE &&
         drift->causes_n == 0 && bt_study_open_strength(drift->study) == BT_QUIET;
}

static void plain_ones(const bt_unit_drift *all, const bt_drift *drift, bt_text *out) {
  size_t n = 0;
  for (size_t i = 0; i < all->n; i++)
    if (&all->drift[i] != drift && is_plain(&all->drift[i]))
      bt_text_format(out, "%s%s", n++ > 0 ? ", " : "", all->drift[i].study->quantity.title);
  if (n > 0)
    bt_text_add(out, ": no change past the threshold.");
}

/* Line i; false when there are no more. Empty where one has nothing to tell by itself. Last, how an
 * open signal and “no change” can both be. */
static bool line(const bt_unit_study *unit, const bt_drift *drift, size_t i, bt_text *out) {
  const bt_unit_drift *all = unit->drift;
  bt_text_clear(out);
  if (i < all->n && &all->drift[i] != drift && !is_plain(&all->drift[i]))
    report_drift_brief(unit, &all->drift[i], out);
  else if (i == all->n)
    plain_ones(all, drift, out);
  else if (i == all->n + 1)
    (void)report_drift_both(all, out);
  return i < all->n + 2;
}

double report_drift_others(report_builder *builder, bool put, const bt_unit_study *unit,
                           const bt_drift *drift, double top, double room) {
  static const char heading[] = "What else was looked at";
  report_frame frame = report_frame_of(builder);
  double wrap = frame.right - frame.left;
  double head = above + 2 * between + report_measure(builder, BT_STYLE_HEADING, heading, 0).height;
  double y = top + head;
  bt_text words = {0};
  if (unit->drift->n < 2)
    return 0;
  if (put)
    (void)report_text(builder, frame.left, top + above, BT_STYLE_HEADING, BT_INK_TEXT,
                      BT_ALIGN_LEFT, heading);
  for (size_t i = 0; line(unit, drift, i, &words); i++) {
    if (words.length == 0)
      continue;
    if (put)
      (void)report_wrapped(builder, frame.left, y, wrap, BT_STYLE_NOTE, BT_INK_TEXT,
                           bt_text_get(&words));
    y += report_measure(builder, BT_STYLE_NOTE, bt_text_get(&words), wrap).height + between;
  }
  report_text_end(builder, &words);
  return y - top > room ? 0 : y - top;
}
