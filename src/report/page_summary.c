/* The first page: the unit's verdict, what the record shows in plain half-sentences, one row a
 * characteristic, the month, what to do next, where to read on, the cautions, and who signs. */
#include "report_drift.h"

#include <stdio.h>

static const double section_gap = 2.0;

/* How much of it the page tells: the less the fuller it is. */
typedef struct density {
  size_t most; /* paragraphs */
  bool terse;  /* what does not drift is told on one line */
  bool drop;   /* rows without a signal are counted where they take room from what to do next */
} density;

/* ---- Head ------------------------------------------------------------------------------------ */

/* The laser's name, and beside it that nobody has issued this; where that has no room it opens the
 * words below. Returns the height. */
static double title(report_builder *builder, const bt_unit_study *unit,
                    const bt_report_request *request, double width, bt_text *below) {
  static const double gap = 4, foot = 1.2;
  report_frame frame = report_frame_of(builder);
  const char *name = unit->history.unit;
  double wide = 0.5 + report_measure(builder, BT_STYLE_TITLE, name, 0).width;
  report_size size = report_measure(builder, BT_STYLE_CAPTION, BT_REPORT_DRAFT, 0);
  if (request->revision > 0)
    return report_title(builder, frame.left, frame.top, width, name);
  if (wide + gap + size.width > width) {
    bt_text_add(below, BT_REPORT_DRAFT "  ·  ");
    return report_title(builder, frame.left, frame.top, width, name);
  }
  double height = report_title(builder, frame.left, frame.top, wide, name);
  (void)report_text(builder, frame.left + wide + gap, frame.top + height - size.height - foot,
                    BT_STYLE_CAPTION, BT_INK_SOFT, BT_ALIGN_LEFT, BT_REPORT_DRAFT);
  return height;
}

static double head(report_builder *builder, const bt_unit_study *unit,
                   const bt_report_request *request) {
  report_frame frame = report_frame_of(builder);
  bt_text words = {0};
  char month[BT_TIME_TEXT], day[REPORT_DATE_TEXT];
  double under_banner = frame.top + report_banner(builder, unit, unit->verdict, NULL);
  double y = frame.top, width = frame.panel_left - 3 - frame.left;
  y += title(builder, unit, request, width, &words);
  if (unit->settings.clinic != NULL && *unit->settings.clinic != '\0')
    bt_text_format(&words, "%s  ·  ", unit->settings.clinic);
  bt_text_format(&words, "calibration history, %s, as of %s", bt_time_month(request->month, month),
                 report_short_date(unit->until - 1, day));
  if (request->created > 0)
    bt_text_format(&words, "; ledger of %s", report_short_date(request->created, day));
  y += 0.3 + report_wrapped(builder, frame.left, y + 0.3, width, BT_STYLE_SUBTITLE, BT_INK_SOFT,
                            bt_text_get(&words))
                 .height; /* behind a clinic's long name the month must not be cut */
  report_text_end(builder, &words);
  y = y < under_banner ? under_banner : y;
  if (report_is_failing(unit->verdict)) {
    report_words failing = {0};
    report_failing_morning(unit, &failing);
    y += 1.6 + report_paragraph(builder, frame.left, y + 1.6, frame.right - frame.left,
                                BT_STYLE_BODY, BT_INK_ALARM, &failing)
                   .height;
    report_words_free(&failing);
  }
  return y;
}

/* ---- What to do next, beside the events ------------------------------------------------------ */

enum { LEAST_STEPS = 3 }; /* that the page should have room for */

typedef bool step_teller(const bt_unit_study *unit, bt_time since, size_t i, bt_text *out);

static const double step_gap = 0.8, bullet = 4;

/* The steps' share of the width; the events beside them take the rest. */
static double steps_share(bool brief) {
  return brief ? 0.62 : 0.56;
}

static double steps_right(report_builder *builder, bool brief) {
  report_frame frame = report_frame_of(builder);
  return frame.left + (frame.right - frame.left) * steps_share(brief) - 4;
}

/* Of the heading and so many steps; `n` becomes how many of them there are. */
static double steps_height(report_builder *builder, const bt_unit_study *unit, bt_time since,
                           bool brief, size_t *n) {
  step_teller *tell = brief ? report_next_step_brief : report_next_step;
  bt_text step = {0};
  size_t most = *n;
  double wrap = steps_right(builder, brief) - report_frame_of(builder).left - bullet;
  double height = report_measure(builder, BT_STYLE_HEADING, "0", 0).height + 1;
  for (*n = 0; *n < most && tell(unit, since, *n, &step); ++*n)
    height += report_measure(builder, BT_STYLE_TABLE, bt_text_get(&step), wrap).height + step_gap;
  report_text_end(builder, &step);
  return height - step_gap;
}

static size_t all_steps(report_builder *builder, const bt_unit_study *unit, bt_time since) {
  bt_text step = {0};
  size_t all = 0;
  while (report_next_step(unit, since, all, &step))
    all++;
  report_text_end(builder, &step);
  return all;
}

/* Where not all have room in full, as many as have it are told briefly, and the page of signals and
 * decisions has all of them. */
static void next_steps(report_builder *builder, const bt_unit_study *unit, bt_time since, double y,
                       double bottom, bool brief) {
  report_frame frame = report_frame_of(builder);
  step_teller *tell = brief ? report_next_step_brief : report_next_step;
  bt_text step = {0};
  double wrap = steps_right(builder, brief) - frame.left - bullet;
  size_t all = all_steps(builder, unit, since);
  report_size head = report_text(builder, frame.left, y, BT_STYLE_HEADING, BT_INK_TEXT,
                                 BT_ALIGN_LEFT, "What to do next");
  double lower = head.height - report_measure(builder, BT_STYLE_CAPTION, "0", 0).height - 0.4;
  double x = frame.left + head.width + 3;
  x += report_text(builder, x, y + lower, BT_STYLE_CAPTION, BT_INK_SOFT, BT_ALIGN_LEFT,
                   report_by_role)
           .width +
       3;
  builder->steps = brief ? 0 : all;
  if (brief) {
    char words[64];
    (void)snprintf(words, sizeof words, "all %zu in full on page ", all);
    report_refer(builder, x, y + lower, BT_STYLE_CAPTION, BT_ALIGN_LEFT, words, "record");
  }
  y += head.height + 1;
  for (size_t i = 0; tell(unit, since, i, &step); i++) {
    double height = report_measure(builder, BT_STYLE_TABLE, bt_text_get(&step), wrap).height;
    if (y + height > bottom + 1e-6)
      break;
    (void)report_text(builder, frame.left, y, BT_STYLE_TABLE, BT_INK_SOFT, BT_ALIGN_LEFT, "•");
    (void)report_wrapped(builder, frame.left + bullet, y, wrap, BT_STYLE_TABLE, BT_INK_TEXT,
                         bt_text_get(&step));
    y += height + step_gap;
  }
  report_text_end(builder, &step);
}

/* Where the page is full they are counted, on one line. */
static void steps_elsewhere(report_builder *builder, const bt_unit_study *unit, bt_time since,
                            double y) {
  size_t all = all_steps(builder, unit, since);
  char words[64];
  builder->steps = 0;
  (void)snprintf(words, sizeof words, "What to do next: %zu step%s on page ", all,
                 all == 1 ? "" : "s");
  report_refer(builder, report_frame_of(builder).left, y, BT_STYLE_TABLE, BT_ALIGN_LEFT, words,
               "record");
}

/* ---- What has room ----------------------------------------------------------------------------
 */

/* Of the first things to do, told briefly. */
static double least_steps(report_builder *builder, const bt_unit_study *unit,
                          const bt_report_request *request) {
  size_t n = LEAST_STEPS;
  return steps_height(builder, unit, request->from, true, &n);
}

/* What must stay free under the table: its lines, the first things to do, and the foot. */
static double below_table(report_builder *builder, const bt_unit_study *unit,
                          const bt_report_request *request, density told, double bottom) {
  bool before = builder->measures_only;
  builder->measures_only = true;
  double height = report_summary_month(builder, unit, request, told.most, told.terse, 0);
  builder->measures_only = before;
  return height + 2 * (section_gap - 0.6) + least_steps(builder, unit, request) +
         report_frame_of(builder).bottom - bottom;
}

/* All above what to do next; returns where that begins. */
static double upper(report_builder *builder, const bt_unit_study *unit,
                    const bt_report_request *request, density told, double bottom) {
  double y = head(builder, unit, request) + section_gap;
  y = report_summary_leads(builder, unit, request->month, told.most, y) + section_gap - 0.6;
  y = report_verdict_table(builder, unit, request,
                           below_table(builder, unit, request, told, bottom), told.drop, y) +
      section_gap - 0.6;
  return report_summary_month(builder, unit, request, told.most, told.terse, y) + section_gap - 0.6;
}

/* As much as leaves room for the first things to do. */
static density densest(report_builder *builder, const bt_unit_study *unit,
                       const bt_report_request *request, double bottom) {
  enum { MOST_LEADS = 3 };
  double steps = least_steps(builder, unit, request);
  bool fits = false;
  density told = {.most = MOST_LEADS + 1};
  builder->measures_only = true;
  while (!fits && told.most > 0) {
    told.most--;
    for (int terse = 0; terse < 2 && !fits; terse++) {
      told.terse = terse != 0;
      fits = upper(builder, unit, request, told, bottom) + steps <= bottom + 1e-6;
    }
  }
  told.drop = !fits;
  builder->measures_only = false;
  return told;
}

void report_summary_page(report_builder *builder, const bt_unit_study *unit,
                         const bt_report_request *request) {
  char first_chart[REPORT_NUMBER_TEXT];
  const char *chart = NULL;
  for (size_t i = unit->studies_n; i > 0; i--)
    if (report_has_chart_page(unit->studies[i - 1], request))
      chart = report_page_name(unit->studies[i - 1], first_chart);
  report_page(builder, "Summary", "summary");
  bool changes = request->before != NULL;
  const char *drift = report_drift_page_link(unit);
  const char *selftest = report_selftest_place(unit, request);
  builder->measures_only = true;
  double bottom = report_summary_foot(builder, chart, drift, selftest, changes) - 1;
  builder->measures_only = false;
  density told = densest(builder, unit, request, bottom);
  double y = upper(builder, unit, request, told, bottom);
  (void)report_summary_foot(builder, chart, drift, selftest, changes);
  size_t all = all_steps(builder, unit, request->from), first = 1;
  bool brief = y + steps_height(builder, unit, request->from, false, &all) > bottom + 1e-6;
  if (y + steps_height(builder, unit, request->from, brief, &first) <= bottom + 1e-6) {
    next_steps(builder, unit, request->from, y, bottom, brief);
    report_events_list(builder, unit, request->month, steps_right(builder, brief) + 4,
                       report_frame_of(builder).right, y, bottom);
  } else
    steps_elsewhere(builder, unit, request->from, y);
}
