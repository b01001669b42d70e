/* Past alarms stand above past notices. Of old episodes a page lists 8, the newest first, and
 * counts the others by their strength; those that the month touched are not among the 8. */
#include "fixture.h"
#include "report_episodes.h"
#include "said.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_OLD = 8 };

/* n episodes of one point each, the newest first to be shown, two points apart, alarms and notices
 * by turns; the first of them 80 points before the last point, months before September. */
static void give_episodes(bt_study *of, size_t n) {
  free(of->episodes);
  of->episodes = fixture_filled(n + 1, sizeof *of->episodes);
  of->episodes_n = n;
  for (size_t i = 0; i < n; i++) {
    size_t point = of->points.n - 80 - 2 * i;
    of->episodes[i] = (bt_episode){.disposition = BT_NONE,
                                   .side = BT_LOW,
                                   .strength = i % 2 == 0 ? BT_ALARM : BT_NOTICE,
                                   .first = point,
                                   .last = point,
                                   .signals = 1};
    for (size_t k = 0, left = i; k < 8; k++, left /= 10)
      of->episodes[i].id[7 - k] = (char)('0' + left % 10);
  }
}

static size_t times(const bt_page *page, const char *words) {
  size_t n = 0;
  for (size_t i = 0; i < page->texts_n; i++)
    n += strstr(page->texts[i].text, words) != NULL;
  return n;
}

/* Where the last row of alarms and the first one of notices stand; 0 and a far place without any.
 */
static void alarms_stand_above(const bt_page *page) {
  double alarm = 0, notice = 1e9;
  for (size_t i = 0; i < page->texts_n; i++) {
    const bt_page_text *text = &page->texts[i];
    if (strstr(text->text, "past alarm") != NULL && text->y > alarm)
      alarm = text->y;
    if (strstr(text->text, "past notice") != NULL && text->y < notice)
      notice = text->y;
  }
  cr_expect_lt(alarm, notice);
}

static const bt_page *record_of(const bt_document *document) {
  for (size_t p = 0; p < document->pages_n; p++)
    if (strcmp(document->pages[p].name, "record") == 0)
      return &document->pages[p];
  return NULL;
}

static void must_list(size_t n, size_t fresh, size_t rows, const char *rest) {
  bt_report_request request;
  bt_document document;
  bt_error error = {0};
  bt_text complaints = {0};
  fixture_plan plan = fixture_usual();
  plan.drift = 0;
  plan.corrections = plan.concluded = plan.alone = 0;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  memset(of->strength, BT_QUIET, of->points.n);
  give_episodes(of, n);
  for (size_t i = 0; i < fresh; i++) /* of this month, and over */
    of->episodes[i].first = of->episodes[i].last = of->points.n - 10 - 2 * i;
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  fixture_check(&document, &complaints);
  cr_expect_eq(complaints.length, 0, "%s", bt_text_get(&complaints));
  const bt_page *page = record_of(&document);
  cr_assert_not_null(page);
  cr_expect_eq(times(page, "low side, 1 point"), rows, "%zu episodes: %zu rows", n,
               times(page, "low side, 1 point"));
  alarms_stand_above(page);
  cr_expect_eq(times(page, "• "), fresh, "%zu of this month", fresh);
  cr_expect_eq(times(page, "earlier episode"), rest != NULL);
  if (rest != NULL)
    cr_expect_eq(times(page, rest), 1, "%s", rest);
  bt_text_free(&complaints);
  bt_document_free(&document);
  bt_unit_study_free(unit);
}

Test(episodes_shown, eight_old_ones_and_the_count_of_the_others) {
  must_list(0, 0, 0, NULL);
  must_list(1, 0, 1, NULL);
  must_list(MOST_OLD, 0, MOST_OLD, NULL);
  must_list(MOST_OLD + 1, 0, MOST_OLD, "and 1 earlier episode (1 notice), see “beamtally signals”");
  must_list(30, 0, MOST_OLD, "and 22 earlier episodes (7 alarms, 15 notices)");
  must_list(30, 3, MOST_OLD + 3, "and 19 earlier episodes (5 alarms, 14 notices)");
}

/* "High side" beside a last value that lies low would read as a mistake. Behind a point that no
 * rule judges nothing is told: it may be the one that failed. */
Test(episodes_shown, the_newest_points_across_the_centre_are_told) {
  bt_report_request request;
  fixture_plan plan = fixture_usual();
  plan.drift = 0;
  bt_unit_study *unit = fixture_make(&plan, &request);
  bt_study *of = unit->studies[0];
  size_t n = of->points.n;
  give_episodes(of, 1);
  of->episodes[0].first = of->episodes[0].last = n - 6;
  of->episodes[0].side = BT_HIGH;
  for (size_t across = 0; across <= 5; across++) {
    bt_text words = {0};
    for (size_t i = 1; i <= 6; i++) {
      of->judged[n - i] = 1;
      of->z[n - i] = i <= across ? -0.5 : 0.5;
    }
    of->judged[n - 7] = 1;
    of->z[n - 7] = 0;
    if (across == 5)
      of->judged[n - 3] = 0;
    size_t told = across == 5 ? 2 : across;
    cr_expect_eq(bt_study_newest_across(of, BT_HIGH), told);
    cr_expect_eq(bt_study_newest_across(of, BT_LOW), across == 0 ? 6 : 0);
    report_open_episodes(of, &words);
    bool said = strstr(bt_text_get(&words), "points lie on the other side of the centre") != NULL;
    cr_expect_eq(said, told >= 3, "%s", bt_text_get(&words));
    bt_text_free(&words);
  }
  of->judged[n - 3] = 1;
  cr_expect_eq(bt_study_newest_across(of, BT_HIGH), 5);
  of->points.segment[n - 4]++;
  cr_expect_eq(bt_study_newest_across(of, BT_HIGH), 3, "by another baseline");
  of->judged[n - 1] = 0;
  cr_expect_eq(bt_study_newest_across(of, BT_HIGH), 0);
  bt_unit_study_free(unit);
}
