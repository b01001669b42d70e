/* The last page: what people need beside the charts to check a report. Self-tests, what waits for a
 * decision, episodes and what was concluded of them, dispositions that later entries left without
 * an episode, and corrections. Lists that are too long keep their newest entries and count the
 * rest. */
#include "report_room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double section_gap = 3.2, line_gap = 0.8, heading_gap = 0.8;

enum { COLUMNS = 5 };

typedef struct sheet {
  report_builder *builder;
  const bt_unit_study *unit;
  report_frame frame;
  double y, line; /* where the next line begins; height of one with its gap */
} sheet;

static void heading(sheet *on, const char *words) {
  on->y += section_gap;
  on->y += report_text(on->builder, on->frame.left, on->y, BT_STYLE_HEADING, BT_INK_TEXT,
                       BT_ALIGN_LEFT, words)
               .height +
           heading_gap;
}

/* One line of a table, each cell cut to its column. */
static void row(sheet *on, const double *at, const char *const *cells, bt_ink ink) {
  double width = on->frame.right - on->frame.left;
  bt_text cut = {0};
  for (int c = 0; c < COLUMNS; c++) {
    double left = on->frame.left + at[c] * width;
    double right = c + 1 < COLUMNS ? on->frame.left + at[c + 1] * width - 2 : on->frame.right;
    (void)report_text(on->builder, left, on->y, BT_STYLE_TABLE, ink, BT_ALIGN_LEFT,
                      report_cut(on->builder, BT_STYLE_TABLE, cells[c], right - left, &cut));
  }
  if (!bt_text_ok(&cut))
    report_no_memory(on->builder);
  bt_text_free(&cut);
  on->y += on->line;
}

static void paragraph(sheet *on, const char *words) {
  on->y += report_wrapped(on->builder, on->frame.left, on->y, on->frame.right - on->frame.left,
                          BT_STYLE_TABLE, BT_INK_TEXT, words)
               .height +
           line_gap;
}

/* "and 12 more, of which ...". */
static void rest(sheet *on, size_t n, const char *one, const char *many, const char *command) {
  bt_text words = {0};
  if (n == 0)
    return;
  bt_text_add(&words, "and ");
  report_count(&words, n, one, many);
  bt_text_format(&words, ", see “%s”", command);
  if (!bt_text_ok(&words))
    report_no_memory(on->builder);
  (void)report_text(on->builder, on->frame.left, on->y, BT_STYLE_TABLE, BT_INK_SOFT, BT_ALIGN_LEFT,
                    bt_text_get(&words));
  on->y += on->line;
  bt_text_free(&words);
}

/* ---- Episodes -------------------------------------------------------------------------------- */

/* An episode with its study; or, without one, a disposition that stands alone. */
typedef struct listed {
  const bt_study *of;
  const bt_episode *episode;
  const bt_disposition *alone;
  bt_time last;
} listed;

typedef struct list {
  listed *item;
  size_t n, room;
} list;

static int newest_first(const void *a, const void *b) {
  const listed *one = a, *other = b;
  if (one->last != other->last)
    return one->last > other->last ? -1 : 1;
  return one->of->characteristic < other->of->characteristic ? -1 : 1;
}

static void append(sheet *on, list *to, listed item) {
  if (bt_grow(&to->item, &to->room, to->n + 1, sizeof *to->item))
    to->item[to->n++] = item;
  else
    report_no_memory(on->builder);
}

static list episodes_of(sheet *on) {
  list found = {0};
  for (size_t s = 0; s < on->unit->studies_n; s++) {
    const bt_study *of = on->unit->studies[s];
    for (size_t e = 0; e < of->episodes_n && report_is_judged(of); e++)
      append(on, &found,
             (listed){.of = of,
                      .episode = &of->episodes[e],
                      .last = of->points.at[of->episodes[e].last]});
  }
  if (found.n > 1)
    qsort(found.item, found.n, sizeof *found.item, newest_first);
  return found;
}

static list left_alone(sheet *on) {
  list found = {0};
  for (size_t s = 0; s < on->unit->studies_n; s++) {
    const bt_study *of = on->unit->studies[s];
    for (size_t d = 0; d < of->dispositions_n; d++)
      if (!of->disposition_used[d])
        append(on, &found,
               (listed){.of = of, .alone = &of->dispositions[d], .last = of->dispositions[d].at});
  }
  if (found.n > 1)
    qsort(found.item, found.n, sizeof *found.item, newest_first);
  return found;
}

static const double episode_at[COLUMNS] = {0, 0.08, 0.215, 0.415, 0.57};

static void episode_row(sheet *on, const listed *one) {
  const bt_study *of = one->of;
  const bt_episode *episode = one->episode;
  const bt_disposition *disposition = report_disposition(of, episode);
  char period[REPORT_DATE_TEXT];
  bt_text what = {0}, concluded = {0};
  bool open = bt_study_is_open(of, episode);
  bt_text_format(&what, "%s%s, %s side, ", open ? "open " : "",
                 report_strength_word(episode->strength), episode->side == BT_LOW ? "low" : "high");
  report_count(&what, episode->signals, "point", "points");
  if (disposition != NULL)
    report_disposition_words(disposition, &concluded);
  else
    bt_text_add(&concluded, "no disposition yet");
  const char *cells[COLUMNS] = {
      episode->id, of->quantity.title, bt_text_get(&what),
      report_short_period(of->points.at[episode->first], one->last, period),
      bt_text_get(&concluded)};
  row(on, episode_at, cells, BT_INK_TEXT);
  if (!bt_text_ok(&what) || !bt_text_ok(&concluded))
    report_no_memory(on->builder);
  bt_text_free(&what);
  bt_text_free(&concluded);
}

static void episodes(sheet *on, const list *found, size_t room) {
  static const char *const heads[COLUMNS] = {"Episode", "Characteristic", "Signals",
                                             "From " REPORT_DASH " to", "What was concluded"};
  heading(on, "Episodes of signals, the newest first");
  if (found->n == 0) {
    paragraph(on, "None in this record.");
    return;
  }
  row(on, episode_at, heads, BT_INK_SOFT);
  size_t shown = found->n <= room ? found->n : room > 0 ? room - 1 : 0;
  for (size_t i = 0; i < shown; i++)
    episode_row(on, &found->item[i]);
  rest(on, found->n - shown, "more episode", "more episodes", "beamtally signals");
}

static void alone_row(sheet *on, const listed *one) {
  bt_text about = {0}, concluded = {0};
  report_disposition_about(one->alone, &about);
  report_disposition_words(one->alone, &concluded);
  const char *cells[COLUMNS] = {one->alone->episode, one->of->quantity.title, bt_text_get(&about),
                                "", bt_text_get(&concluded)};
  row(on, episode_at, cells, BT_INK_TEXT);
  if (!bt_text_ok(&about) || !bt_text_ok(&concluded))
    report_no_memory(on->builder);
  bt_text_free(&about);
  bt_text_free(&concluded);
}

static void alone(sheet *on, const list *found, size_t room) {
  if (found->n == 0)
    return;
  heading(on, "Dispositions that later entries left without an episode");
  size_t shown = found->n <= room ? found->n : room > 0 ? room - 1 : 0;
  for (size_t i = 0; i < shown; i++)
    alone_row(on, &found->item[i]);
  rest(on, found->n - shown, "more disposition", "more dispositions", "beamtally signals");
}

/* ---- Corrections ----------------------------------------------------------------------------- */

static const double correction_at[COLUMNS] = {0, 0.085, 0.32, 0.6, 0.71};

static void correction_about(const bt_correction *correction, bt_text *out) {
  char date[BT_TIME_TEXT];
  bt_text_format(out, "%s: ", bt_correction_words(correction->kind));
  if (correction->kind == BT_READ_AGAIN)
    report_count(out, (uint64_t)correction->records, "record", "records");
  else
    bt_text_format(out, "%s of %s", correction->of_event ? "event" : "check",
                   bt_time_iso(correction->time, correction->has_clock, date));
}

static void correction_row(sheet *on, const bt_correction *correction) {
  char date[REPORT_DATE_TEXT];
  bt_text about = {0};
  correction_about(correction, &about);
  const char *cells[COLUMNS] = {report_short_date(correction->at, date), bt_text_get(&about),
                                correction->changes != NULL ? correction->changes : "",
                                correction->by != NULL ? correction->by : "",
                                correction->why != NULL ? correction->why : ""};
  row(on, correction_at, cells, BT_INK_TEXT);
  if (!bt_text_ok(&about))
    report_no_memory(on->builder);
  bt_text_free(&about);
}

static void corrections(sheet *on, size_t room) {
  static const char *const heads[COLUMNS] = {"Entered", "What", "Change", "By", "Why"};
  const bt_unit_study *unit = on->unit;
  size_t n = unit->corrections_n;
  heading(on, "Corrections, the newest first");
  if (n == 0) {
    paragraph(on, "None in this record.");
    return;
  }
  row(on, correction_at, heads, BT_INK_SOFT);
  size_t shown = n <= room ? n : room > 0 ? room - 1 : 0;
  for (size_t i = 0; i < shown; i++)
    correction_row(on, &unit->corrections[n - 1 - i]);
  rest(on, n - shown, "earlier one", "earlier ones", "beamtally correct --list");
}

/* ---- The page -------------------------------------------------------------------------------- */

static void self_test(sheet *on) {
  bt_text words = {0};
  heading(on, "Self-test");
  report_selftest_words(on->unit, &words);
  bt_text_add(&words, ".");
  report_rare_words(on->unit, &words);
  if (!bt_text_ok(&words))
    report_no_memory(on->builder);
  paragraph(on, bt_text_get(&words));
  bt_text_free(&words);
}

static void waiting(sheet *on) {
  int64_t n = on->unit->provenance.conflicts;
  bt_text words = {0};
  if (n == 0)
    return;
  heading(on, "Held back");
  report_count(&words, (uint64_t)n, "row waits", "rows wait");
  bt_text_add(&words, " for a decision, because the ledger has other readings of the same time: "
                      "“beamtally conflicts”. Until then the charts show what the ledger had.");
  if (!bt_text_ok(&words))
    report_no_memory(on->builder);
  paragraph(on, bt_text_get(&words));
  bt_text_free(&words);
}

static double head(sheet *on, const bt_report_request *request) {
  report_frame frame = on->frame;
  bt_text words = {0}, cut = {0};
  char month[BT_TIME_TEXT];
  double y = frame.top, width = frame.right - frame.left;
  y += report_text(on->builder, frame.left, y, BT_STYLE_TITLE, BT_INK_TEXT, BT_ALIGN_LEFT,
                   "The record")
           .height +
       0.3;
  bt_text_format(&words,
                 "%s  ·  %s  ·  signals, decisions and corrections up to the end of the report",
                 on->unit->history.unit, bt_time_month(request->month, month));
  y += report_text(on->builder, frame.left, y, BT_STYLE_SUBTITLE, BT_INK_SOFT, BT_ALIGN_LEFT,
                   report_cut(on->builder, BT_STYLE_SUBTITLE, bt_text_get(&words), width, &cut))
           .height;
  if (!bt_text_ok(&words) || !bt_text_ok(&cut))
    report_no_memory(on->builder);
  bt_text_free(&words);
  bt_text_free(&cut);
  return y;
}

/* Lines that a list may take of those left, with `others` wanted by the next. */
static size_t share(size_t left, size_t wanted, size_t others) {
  size_t half = left / 2, kept = others < left - half ? others : left - half;
  return wanted < left - kept ? wanted : left - kept;
}

/* What three lists share: less their headings, heads of columns, and the gaps. */
static size_t lines_left(const sheet *on, bool has_alone) {
  double heads = (has_alone ? 3 : 2) * (section_gap + heading_gap + on->line * 1.4) + 2 * on->line;
  double room = on->frame.bottom - on->y - heads;
  return room > on->line ? (size_t)(room / on->line) : 1;
}

void report_record_page(report_builder *builder, const bt_unit_study *unit,
                        const bt_report_request *request, size_t page, size_t pages) {
  report_page(builder, "The record", "record");
  sheet on = {.builder = builder, .unit = unit, .frame = report_frame_of(builder)};
  on.line = report_measure(builder, BT_STYLE_TABLE, "0", 0).height + line_gap;
  on.y = head(&on, request);
  self_test(&on);
  waiting(&on);
  list found = episodes_of(&on), left = left_alone(&on);
  size_t lines = lines_left(&on, left.n > 0);
  size_t few = left.n < lines / 4 ? left.n : lines / 4 + 1;
  lines -= left.n > 0 && few < lines ? few : 0;
  size_t first = share(lines, found.n, unit->corrections_n);
  episodes(&on, &found, first);
  alone(&on, &left, few);
  corrections(&on, lines - first);
  report_footer(builder, unit, page, pages);
  free(found.item);
  free(left.item);
}
