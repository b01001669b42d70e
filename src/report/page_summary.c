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
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  bt_text_free(&words);
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

/* ---- The month ------------------------------------------------------------------------------- */

/* Days of the month with a check, and checks. */
static void month_words(const bt_unit_study *unit, bt_time month, bt_text *out) {
  bt_time from = bt_month_start(month, 0), to = bt_month_start(month, 1);
  size_t checks = 0, days = 0;
  int64_t day = 0;
  for (size_t i = 0; i < unit->history.n; i++) {
    if (unit->history.at[i] < from || unit->history.at[i] >= to)
      continue;
    days += checks == 0 || bt_day_of(unit->history.at[i]) != day;
    day = bt_day_of(unit->history.at[i]);
    checks++;
  }
  if (checks == 0) {
    bt_text_add(out, "none");
    return;
  }
  report_count(out, checks, "check", "checks");
  bt_text_add(out, " on ");
  report_count(out, days, "day", "days");
}

/* Else 349 judged beside 354 checks would look like a slip. */
static bool lacks_readings(const bt_unit_study *unit) {
  bool lacks = false;
  for (size_t i = 0; i < unit->studies_n; i++)
    lacks |= report_is_judged(unit->studies[i]) && unit->studies[i]->tolerance.judged > 0 &&
             unit->studies[i]->checks.n < unit->history.n;
  return lacks;
}

/* The days that failed, one line a characteristic; a single one stands in the table. */
static double failed_lines(report_builder *builder, const bt_unit_study *unit, bool terse,
                           double y) {
  const size_t most = terse ? 3 : 6; /* dates */
  bt_text words = {0};
  for (size_t i = 0; i < unit->studies_n; i++) {
    bt_text dates = {0};
    if (unit->studies[i]->tolerance.outside > 1)
      report_failed_dates(unit->studies[i], most, &dates);
    if (!bt_text_empty(&dates)) {
      bt_text_clear(&words);
      bt_text_format(&words, "%s: %s", unit->studies[i]->quantity.title, bt_text_get(&dates));
      y = report_summary_line(builder, y, "Outside tolerance", bt_text_get(&words));
    }
    words.failed |= dates.failed;
    bt_text_free(&dates);
  }
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  bt_text_free(&words);
  return y;
}

/* The month's checks that were repeated at once, one line a characteristic. */
static double retest_lines(report_builder *builder, const bt_unit_study *unit, bt_time month,
                           bool terse, double y) {
  bt_text words = {0}, told = {0};
  for (size_t i = 0; i < unit->studies_n; i++) {
    bt_text_clear(&told);
    report_retests_between(unit->studies[i], bt_month_start(month, 0), bt_month_start(month, 1),
                           terse ? 1 : 2, &told);
    if (bt_text_empty(&told))
      continue;
    bt_text_clear(&words);
    bt_text_format(&words, "%s: %s", unit->studies[i]->quantity.title, bt_text_get(&told));
    y = report_summary_line(builder, y, "Retests", bt_text_get(&words));
  }
  if (!bt_text_ok(&words) || !bt_text_ok(&told))
    report_no_memory(builder);
  bt_text_free(&words);
  bt_text_free(&told);
  return y;
}

static double checks_lines(report_builder *builder, const bt_unit_study *unit,
                           const bt_report_request *request, density told, double y) {
  bt_text words = {0};
  char date[REPORT_DATE_TEXT];
  month_words(unit, request->month, &words);
  if (unit->has_check)
    bt_text_format(&words, "; the last check in the log is of %s",
                   report_short_date(unit->last_check, date));
  else
    bt_text_add(&words, "; the log holds no check up to then");
  if (lacks_readings(unit))
    bt_text_format(&words, "; not each of its %zu checks holds every reading", unit->history.n);
  y = report_summary_line(builder, y, "Checks this month", bt_text_get(&words));
  y = retest_lines(builder, unit, request->month, told.terse, y);
  y = failed_lines(builder, unit, told.terse, y);
  bt_text_clear(&words);
  report_selftest_words(unit, &words);
  y = report_summary_line(builder, y, "Self-test", bt_text_get(&words));
  bt_text_clear(&words);
  report_pattern_words(unit, bt_month_start(request->month, 0), bt_month_start(request->month, 1),
                       &words);
  if (!bt_text_empty(&words) && report_pattern_varies(unit))
    y = report_summary_line(builder, y, "Test pattern", bt_text_get(&words));
  bt_text_clear(&words);
  y = report_summary_drift_lines(builder, unit, told.most, told.terse, y);
  report_alarm_words(unit, &words);
  y = report_summary_line(builder, y, "False alarms", bt_text_get(&words));
  if (!bt_text_ok(&words))
    report_no_memory(builder);
  bt_text_free(&words);
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
  if (!bt_text_ok(&step))
    report_no_memory(builder);
  bt_text_free(&step);
  return height - step_gap;
}

static size_t all_steps(report_builder *builder, const bt_unit_study *unit, bt_time since) {
  bt_text step = {0};
  size_t all = 0;
  while (report_next_step(unit, since, all, &step))
    all++;
  if (!bt_text_ok(&step))
    report_no_memory(builder);
  bt_text_free(&step);
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
  if (!bt_text_ok(&step))
    report_no_memory(builder);
  bt_text_free(&step);
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

/* ---- Foot ------------------------------------------------------------------------------------ */

/* Where to read on: links with the pages' numbers, which are put in once they are known. */
static void contents(report_builder *builder, const char *first_chart, const char *drift,
                     const char *selftest, bool changes, double y) {
  const char *const entries[][2] = {
      {"Charts from page ", first_chart},       {drift, drift != NULL ? "drift" : NULL},
      {"Self-test and room ", selftest},        {"Signals and decisions ", "record"},
      {"Changes ", changes ? "changes" : NULL}, {"Data ", "data"},
      {"Method and glossary ", "method"}};
  report_frame frame = report_frame_of(builder);
  double x = frame.left;
  x += report_text(builder, x, y, BT_STYLE_CAPTION, BT_INK_SOFT, BT_ALIGN_LEFT, "Read on:").width +
       4;
  for (size_t i = 0; i < sizeof entries / sizeof *entries; i++) {
    if (entries[i][1] == NULL)
      continue;
    report_refer(builder, x, y, BT_STYLE_CAPTION, BT_ALIGN_LEFT, entries[i][0], entries[i][1]);
    x += report_measure(builder, BT_STYLE_CAPTION, entries[i][0], 0).width +
         report_measure(builder, BT_STYLE_CAPTION, "999", 0).width + 5;
  }
}

/* Cautions and signatures, from the bottom up; returns where they begin. */
static double foot(report_builder *builder, const char *first_chart, const char *drift,
                   const char *selftest, bool changes) {
  report_frame frame = report_frame_of(builder);
  static const double sign_height = 8.6, contents_height = 4.8;
  double half = (frame.right - frame.left) / 2, y = frame.bottom - sign_height;
  static const char *const roles[] = {"Prepared by, date", "Reviewed by, date"};
  for (int i = 0; i < 2; i++) {
    double left = frame.left + i * (half + 4);
    (void)report_text(builder, left, y + 4.8, BT_STYLE_CAPTION, BT_INK_SOFT, BT_ALIGN_LEFT,
                      roles[i]);
    report_line(builder, left, y + 4.2, left + half - 4, y + 4.2, 0.15, BT_INK_SOFT);
  }
  double height =
      report_measure(builder, BT_STYLE_NOTE, report_cautions_full, frame.right - frame.left - 6)
          .height;
  y -= height + 3;
  report_box(builder, frame.left, y - 1.2, frame.right - frame.left, height + 2.4, BT_INK_PANEL);
  (void)report_wrapped(builder, frame.left + 3, y, frame.right - frame.left - 6, BT_STYLE_NOTE,
                       BT_INK_TEXT, report_cautions_full);
  y -= 1.2 + contents_height;
  contents(builder, first_chart, drift, selftest, changes, y);
  return y;
}

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
  double height = checks_lines(builder, unit, request, told, 0);
  builder->measures_only = before;
  return height + 2 * (section_gap - 0.6) + least_steps(builder, unit, request) +
         report_frame_of(builder).bottom - bottom;
}

/* All above what to do next; returns where that begins. */
static double upper(report_builder *builder, const bt_unit_study *unit,
                    const bt_report_request *request, density told, double bottom) {
  double y = head(builder, unit, request) + section_gap;
  y = report_summary_leads(builder, unit, told.most, y) + section_gap - 0.6;
  y = report_verdict_table(builder, unit, request,
                           below_table(builder, unit, request, told, bottom), told.drop, y) +
      section_gap - 0.6;
  return checks_lines(builder, unit, request, told, y) + section_gap - 0.6;
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
  double bottom = foot(builder, chart, drift, selftest, changes) - 1;
  builder->measures_only = false;
  density told = densest(builder, unit, request, bottom);
  double y = upper(builder, unit, request, told, bottom);
  (void)foot(builder, chart, drift, selftest, changes);
  size_t all = all_steps(builder, unit, request->from), first = 1;
  bool brief = y + steps_height(builder, unit, request->from, false, &all) > bottom + 1e-6;
  if (y + steps_height(builder, unit, request->from, brief, &first) <= bottom + 1e-6) {
    next_steps(builder, unit, request->from, y, bottom, brief);
    report_events_list(builder, unit, request->month, steps_right(builder, brief) + 4,
                       report_frame_of(builder).right, y, bottom);
  } else
    steps_elsewhere(builder, unit, request->from, y);
}
