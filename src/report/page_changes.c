/* What changed since the revision before: the entries that came after it, the corrections among
 * them, and what they made of the findings. The unit as it stood then is studied by today's
 * program, so that what differs comes from the record alone. */
#include "report_pages.h"

#include <string.h>

enum { MOST_ENTRIES = 60, MOST_CORRECTIONS = 40 };

static const char *kind_words(const char *kind) {
  static const char *const words[][2] = {{"import", "log file imported"},
                                         {"check", "check typed in"},
                                         {"event", "event noted"},
                                         {"settings", "settings entered"},
                                         {"baseline", "baseline frozen"},
                                         {"correction", "correction"},
                                         {"redaction", "text removed"},
                                         {"settlement", "conflict settled"},
                                         {"omission", "refused lines left out"},
                                         {"disposition", "conclusion of an episode"},
                                         {"issued", "report issued"},
                                         {"migrated", "ledger brought to a newer version"}};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strcmp(kind, words[i][0]) == 0)
      return words[i][1];
  return kind;
}

static void entries(report_sheet *sheet, const bt_unit_study *unit,
                    const bt_report_request *request) {
  static const report_column columns[] = {
      {0, "Entered"}, {0.1, "What"}, {0.3, "Of"}, {0.55, "By"}, {0.68, "Why"}};
  enum { N = sizeof columns / sizeof *columns };
  const bt_book *book = request->book;
  size_t n = book == NULL ? 0 : book->later_n, shown = 0, listed = 0;
  report_sheet_heading(sheet, "Entries since then that concern this laser");
  for (size_t i = 0; i < n; i++) {
    const bt_book_entry *entry = &book->later[i];
    char date[REPORT_DATE_TEXT];
    bt_text about = {0};
    /* The issue of the revision before is itself an entry after its state. */
    if (bt_is_issue(entry))
      continue;
    if (listed++ == 0)
      report_sheet_heads(sheet, columns, N);
    if (shown == MOST_ENTRIES)
      continue;
    /* What was corrected, or which event it is, stands in the tables below. */
    if (strcmp(entry->kind, "correction") == 0 || strcmp(entry->kind, "event") == 0)
      bt_text_add(&about, "see below");
    else if (entry->about != NULL)
      bt_text_add(&about, strcmp(entry->kind, "baseline") == 0 ? report_title_of(unit, entry->about)
                                                               : entry->about);
    if (strcmp(entry->kind, "import") == 0) {
      bt_text_add(&about, ": ");
      report_count(&about, (uint64_t)entry->checks, "check", "checks");
    }
    const char *cells[N] = {report_short_date(entry->at, date), kind_words(entry->kind),
                            bt_text_get(&about), entry->by == NULL ? "" : entry->by,
                            entry->why == NULL ? "" : entry->why};
    report_sheet_row(sheet, columns, N, cells);
    report_text_end(sheet->builder, &about);
    shown++;
  }
  report_sheet_rest(sheet, listed - shown, "more entry", "more entries", "beamtally export");
  if (listed == 0)
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None.");
}

static void corrections(report_sheet *sheet, const bt_unit_study *unit,
                        const bt_unit_study *before) {
  size_t first =
      before->corrections_n < unit->corrections_n ? before->corrections_n : unit->corrections_n;
  size_t n = unit->corrections_n - first;
  report_sheet_heading(sheet, "Corrections among them");
  if (n == 0) {
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None.");
    return;
  }
  report_correction_heads(sheet);
  for (size_t i = 0; i < n && i < MOST_CORRECTIONS; i++)
    report_correction_row(sheet, &unit->corrections[unit->corrections_n - 1 - i]);
  report_sheet_rest(sheet, n > MOST_CORRECTIONS ? n - MOST_CORRECTIONS : 0, "earlier one",
                    "earlier ones", "beamtally export");
}

/* The same record studied by the same program up to the same day: five tables would be empty. */
static void nothing_changed(report_sheet *sheet, const bt_issued *issue) {
  bt_text words = {0};
  bt_text_format(&words,
                 "Nothing changed: no entry since revision %lld concerns this laser, and readings, "
                 "findings, events and episodes are as they were.",
                 (long long)issue->number);
  sheet->y += 2;
  report_sheet_paragraph(sheet, BT_INK_TEXT, bt_text_get(&words));
  report_text_end(sheet->builder, &words);
}

static void changes(report_sheet *sheet, const bt_unit_study *unit,
                    const bt_report_request *request) {
  entries(sheet, unit, request);
  corrections(sheet, unit, request->before);
  report_changes_events(sheet, unit, request->before);
  report_changes_findings(sheet, unit, request->before);
  report_changes_episodes(sheet, unit, request->before);
}

void report_changes_page(report_builder *builder, const bt_unit_study *unit,
                         const bt_report_request *request) {
  report_sheet sheet;
  bt_text title = {0}, subtitle = {0}, state = {0};
  char date[REPORT_DATE_TEXT], grouped[BT_IN_FOURS_TEXT];
  if (request->before == NULL || request->before_issue == NULL)
    return;
  const bt_issued *issue = request->before_issue;
  bt_text_format(&title, "Changed since revision %lld", (long long)issue->number);
  bt_text_format(&subtitle, "%s  ·  revision %lld was issued by %s on %s", unit->history.unit,
                 (long long)issue->number, issue->by, report_short_date(issue->at, date));
  report_sheet_begin(&sheet, builder, bt_text_get(&title), "changes", bt_text_get(&subtitle));
  bt_text_format(&state,
                 "It printed the ledger state %s. The record as it stood then was studied anew, up "
                 "to the same day, and compared with today’s.",
                 bt_in_fours(issue->state, grouped));
  sheet.y += 2;
  report_sheet_paragraph(&sheet, BT_INK_TEXT, bt_text_get(&state));
  if (request->book != NULL && !bt_book_has_news(request->book))
    nothing_changed(&sheet, issue);
  else
    changes(&sheet, unit, request);
  report_text_end(builder, &title);
  report_text_end(builder, &subtitle);
  report_text_end(builder, &state);
}
