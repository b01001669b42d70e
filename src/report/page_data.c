/* Data and decisions: where the numbers come from. Log files with their digests, refused lines,
 * what waits for a decision, corrections, versions of the settings, frozen baselines. */
#include "report_pages.h"

#include <stdio.h>

enum { MOST_SOURCES = 60, MOST_REFUSALS = 20, MOST_CORRECTIONS = 60, MOST_DECISIONS = 30 };

/* Groups of eight digits, so that a reader can compare them. */
static void digest(const unsigned char *sha256, bt_text *out) {
  char hex[BT_SHA256_TEXT];
  (void)bt_sha256_text(sha256, hex);
  for (const char *at = hex; *at != '\0'; at += 8)
    bt_text_format(out, "%s%.8s", at == hex ? "" : " ", at);
}

static void sources(report_sheet *sheet, const bt_book *book) {
  static const report_column columns[] = {{0, "Log file"},
                                          {0.168, "Imported"},
                                          {0.255, "Rows: new, known, held back"},
                                          {0.435, "Refused"},
                                          {0.5, "SHA-256 of the file"}};
  enum { N = sizeof columns / sizeof *columns };
  report_sheet_heading(sheet, "Imports of log files with rows of this laser, the newest first");
  if (book->sources_n == 0) {
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None: all checks were typed in.");
    return;
  }
  report_sheet_heads(sheet, columns, N);
  size_t shown = book->sources_n < MOST_SOURCES ? book->sources_n : MOST_SOURCES;
  for (size_t i = 0; i < shown; i++) {
    const bt_book_source *source = &book->sources[book->sources_n - 1 - i];
    char date[REPORT_DATE_TEXT], refused[32];
    bt_text rows = {0}, sha256 = {0};
    bool events = source->kind == BT_SOURCE_EVENTS;
    report_count(&rows, (uint64_t)source->rows, events ? "event" : "check",
                 events ? "events" : "checks");
    bt_text_format(&rows, ": %lld, %lld, %lld", (long long)source->fresh, (long long)source->known,
                   (long long)source->conflicts);
    digest(source->sha256, &sha256);
    (void)snprintf(refused, sizeof refused, "%lld", (long long)source->refused);
    const char *cells[N] = {source->name, report_short_date(source->at, date), bt_text_get(&rows),
                            refused, bt_text_get(&sha256)};
    report_sheet_row(sheet, columns, N, cells);
    report_text_end(sheet->builder, &rows);
    report_text_end(sheet->builder, &sha256);
  }
  report_sheet_rest(sheet, book->sources_n - shown, "earlier import", "earlier imports",
                    "beamtally export");
  report_sheet_paragraph(sheet, BT_INK_SOFT,
                         "Signals and alarms are dated by their checks: before its log was "
                         "imported none could be seen here.");
}

/* Those that the footer counts; the others were imported again since. */
static void past_refusals(report_sheet *sheet, size_t n, size_t standing) {
  bt_text words = {0};
  if (n == standing)
    return;
  report_count(&words, n - standing, "more line was", "more lines were");
  bt_text_format(&words,
                 " refused at first and %s counted no longer: the log was imported again since, "
                 "without that refusal. “beamtally conflicts --refused --all” lists %s, with both "
                 "days.",
                 n - standing == 1 ? "is" : "are", n - standing == 1 ? "it" : "them");
  report_sheet_paragraph(sheet, BT_INK_SOFT, bt_text_get(&words));
  report_text_end(sheet->builder, &words);
}

/* What "!" beside so many lines means; nothing where none has it. */
static void lost_note(report_sheet *sheet, const char *begin, size_t lines, unsigned lost) {
  bt_text words = {0};
  if (lost == 0)
    return;
  bt_text_format(&words, "%s ", begin);
  bt_lost_words(lost, lines == 1 ? "and" : "or", &words);
  bt_text_add(&words, ", which is therefore not in this record.");
  report_sheet_paragraph(sheet, BT_INK_SOFT, bt_text_get(&words));
  report_text_end(sheet->builder, &words);
}

static void refusals(report_sheet *sheet, const bt_book *book) {
  static const report_column columns[] = {
      {0, "Log file"}, {0.2, "Line"}, {0.25, "Column"}, {0.38, "Why it was not taken"}};
  enum { N = sizeof columns / sizeof *columns };
  size_t standing = 0;
  size_t marked = 0;
  unsigned lost = 0;
  while (standing < book->refusals_n && !book->refusals[standing].past)
    standing++;
  report_sheet_heading(sheet, "Lines of these files that are refused");
  if (standing == 0)
    report_sheet_paragraph(sheet, BT_INK_TEXT,
                           book->left_out_n == 0 ? "None." : "None but those left out, see below.");
  else
    report_sheet_heads(sheet, columns, N);
  size_t shown = standing < MOST_REFUSALS ? standing : MOST_REFUSALS;
  for (size_t i = 0; i < shown; i++) {
    const bt_book_refusal *refusal = &book->refusals[i];
    char line[32];
    (void)snprintf(line, sizeof line, "%lld%s", (long long)refusal->line,
                   refusal->lost != 0 ? " !" : "");
    const char *cells[N] = {refusal->source, line,
                            refusal->column == NULL ? "whole line" : refusal->column,
                            refusal->reason};
    report_sheet_row(sheet, columns, N, cells);
    marked += refusal->lost != 0;
    lost |= refusal->lost;
  }
  lost_note(sheet, "! The line holds", marked, lost);
  report_sheet_rest(sheet, standing - shown, "more refused line", "more refused lines",
                    "beamtally conflicts --refused");
  past_refusals(sheet, book->refusals_n, standing);
}

static void left_out(report_sheet *sheet, const bt_book *book) {
  static const report_column columns[] = {
      {0, "Log file"}, {0.2, "Lines"}, {0.35, "Left out"}, {0.45, "By"}, {0.6, "Why"}};
  enum { N = sizeof columns / sizeof *columns };
  size_t n = book->left_out_n, shown = n < MOST_DECISIONS ? n : MOST_DECISIONS;
  size_t marked = 0;
  unsigned lost = 0;
  if (n == 0)
    return;
  report_sheet_heading(sheet, "Refused lines left out by decision, the newest decision first");
  report_sheet_heads(sheet, columns, N);
  for (size_t i = 0; i < shown; i++) {
    const bt_book_left_out *decision = &book->left_out[n - 1 - i];
    char date[REPORT_DATE_TEXT];
    bt_text lines = {0};
    bt_text_format(&lines, "%lld", (long long)decision->first);
    if (decision->lines > 1)
      bt_text_format(&lines, " to %lld: %lld lines", (long long)decision->last,
                     (long long)decision->lines);
    bt_text_add(&lines, decision->lost != 0 ? " !" : "");
    const char *cells[N] = {decision->source, bt_text_get(&lines),
                            report_short_date(decision->at, date), decision->by, decision->why};
    report_sheet_row(sheet, columns, N, cells);
    marked += decision->lost == 0 ? 0 : (size_t)decision->lines;
    lost |= decision->lost;
    report_text_end(sheet->builder, &lines);
  }
  lost_note(sheet, "! With", marked, lost);
  report_sheet_rest(sheet, n - shown, "earlier decision", "earlier decisions",
                    "beamtally conflicts --refused --all");
}

static void waiting(report_sheet *sheet, const bt_unit_study *unit) {
  int64_t n = unit->provenance.conflicts;
  bt_text words = {0};
  if (n == 0)
    return;
  report_sheet_heading(sheet, "Held back");
  report_count(&words, (uint64_t)n, "row waits", "rows wait");
  bt_text_add(&words, " for a decision, because the ledger has other readings of the same time: "
                      "“beamtally conflicts”. Until then the charts show what the ledger had.");
  report_sheet_paragraph(sheet, BT_INK_TEXT, bt_text_get(&words));
  report_text_end(sheet->builder, &words);
}

/* ---- Corrections ----------------------------------------------------------------------------- */

static const report_column correction_columns[] = {
    {0, "Entered"}, {0.085, "What"}, {0.3, "Change"}, {0.58, "By"}, {0.69, "Why"}};
enum { CORRECTION_COLUMNS = sizeof correction_columns / sizeof *correction_columns };

static void correction_about(const bt_correction *correction, bt_text *out) {
  char date[REPORT_DATE_TEXT];
  bt_text_format(out, "%s: ", bt_correction_words(correction->kind));
  if (correction->kind == BT_READ_AGAIN)
    report_count(out, (uint64_t)correction->records, "record", "records");
  else
    bt_text_format(out, "%s of %s", correction->of_event ? "event" : "check",
                   report_short_moment(correction->time, correction->has_clock, date));
}

void report_correction_row(report_sheet *sheet, const bt_correction *correction) {
  char date[REPORT_DATE_TEXT];
  bt_text about = {0};
  correction_about(correction, &about);
  const char *cells[CORRECTION_COLUMNS] = {
      report_short_date(correction->at, date), bt_text_get(&about),
      correction->changes != NULL ? correction->changes : "",
      correction->by != NULL ? correction->by : "", correction->why != NULL ? correction->why : ""};
  report_sheet_row(sheet, correction_columns, CORRECTION_COLUMNS, cells);
  report_text_end(sheet->builder, &about);
}

void report_correction_heads(report_sheet *sheet) {
  report_sheet_heads(sheet, correction_columns, CORRECTION_COLUMNS);
}

static void corrections(report_sheet *sheet, const bt_unit_study *unit) {
  size_t n = unit->corrections_n;
  report_sheet_heading(sheet, "Corrections, the newest first");
  if (n == 0) {
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None in this record.");
    return;
  }
  report_correction_heads(sheet);
  size_t shown = n < MOST_CORRECTIONS ? n : MOST_CORRECTIONS;
  for (size_t i = 0; i < shown; i++)
    report_correction_row(sheet, &unit->corrections[n - 1 - i]);
  report_sheet_rest(sheet, n - shown, "earlier one", "earlier ones", "beamtally export");
}

/* ---- Decisions ------------------------------------------------------------------------------- */

static void settings(report_sheet *sheet, const bt_book *book) {
  static const report_column columns[] = {
      {0, "Version"}, {0.085, "Entered"}, {0.2, "By"}, {0.35, "Why"}};
  enum { N = sizeof columns / sizeof *columns };
  report_sheet_heading(sheet, "Settings, the newest version first");
  if (book->settings_n == 0) {
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None were entered: all is as the program has it.");
    return;
  }
  report_sheet_heads(sheet, columns, N);
  size_t shown = book->settings_n < MOST_DECISIONS ? book->settings_n : MOST_DECISIONS;
  for (size_t i = 0; i < shown; i++) {
    const bt_book_decision *version = &book->settings[book->settings_n - 1 - i];
    char number[32], date[REPORT_DATE_TEXT];
    (void)snprintf(number, sizeof number, "%lld", (long long)version->version);
    const char *cells[N] = {number, report_short_date(version->at, date), version->by,
                            version->why};
    report_sheet_row(sheet, columns, N, cells);
  }
  report_sheet_rest(sheet, book->settings_n - shown, "earlier version", "earlier versions",
                    "beamtally export");
}

const char *report_title_of(const bt_unit_study *unit, const char *key) {
  bt_characteristic found;
  if (key == NULL || !bt_settings_characteristic(&unit->settings, key, &found))
    return key == NULL ? "" : key;
  return bt_settings_quantity(&unit->settings, found).title;
}

static void baselines(report_sheet *sheet, const bt_unit_study *unit, const bt_book *book) {
  static const report_column columns[] = {
      {0, "Characteristic"}, {0.17, "Version"}, {0.23, "Period"}, {0.4, "Points"},
      {0.46, "Frozen"},      {0.56, "By"},      {0.66, "Why"}};
  enum { N = sizeof columns / sizeof *columns };
  report_sheet_heading(sheet, "Frozen baselines, the newest first");
  if (book->baselines_n == 0) {
    report_sheet_paragraph(sheet, BT_INK_TEXT,
                           "None: limits are provisional, from the first points of each chart.");
    return;
  }
  report_sheet_heads(sheet, columns, N);
  size_t shown = book->baselines_n < MOST_DECISIONS ? book->baselines_n : MOST_DECISIONS;
  for (size_t i = 0; i < shown; i++) {
    const bt_book_decision *baseline = &book->baselines[book->baselines_n - 1 - i];
    char number[32], points[32], date[REPORT_DATE_TEXT], period[REPORT_DATE_TEXT];
    (void)snprintf(number, sizeof number, "%lld", (long long)baseline->version);
    (void)snprintf(points, sizeof points, "%lld", (long long)baseline->n);
    const char *cells[N] = {report_title_of(unit, baseline->characteristic),
                            number,
                            report_short_period(baseline->from, baseline->to, period),
                            points,
                            report_short_date(baseline->at, date),
                            baseline->by,
                            baseline->why};
    report_sheet_row(sheet, columns, N, cells);
  }
  report_sheet_rest(sheet, book->baselines_n - shown, "earlier one", "earlier ones",
                    "beamtally export");
}

/* ---- The pages ------------------------------------------------------------------------------- */

static void state_words(const bt_unit_study *unit, bt_text *out) {
  char grouped[BT_IN_FOURS_TEXT];
  bt_text_format(out,
                 "Ledger state %s: “beamtally verify --state” with these digits tells whether a "
                 "ledger holds what this report was made of, and what came after it. Each file can "
                 "be compared by its digest.",
                 bt_in_fours(unit->provenance.state, grouped));
}

void report_data_page(report_builder *builder, const bt_unit_study *unit,
                      const bt_report_request *request) {
  report_sheet sheet;
  bt_text subtitle = {0}, state = {0};
  bt_text_format(&subtitle, "%s  ·  where the numbers come from, and who decided what",
                 unit->history.unit);
  report_sheet_begin(&sheet, builder, "Data", "data", bt_text_get(&subtitle));
  state_words(unit, &state);
  sheet.y += 2;
  report_sheet_paragraph(&sheet, BT_INK_TEXT, bt_text_get(&state));
  if (request->book != NULL) {
    sources(&sheet, request->book);
    refusals(&sheet, request->book);
    left_out(&sheet, request->book);
  }
  waiting(&sheet, unit);
  corrections(&sheet, unit);
  if (request->book != NULL) {
    settings(&sheet, request->book);
    baselines(&sheet, unit, request->book);
  }
  report_text_end(builder, &subtitle);
  report_text_end(builder, &state);
}
