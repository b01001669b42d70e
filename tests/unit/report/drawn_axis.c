/* The words under a chart's time axis. */
#include "fixture.h"

#include <criterion/criterion.h>
#include <string.h>

static bool has_text(const bt_page *page, const char *words) {
  for (size_t i = 0; i < page->texts_n; i++)
    if (strcmp(page->texts[i].text, words) == 0)
      return true;
  return false;
}

/* A January says which; a month that is not whole has its short name where the long one is wider.
 */
Test(drawn_axis, months_of_two_years) {
  fixture_plan plan = fixture_usual();
  plan.points = 300;
  bt_report_request request;
  bt_document document;
  bt_unit_study *unit = fixture_make(&plan, &request);
  const bt_study *of = unit->studies[0];
  request.to = of->points.at[of->points.n - 1] + BT_DAY; /* 28 September 2026 */
  request.from = request.to - 300 * BT_DAY;              /* 2 December 2025 */
  request.to -= 12 * BT_DAY;
  fixture_chart(unit, of, &request, &document);
  const bt_page *page = &document.pages[0];
  cr_expect(has_text(page, "December"));
  cr_expect(has_text(page, "Jan 2026"));
  cr_expect(has_text(page, "Sep"));
  cr_expect_not(has_text(page, "September"));
  bt_document_free(&document);
  bt_unit_study_free(unit);
}
