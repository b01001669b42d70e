/* Flags of events keep their kind, at the right edge of the chart as elsewhere. */
#include "fixture.h"

#include <criterion/criterion.h>
#include <string.h>

static bool names_kind(const bt_page *page, const char *words) {
  for (size_t i = 0; i < page->texts_n; i++)
    if (page->texts[i].ink == BT_INK_EVENT && strstr(page->texts[i].text, words) != NULL)
      return true;
  return false;
}

Test(drawn_events, kind_stays_at_the_edges) {
  fixture_plan plan = fixture_usual();
  plan.events = 3;
  for (int from_end = 0; from_end < 160; from_end += 3) {
    bt_report_request request;
    bt_document document;
    bt_text wrong = {0};
    bt_unit_study *unit = fixture_make(&plan, &request);
    bt_event_kind kind[3];
    size_t n = 0;
    for (size_t i = 0; i < unit->history.events_n && n < 3; i++)
      if (unit->history.events[i].kind != BT_EVENT_GAS_REFILL) {
        unit->history.events[i].time = request.to - (from_end + 4 - (int)n) * BT_DAY;
        unit->history.events[i].kind = kind[n] = n == 0   ? BT_EVENT_SERVICE
                                                 : n == 1 ? BT_EVENT_OPTICS_CLEANED
                                                          : BT_EVENT_RECALIBRATION;
        n++;
      }
    cr_assert_eq(n, 3);
    fixture_chart(unit, unit->studies[0], &request, &document);
    for (size_t k = 0; k < n; k++)
      if (unit->history.events[k].time >= request.from)
        cr_expect(names_kind(&document.pages[0], bt_event_words(kind[k])),
                  "%s, %d days from the end", bt_event_words(kind[k]), from_end);
    fixture_check(&document, &wrong);
    cr_expect(bt_text_empty(&wrong), "%d days: %s", from_end, bt_text_get(&wrong));
    bt_text_free(&wrong);
    bt_document_free(&document);
    bt_unit_study_free(unit);
  }
}
