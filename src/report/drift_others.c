/* What else was looked at: under the drift page's causes, a line each of the characteristics that
 * the page is not of, those with nothing to tell on one. */
#include "report_drift.h"

static const double above = 1.6, between = 0.3;

/* A line, where it ends above `bottom`; false where it does not. */
static bool line(report_builder *builder, bool put, double *y, double bottom, const char *words) {
  report_frame frame = report_frame_of(builder);
  double width = frame.right - frame.left;
  double tall = report_measure(builder, BT_STYLE_NOTE, words, width).height;
  if (*y + tall > bottom)
    return false;
  if (put)
    (void)report_wrapped(builder, frame.left, *y, width, BT_STYLE_NOTE, BT_INK_TEXT, words);
  *y += tall + between;
  return true;
}

static double heading(report_builder *builder, bool put, double y) {
  static const char words[] = "What else was looked at";
  double tall = report_measure(builder, BT_STYLE_HEADING, words, 0).height;
  if (put)
    (void)report_text(builder, report_frame_of(builder).left, y + above, BT_STYLE_HEADING,
                      BT_INK_TEXT, BT_ALIGN_LEFT, words);
  return above + tall + 2 * between;
}

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

/* All lines that end above `bottom`; how many are left out. */
static size_t lines(report_builder *builder, bool put, const bt_unit_drift *all,
                    const bt_drift *drift, double *y, double bottom) {
  bt_text words = {0};
  size_t left = 0;
  for (size_t i = 0; i < all->n; i++) {
    bt_text_clear(&words);
    if (&all->drift[i] == drift || is_plain(&all->drift[i]))
      continue;
    report_drift_brief(&all->drift[i], &words);
    left += !line(builder, put, y, bottom, bt_text_get(&words));
  }
  bt_text_clear(&words);
  plain_ones(all, drift, &words);
  if (words.length > 0)
    left += !line(builder, put, y, bottom, bt_text_get(&words));
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  bt_text_free(&words);
  return left;
}

/* What is left out, and last how an open signal and “no change” can both be. */
static void last_words(const bt_unit_drift *all, bool left, bt_text *out) {
  bt_text_clear(out);
  if (left)
    bt_text_add(out, "There is no room for the rest: see “beamtally drift”. ");
  (void)report_drift_both(all, out);
}

double report_drift_others(report_builder *builder, bool put, const bt_unit_study *unit,
                           const bt_drift *drift, double top, double room) {
  const bt_unit_drift *all = unit->drift;
  report_frame frame = report_frame_of(builder);
  bt_text words = {0};
  double head = heading(builder, false, 0), bottom = top + room, y = top + head, last = 0;
  size_t left = 0;
  for (int cut = 0; cut < 2; cut++) { /* words of what is left out take room only where it is */
    last_words(all, cut == 1, &words);
    last = words.length == 0 ? 0
                             : between + report_measure(builder, BT_STYLE_NOTE, bt_text_get(&words),
                                                        frame.right - frame.left)
                                             .height;
    y = top + head;
    left = lines(builder, false, all, drift, &y, bottom - last);
    if (left == 0)
      break;
  }
  bool any = all->n > 1 && y > top + head;
  if (any && put) {
    y = top + heading(builder, true, top);
    (void)lines(builder, true, all, drift, &y, bottom - last);
  }
  if (any && words.length > 0)
    (void)line(builder, put, &y, bottom, bt_text_get(&words));
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  bt_text_free(&words);
  return any ? y - top : 0;
}
