/* What changed since the revision before: the entries that came after it, the corrections among
 * them, and what they made of the findings. The unit as it stood then is studied by today's
 * program, so that what differs comes from the record alone. */
#include "report_drift.h"

#include <string.h>

enum { MOST_ENTRIES = 60, MOST_CORRECTIONS = 40 };

static const bt_study *same_in(const bt_unit_study *unit, const bt_study *of) {
  for (size_t i = 0; i < unit->studies_n; i++)
    if (strcmp(unit->studies[i]->quantity.key, of->quantity.key) == 0)
      return unit->studies[i];
  return NULL;
}

static const bt_episode *same_episode(const bt_study *of, const bt_episode *episode) {
  for (size_t e = 0; of != NULL && e < of->episodes_n; e++)
    if (strcmp(of->episodes[e].id, episode->id) == 0 && of->episodes[e].side == episode->side)
      return &of->episodes[e];
  return NULL;
}

/* ---- Findings -------------------------------------------------------------------------------- */

static void add(bt_text *out, const char *words) {
  bt_text_format(out, "%s%s", out->length > 0 ? "; " : "", words);
}

static void limits_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  const bt_segment *old = bt_study_now(was), *now = bt_study_now(is);
  bool had = report_has_limits(old), has = report_has_limits(now);
  char a[REPORT_NUMBER_TEXT], b[REPORT_NUMBER_TEXT];
  if (had != has) {
    add(out, has ? "limits now, none before" : "no limits now");
    return;
  }
  if (!has || report_upper_limit(was, old) == report_upper_limit(is, now))
    return;
  int decimals = report_decimals(&is->quantity, now->chart.sigma);
  bt_text_format(out, "%supper limit %s, was %s", out->length > 0 ? "; " : "",
                 report_number(report_upper_limit(is, now), decimals, a),
                 report_number(report_upper_limit(was, old), decimals, b));
}

/* "NOW, was THEN" behind its name, where the two texts differ; frees both. */
static void add_pair(bt_text *out, const char *name, bt_text *now, bt_text *then) {
  if (strcmp(bt_text_get(now), bt_text_get(then)) != 0)
    bt_text_format(out, "%s%s %s, was %s", out->length > 0 ? "; " : "", name, bt_text_get(now),
                   bt_text_get(then));
  out->failed |= now->failed || then->failed;
  bt_text_free(now);
  bt_text_free(then);
}

static void tolerance_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  const bt_tolerance *old = report_tolerance(was), *new = report_tolerance(is);
  bt_text now = {0}, then = {0};
  if (new == NULL)
    bt_text_add(&now, "none");
  else
    report_tolerance_range(new, &is->quantity, &now);
  if (old == NULL)
    bt_text_add(&then, "none");
  else
    report_tolerance_range(old, &was->quantity, &then);
  add_pair(out, "tolerance", &now, &then);
}

static void baseline_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  const bt_segment *old = bt_study_now(was), *now = bt_study_now(is);
  if (report_has_limits(old) && report_has_limits(now) && old->provisional != now->provisional)
    add(out,
        now->provisional ? "baseline provisional, was frozen" : "baseline frozen, was provisional");
}

static void last_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  bt_text now = {0}, then = {0};
  report_last_value(is, true, &now);
  report_last_value(was, true, &then);
  add_pair(out, "last reading", &now, &then);
}

static void level_difference(const bt_study *was, const bt_study *is, bt_text *out) {
  bt_text now = {0}, then = {0};
  if (is->recent_n == 0 || was->recent_n == 0)
    return;
  report_add_size(is, is->recent_shift, &now);
  report_add_size(was, was->recent_shift, &then);
  add_pair(out, "last points from the centre", &now, &then);
}

static const bt_drift *drift_in(const bt_unit_study *unit, const bt_study *of) {
  return unit->drift == NULL ? NULL : bt_unit_drift_of(unit->drift, of->characteristic);
}

/* Without its title, which stands at the head of the row. */
static void untitled_headline(const bt_unit_study *unit, const bt_drift *drift, bt_text *out) {
  bt_text words = {0};
  const char *title = drift->study->quantity.title;
  report_drift_headline(unit, drift, &words);
  const char *rest = bt_text_get(&words);
  if (strncmp(rest, title, strlen(title)) == 0 && strncmp(rest + strlen(title), ": ", 2) == 0)
    rest += strlen(title) + 2;
  bt_text_add(out, *rest == '\0' ? "nothing to tell" : rest);
  report_text_pass(&words, out);
}

static void drift_difference(const bt_unit_study *before, const bt_unit_study *unit,
                             const bt_drift *was, const bt_drift *is, bt_text *out) {
  bt_text now = {0}, then = {0};
  if (was == NULL || is == NULL)
    return;
  untitled_headline(unit, is, &now);
  untitled_headline(before, was, &then);
  add_pair(out, "drift:", &now, &then);
}

/* What differs in one characteristic; nothing where nothing does. */
static void difference(const bt_unit_study *unit, const bt_unit_study *before, const bt_study *was,
                       const bt_study *is, bt_text *out) {
  const char *old = report_verdict_words(before, bt_study_shown_verdict(was), was);
  const char *now = report_verdict_words(unit, bt_study_shown_verdict(is), is);
  if (strcmp(old, now) != 0)
    bt_text_format(out, "%s, was %s", now, old);
  if (is->checks.n != was->checks.n) {
    bool more = is->checks.n > was->checks.n;
    size_t n = more ? is->checks.n - was->checks.n : was->checks.n - is->checks.n;
    bt_text_add(out, out->length > 0 ? "; " : "");
    report_count(out, n, more ? "reading more" : "reading fewer",
                 more ? "readings more" : "readings fewer");
  }
  if (is->tolerance.outside != was->tolerance.outside)
    bt_text_format(out, "%s%zu outside tolerance, was %zu", out->length > 0 ? "; " : "",
                   is->tolerance.outside, was->tolerance.outside);
  tolerance_difference(was, is, out);
  baseline_difference(was, is, out);
  limits_difference(was, is, out);
  last_difference(was, is, out);
  level_difference(was, is, out);
  drift_difference(before, unit, drift_in(before, was), drift_in(unit, is), out);
}

static void findings(report_sheet *sheet, const bt_unit_study *unit, const bt_unit_study *before) {
  static const report_column columns[] = {{0, "Characteristic"}, {0.2, "What differs"}};
  size_t n = 0;
  report_sheet_heading(sheet, "Findings that differ");
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *is = unit->studies[i], *was = same_in(before, is);
    bt_text words = {0};
    if (was != NULL)
      difference(unit, before, was, is, &words);
    else
      bt_text_add(&words, "had no reading in the revision before");
    const char *cells[2] = {is->quantity.title, bt_text_get(&words)};
    if (!bt_text_empty(&words) && n++ == 0)
      report_sheet_heads(sheet, columns, 2);
    if (!bt_text_empty(&words))
      report_sheet_row(sheet, columns, 2, cells);
    report_text_end(sheet->builder, &words);
  }
  for (size_t i = 0; i < before->studies_n; i++)
    if (same_in(unit, before->studies[i]) == NULL) {
      const char *cells[2] = {before->studies[i]->quantity.title, "no reading of it is left"};
      if (n++ == 0)
        report_sheet_heads(sheet, columns, 2);
      report_sheet_row(sheet, columns, 2, cells);
    }
  if (n == 0)
    report_sheet_paragraph(sheet, BT_INK_TEXT,
                           "None: verdicts, last readings, limits and levels are as they were.");
}

/* ---- Episodes -------------------------------------------------------------------------------- */

static const report_column episode_columns[] = {
    {0, "Episode"}, {0.085, "Characteristic"}, {0.26, "From " REPORT_DASH " to"}, {0.45, "Now"}};
enum { EPISODE_COLUMNS = sizeof episode_columns / sizeof *episode_columns };

static void episode_row(report_sheet *sheet, size_t *n, const bt_study *of,
                        const bt_episode *episode, const char *now) {
  char period[REPORT_DATE_TEXT];
  const char *cells[EPISODE_COLUMNS] = {
      episode->id, of->quantity.title,
      report_short_period(of->points.at[episode->first], of->points.at[episode->last], period),
      now};
  if ((*n)++ == 0)
    report_sheet_heads(sheet, episode_columns, EPISODE_COLUMNS);
  report_sheet_row(sheet, episode_columns, EPISODE_COLUMNS, cells);
}

static void what_became(const bt_study *was, const bt_episode *old, const bt_study *is,
                        const bt_episode *now, bt_text *out) {
  const bt_disposition *before = report_disposition(was, old), *after = report_disposition(is, now);
  if (old->strength != now->strength)
    bt_text_format(out, "%s, was %s", report_strength_word(now->strength),
                   report_strength_word(old->strength));
  if (old->signals != now->signals) {
    bt_text_add(out, out->length > 0 ? "; " : "");
    report_count(out, now->signals, "point", "points");
    bt_text_format(out, ", was %zu", old->signals);
  }
  if (after != NULL &&
      (before == NULL || before->at != after->at || strcmp(before->cause, after->cause) != 0 ||
       strcmp(before->action, after->action) != 0)) {
    bt_text_add(out, out->length > 0 ? "; " : "");
    report_disposition_words(after, out);
  }
}

static void episodes(report_sheet *sheet, const bt_unit_study *unit, const bt_unit_study *before) {
  size_t n = 0;
  report_sheet_heading(sheet, "Episodes that are new, gone or judged otherwise");
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *is = unit->studies[i], *was = same_in(before, is);
    for (size_t e = 0; e < is->episodes_n && report_is_judged(is); e++) {
      const bt_episode *now = &is->episodes[e], *old = same_episode(was, now);
      bt_text words = {0};
      if (old == NULL)
        bt_text_format(&words, "new: %s, %s side", report_strength_word(now->strength),
                       now->side == BT_LOW ? "low" : "high");
      else
        what_became(was, old, is, now, &words);
      if (!bt_text_empty(&words))
        episode_row(sheet, &n, is, now, bt_text_get(&words));
      report_text_end(sheet->builder, &words);
    }
  }
  for (size_t i = 0; i < before->studies_n; i++) {
    const bt_study *was = before->studies[i], *is = same_in(unit, was);
    for (size_t e = 0; e < was->episodes_n && report_is_judged(was); e++)
      if (same_episode(is, &was->episodes[e]) == NULL)
        episode_row(sheet, &n, was, &was->episodes[e], "gone");
  }
  if (n == 0)
    report_sheet_paragraph(sheet, BT_INK_TEXT, "None.");
}

/* ---- Entries --------------------------------------------------------------------------------- */

static const char *kind_words(const char *kind) {
  static const char *const words[][2] = {{"import", "log file imported"},
                                         {"check", "check typed in"},
                                         {"event", "event noted"},
                                         {"settings", "settings entered"},
                                         {"baseline", "baseline frozen"},
                                         {"correction", "correction"},
                                         {"redaction", "text removed"},
                                         {"settlement", "conflict settled"},
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
      report_count(&about, (uint64_t)entry->checks, "late check", "late checks");
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
                    "earlier ones", "beamtally correct --list");
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
  findings(sheet, unit, request->before);
  episodes(sheet, unit, request->before);
}

void report_changes_page(report_builder *builder, const bt_unit_study *unit,
                         const bt_report_request *request) {
  report_sheet sheet;
  bt_text title = {0}, subtitle = {0}, state = {0};
  char date[REPORT_DATE_TEXT];
  if (request->before == NULL || request->before_issue == NULL)
    return;
  const bt_issued *issue = request->before_issue;
  bt_text_format(&title, "Changed since revision %lld", (long long)issue->number);
  bt_text_format(&subtitle, "%s  ·  revision %lld was issued by %s on %s", unit->history.unit,
                 (long long)issue->number, issue->by, report_short_date(issue->at, date));
  report_sheet_begin(&sheet, builder, bt_text_get(&title), "changes", bt_text_get(&subtitle));
  bt_text_add(&state, "It printed the ledger state");
  for (size_t i = 0; i < 20 && issue->state[i] != '\0'; i += 4)
    bt_text_format(&state, " %.4s", issue->state + i);
  bt_text_add(&state, ". The record as it stood then was studied anew, up to the same day, and "
                      "compared with today’s.");
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
