/* Pages of text: data, changes since the revision before, what has no room on the summary. */
#include "fixture.h"
#include "report_pages.h"
#include "said.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char
    file[] = "a log whose name goes on & on <b>&# until it is eighty letters long, at least.csv",
    reason[] = "expected a number with a decimal point; correct the cell or map the column",
    endless[] =
        "Because the reading was typed in by hand from a slip of paper that two people read "
        "in two ways, which was found when the slip was looked at again, and so on and on, "
        "with more words than any column holds, until the story has been told to its end, "
        "and then once more from the beginning for the sake of those who came in late.",
    key[] = "energy_ratio", by[] = "M. Reader", import[] = "import", settings[] = "settings",
    issued_kind[] = "issued", why[] = "yearly review";

/* A book of n of everything. Owned: its arrays only. */
static bt_book book_of(size_t n) {
  bt_book book = {.sources_n = n,
                  .refusals_n = n,
                  .left_out_n = n,
                  .settings_n = n,
                  .baselines_n = n,
                  .later_n = n};
  book.sources = fixture_filled(n, sizeof *book.sources);
  book.refusals = fixture_filled(n, sizeof *book.refusals);
  book.left_out = fixture_filled(n, sizeof *book.left_out);
  book.settings = fixture_filled(n, sizeof *book.settings);
  book.baselines = fixture_filled(n, sizeof *book.baselines);
  book.later = fixture_filled(n, sizeof *book.later);
  for (size_t i = 0; i < n; i++) {
    book.sources[i] = (bt_book_source){.name = file, .rows = 300, .fresh = 290, .known = 10};
    memset(book.sources[i].sha256, (int)(i * 7), BT_SHA256_BYTES);
    book.refusals[i] = (bt_book_refusal){
        .source = file, .line = 12, .reason = reason, .lost = i == 0 ? BT_LOST_SELFTEST : 0};
    book.left_out[i] = (bt_book_left_out){.source = file,
                                          .first = 12,
                                          .last = 12 + (int64_t)i,
                                          .lines = 1 + (int64_t)i,
                                          .lost = i == 1 ? BT_LOST_SELFTEST : 0,
                                          .by = by,
                                          .why = endless};
    book.settings[i] = (bt_book_decision){.version = (int64_t)i + 1, .by = by, .why = endless};
    book.baselines[i] = (bt_book_decision){.version = (int64_t)i + 1,
                                           .characteristic = key,
                                           .to = 90 * BT_DAY,
                                           .n = 60,
                                           .by = by,
                                           .why = endless};
    book.later[i] = (bt_book_entry){.number = (int64_t)i + 5,
                                    .kind = i % 2 == 0 ? import : settings,
                                    .by = by,
                                    .why = i % 2 == 0 ? NULL : why,
                                    .about = file,
                                    .checks = (int64_t)i + 1};
  }
  if (n > 0)
    book.later[0].kind = issued_kind;
  return book;
}

static void free_book(bt_book *book) {
  free(book->sources);
  free(book->refusals);
  free(book->left_out);
  free(book->settings);
  free(book->baselines);
  free(book->later);
}

static bt_issued issue_of(void) {
  return (bt_issued){.number = 1, .state = "80ed903545439e54a436", .by = by, .at = 20000 * BT_DAY};
}

static void must_compose(const bt_unit_study *unit, const bt_report_request *request,
                         const char *what) {
  bt_document document;
  bt_error error = {0};
  bt_text complaints = {0};
  cr_assert_eq(bt_report_month(unit, request, &fixture_measure, &document, &error), BT_OK, "%s",
               error.text);
  fixture_check(&document, &complaints);
  cr_expect_eq(complaints.length, 0, "%s:\n%s", what, bt_text_get(&complaints));
  bt_text_free(&complaints);
  bt_document_free(&document);
}

Test(sheets, books_and_changes_of_every_size_keep_to_their_pages) {
  static const size_t sizes[] = {0, 1, 2, 7, 40, 41, 90, 300};
  fixture_plan plan = fixture_usual(), was = fixture_usual();
  plan.drift = -0.05;
  plan.corrections = 60;
  was.corrections = 3;
  plan.concluded = 2;
  for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
    for (int paper = BT_PAPER_A4; paper <= BT_PAPER_LETTER; paper++) {
      bt_report_request request, ignored;
      bt_unit_study *unit = fixture_make(&plan, &request), *before = fixture_make(&was, &ignored);
      bt_book book = book_of(sizes[i]);
      bt_issued issue = issue_of();
      request.paper = (bt_paper)paper;
      request.book = &book;
      request.before = before;
      request.before_issue = &issue;
      request.revision = 2;
      request.missing = i;
      char what[64];
      (void)snprintf(what, sizeof what, "%zu of each, paper %d", sizes[i], paper);
      must_compose(unit, &request, what);
      free_book(&book);
      bt_unit_study_free(unit);
      bt_unit_study_free(before);
    }
}

/* What a page has no room for is where it says: no command lists corrections by themselves. */
Test(sheets, corrections_beyond_the_page_are_in_the_export) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  plan.corrections = 61;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_book book = book_of(1);
  request.book = &book;
  bt_text said = said_of(unit, &request);
  said_is(&said, "1 earlier one");
  said_never(&said, "correct --list");
  bt_text_free(&said);
  free_book(&book);
  bt_unit_study_free(unit);
}

Test(sheets, a_revision_says_what_changed) {
  fixture_plan plan = fixture_usual(), was = fixture_usual();
  bt_report_request request, ignored;
  plan.drift = -0.05;
  plan.corrections = 3;
  was.corrections = 1;
  bt_unit_study *unit = fixture_make(&plan, &request), *before = fixture_make(&was, &ignored);
  bt_book book = book_of(3);
  bt_issued issue = issue_of();
  request.book = &book;
  request.before = before;
  request.before_issue = &issue;
  request.revision = 2;
  bt_text said = said_of(unit, &request);
  said_is(&said, "Changed since revision 1");
  said_is(&said, "80ed 9035 4543 9e54 a436");
  said_is(&said, "settings entered");
  said_is(&said, ": 3 checks");
  said_never(&said, "report issued");
  said_is(&said, "53 points, was 3");
  said_is(&said, "22 Aug 2026 gone");
  bt_text_free(&said);

  /* Of the same record nothing differs, and that is said. */
  request.before = unit;
  said = said_of(unit, &request);
  said_is(&said, "None: verdicts, last readings, limits and levels are as they were.");
  said_never(&said, "new: ");
  bt_text_free(&said);

  request.before = NULL;
  said = said_of(unit, &request);
  said_never(&said, "Changed since");
  bt_text_free(&said);
  free_book(&book);
  bt_unit_study_free(unit);
  bt_unit_study_free(before);
}

/* Each event that one of the two revisions lacks is named; what both have is not. */
Test(sheets, a_revision_names_the_events_that_differ) {
  fixture_plan plan = fixture_usual();
  bt_report_request request, ignored;
  bt_unit_study *unit = fixture_make(&plan, &request), *before = fixture_make(&plan, &ignored);
  bt_issued issue = issue_of();
  request.before = before;
  request.before_issue = &issue;
  request.revision = 2;
  bt_text said = said_of(unit, &request);
  said_is(&said, "Events that are new, gone or told otherwise None.");
  size_t headings = said_times(&said, " gone ");
  bt_text_free(&said);
  bt_event *event = NULL;
  for (size_t i = 0; i < unit->history.events_n; i++)
    if (unit->history.events[i].kind != BT_EVENT_GAS_REFILL)
      event = &unit->history.events[i];
  cr_assert_not_null(event);
  char was[REPORT_DATE_TEXT], is[REPORT_DATE_TEXT], words[256];
  (void)report_short_moment(event->time, event->has_clock, was);
  event->time += BT_DAY;
  (void)report_short_moment(event->time, event->has_clock, is);
  said = said_of(unit, &request);
  (void)snprintf(words, sizeof words, "%s %s", is, bt_event_words(event->kind));
  said_is(&said, words);
  (void)snprintf(words, sizeof words, "%s %s", was, bt_event_words(event->kind));
  said_is(&said, words);
  cr_expect_eq(said_times(&said, " gone "), headings + 1);
  bt_text_free(&said);
  bt_unit_study_free(unit);
  bt_unit_study_free(before);
}

static bool has_text(const bt_page *page, const char *words) {
  bool has = false;
  for (size_t i = 0; page != NULL && i < page->texts_n; i++)
    has |= strncmp(page->texts[i].text, words, strlen(words)) == 0;
  return has;
}

/* A step is either on the summary or counted there and told on the page that is named. */
Test(sheets, no_step_is_dropped) {
  fixture_plan plan = fixture_usual();
  plan.copies = 13;
  plan.tolerance = false;
  plan.provisional = true;
  plan.drift = -0.08;
  plan.held_back = 3;
  plan.selftest_failed = true;
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_document document;
  bt_error error = {0};
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  bt_text step = {0}, line = {0};
  size_t elsewhere = 0;
  for (size_t i = 0; report_next_step(unit, request.from, i, &step); i++) {
    bool told = false;
    bt_text_clear(&line);
    bt_text_format(&line, "•  %s", bt_text_get(&step));
    for (size_t p = 0; p < document.pages_n; p++)
      for (size_t t = 0; t < document.pages[p].texts_n; t++) {
        const char *text = document.pages[p].texts[t].text;
        bool continued = strcmp(text, bt_text_get(&line)) == 0;
        told |= continued || (p == 0 && strcmp(text, bt_text_get(&step)) == 0);
        elsewhere += continued;
      }
    cr_expect(told, "dropped: %s", bt_text_get(&step));
  }
  cr_assert_gt(elsewhere, 0, "the plan fills the summary");
  char counted[64], all[64]; /* beside some, or where the summary has room for none */
  (void)snprintf(counted, sizeof counted, "all %zu in full on page ", elsewhere);
  (void)snprintf(all, sizeof all, "What to do next: %zu steps on page ", elsewhere);
  bool said = false;
  for (size_t t = 0; t < document.pages[0].texts_n; t++) {
    const char *text = document.pages[0].texts[t].text;
    said |= strncmp(text, counted, strlen(counted)) == 0 || strncmp(text, all, strlen(all)) == 0;
  }
  cr_expect(said, "%s", counted);
  bt_text_free(&step);
  bt_text_free(&line);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* Full as it is, the summary has the first three, whole or briefly. */
Test(sheets, the_first_steps_stand_on_the_summary) {
  for (size_t copies = 0; copies <= 8; copies += 4) {
    fixture_plan plan = fixture_usual();
    plan.copies = copies;
    plan.tolerance = copies == 0;
    plan.provisional = true;
    plan.drift = -0.08;
    plan.held_back = 3;
    plan.selftest_failed = true;
    bt_report_request request;
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_document document;
    bt_error error = {0};
    cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
    bt_text whole = {0}, brief = {0};
    for (size_t i = 0; i < 3; i++) {
      cr_assert(report_next_step(unit, request.from, i, &whole));
      cr_assert(report_next_step_brief(unit, request.from, i, &brief));
      cr_expect(has_text(&document.pages[0], bt_text_get(&whole)) ||
                    has_text(&document.pages[0], bt_text_get(&brief)),
                "%zu copies: %s", copies, bt_text_get(&brief));
    }
    bt_text_free(&whole);
    bt_text_free(&brief);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}

static size_t times(const char *text, const char *words) {
  size_t n = 0;
  for (; (text = strstr(text, words)) != NULL; text++)
    n++;
  return n;
}

/* The page lists as many refused lines as its footer counts, and says what became of the others. */
Test(sheets, refused_lines_are_those_that_are_refused_still) {
  enum { ALL = 3 };
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  for (size_t standing = 0; standing <= ALL; standing++) {
    bt_book book = book_of(ALL);
    bt_document document = {0};
    bt_text text = {0};
    bt_error error = {0};
    for (size_t i = standing; i < ALL; i++)
      book.refusals[i].past = true;
    request.book = &book;
    cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK, "%s",
                 error.text);
    fixture_text(&document, &text);
    const char *page = bt_text_get(&text);
    cr_expect_eq(times(page, reason), standing, "%s", page);
    cr_expect_eq(times(page, "1 more line was refused at first and is counted no longer"),
                 standing == 2);
    cr_expect_eq(times(page, " more lines were refused at first and are counted no longer"),
                 standing < 2);
    cr_expect_eq(times(page, "“beamtally conflicts --refused --all” lists "), standing < ALL);
    cr_expect_eq(times(page, "! The line holds a failed self-test"), standing > 0);
    bt_text_free(&text);
    bt_document_free(&document);
    free_book(&book);
  }
  bt_unit_study_free(unit);
}

/* A failed self-test in a refused line: a step of its own, and a word beside the count. */
Test(sheets, refused_lines_that_hold_a_failed_self_test) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_text words = {0};
  for (int64_t n = 0; n <= 2; n++) {
    unit->provenance.refused = 2;
    unit->provenance.with_loss = n;
    unit->provenance.lost = n == 1   ? BT_LOST_SELFTEST | BT_LOST_REFILL
                            : n == 2 ? BT_LOST_SELFTEST | BT_LOST_REMARK
                                     : 0;
    unit->provenance.of_several = n == 2 ? 2 : 0;
    unit->provenance.lost_of_several = n == 2 ? 1 : 0;
    bool told = false;
    for (size_t i = 0; report_next_step(unit, request.from, i, &words); i++)
      told |=
          strstr(
              bt_text_get(&words),
              n == 1
                  ? "1 refused line holds a failed self-test and a refill that no"
                  : "2 refused lines, 1 of them of this laser or of another of the same log, hold a failed self-test or a remark that no page counts") &&
          strstr(bt_text_get(&words), "“beamtally conflicts --refused”");
    cr_expect_eq(told, n > 0);
    bt_text_clear(&words);
    report_provenance_words(unit, &words);
    const char *said[] = {
        "2 refused lines. ", "2 refused lines, 1 of them with a failed self-test and a refill. ",
        "2 refused lines (of this laser or of another of the same log), 2 of them with a failed self-test or a remark. "};
    cr_expect_not_null(strstr(bt_text_get(&words), said[n]), "%s", bt_text_get(&words));
  }
  bt_text_free(&words);
  bt_unit_study_free(unit);
}

/* The count tells them apart, and no step asks for them. */
Test(sheets, refused_lines_that_were_left_out_by_decision) {
  static const char *const said[] = {
      "3 refused lines. ", "3 refused lines, 1 of them left out by decision. ",
      "3 refused lines, 2 of them left out by decision, 1 of the others with a failed self-test, a "
      "remark or a refill. ",
      "3 refused lines, left out by decision. "};
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  for (int64_t n = 0; n <= 3; n++) {
    bt_text words = {0};
    unit->provenance.refused = 3;
    unit->provenance.left_out = n;
    unit->provenance.with_loss = n == 2;
    unit->provenance.lost = n == 2 ? BT_LOST_UNTOLD : 0; /* of an older ledger */
    report_provenance_words(unit, &words);
    cr_expect_not_null(strstr(bt_text_get(&words), said[n]), "%s", bt_text_get(&words));
    bt_text_free(&words);
  }
  bt_unit_study_free(unit);
}

static const bt_page *page_named(const bt_document *document, const char *name) {
  for (size_t p = 0; p < document->pages_n; p++)
    if (strcmp(document->pages[p].name, name) == 0)
      return &document->pages[p];
  return NULL;
}

/* The self-test has a page where there is something to draw; else its words stand elsewhere. */
Test(sheets, a_self_test_without_a_drawing_has_no_page) {
  for (size_t failures = 0; failures <= 2; failures++) {
    fixture_plan plan = fixture_usual();
    bt_report_request request;
    bt_document document;
    bt_error error = {0};
    plan.failures = failures;
    bt_unit_study *unit = fixture_make(&plan, &request);
    cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
    const bt_page *own = page_named(&document, "self-test");
    const bt_page *record = page_named(&document, "record");
    cr_expect_eq(own != NULL, failures == 2);
    cr_expect_eq(own != NULL && own->panes_n == 1, failures == 2);
    cr_expect_eq(has_text(record, "Self-test and room"), failures < 2);
    cr_expect_eq(has_text(own, "The log holds no temperature or humidity"), failures == 2);
    bool refers = false;
    for (size_t i = 0; i < document.pages[0].texts_n; i++) {
      const bt_page_text *text = &document.pages[0].texts[i];
      refers |= strncmp(text->text, "Self-test and room ", 19) == 0 && text->link != NULL &&
                strcmp(text->link, failures == 2 ? "self-test" : "record") == 0;
    }
    cr_expect(refers);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}

Test(sheets, a_characteristic_without_readings_has_a_line_and_no_page) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  request.from = request.to;
  request.to += 30 * BT_DAY;
  bt_document document;
  bt_error error = {0};
  unit->studies[0]->verdict = BT_VERDICT_NO_SIGNAL;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  cr_expect_str_eq(document.pages[1].name, report_selftest_place(unit, &request));
  bt_document_free(&document);
  bt_text said = said_of(unit, &request);
  said_is(&said, "No reading in the span of the charts: Pulse-energy ratio (last on 27 Sep 2026)");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

Test(sheets, a_stale_characteristic_says_so) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_time last = unit->studies[0]->checks.at[unit->studies[0]->checks.n - 1];
  unit->expected_days = 4;
  unit->current = true;
  unit->until = (bt_day_of(last) + 15) * BT_DAY; /* 14 days before the last day of it */
  bt_text said = said_of(unit, &request);
  said_never(&said, "last reading 27 Sep 2026");
  bt_text_free(&said);
  unit->until += BT_DAY;
  unit->studies[0]->stale_days = 15;
  said = said_of(unit, &request);
  cr_expect_geq(said_times(&said, "last reading 27 Sep 2026, 15 days before 12 Oct 2026"), 2,
                "page and screen");
  said_is(&said, "last reading 27 Sep 2026; then: "); /* the table: as it was then */
  said_is(&said, "The last reading is of 27 Sep 2026, 15 days before 12 Oct 2026.");
  said_is(&said, "find out whether it is still read");
  bt_text_free(&said);
  bt_unit_study_free(unit);
}

/* One far reading ends neither pane beyond its limits, and none of it is silent. */
Test(sheets, a_far_reading_does_not_flatten_the_lower_panes) {
  fixture_plan plan = fixture_usual();
  bt_report_request request;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  size_t i = of->points.n - 20;
  of->z[i] = 90;
  of->points.value[i] = of->points.raw[i] = of->segments[0].chart.centre + 90 * plan.sigma;
  of->moving_range[i] = 90 * plan.sigma;
  of->has_range[i] = 1;
  for (size_t k = i; k < of->points.n; k++)
    of->cusum.high[k] = 89.5 - 0.5 * (double)(k - i);
  bt_document document;
  bt_error error = {0};
  bt_text complaints = {0};
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  fixture_check(&document, &complaints);
  cr_expect_eq(complaints.length, 0, "%s", bt_text_get(&complaints));
  bool range = false, cusum = false;
  for (size_t t = 0; t < document.pages[1].texts_n; t++) {
    const char *text = document.pages[1].texts[t].text;
    range |= strncmp(text, "▲ to 0.", strlen("▲ to 0.")) == 0;
    cusum |= strncmp(text, "▲ to 90, ", strlen("▲ to 90, ")) == 0;
  }
  cr_expect(range && cusum, "%d %d", range, cusum);
  const bt_page *page = &document.pages[1];
  for (size_t p = 0; p < page->panes_n; p++)
    cr_expect(page->panes[p].y_high < 60, "pane %zu reaches to %g", p, page->panes[p].y_high);
  bt_text_free(&complaints);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

/* A CUSUM that has gone far one way keeps its 0 on the axis, and no interval melts into its line.
 */
Test(sheets, a_far_cusum_keeps_its_zero) {
  bt_report_request request;
  fixture_plan plan = fixture_usual();
  plan.drift = -0.08;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  for (size_t i = 0; i < of->points.n; i++)
    of->cusum.low[i] *= 40;
  bt_document document;
  bt_error error;
  size_t panes = 0;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  for (size_t p = 0; p < document.pages_n; p++)
    for (size_t b = 0; b < document.pages[p].panes_n; b++) {
      const bt_pane *pane = &document.pages[p].panes[b];
      if (!(pane->y_low < -300 && pane->y_high > 0))
        continue;
      panes++;
      double zero = bt_pane_y(pane, 0);
      bool named = false;
      for (size_t t = 0; t < document.pages[p].texts_n; t++) {
        const bt_page_text *item = &document.pages[p].texts[t];
        named = named || (strcmp(item->text, "0") == 0 && fabs(item->y - zero) < 3);
      }
      cr_expect(named, "0 stands beside its line");
      for (size_t l = 0; l < pane->levels_n; l++)
        cr_expect(fabs(pane->levels[l].at) < 1e-9 ||
                      fabs(bt_pane_y(pane, pane->levels[l].at) - zero) >= 0.35,
                  "%g", pane->levels[l].at);
    }
  cr_expect_gt(panes, 0);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}
