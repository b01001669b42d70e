/* Gathers what pages, screen and analyses say. */
#include "said.h"
#include "fixture.h"

#include <criterion/criterion.h>
#include <string.h>

static void add_document(bt_document *document, bt_text *all) {
  for (size_t p = 0; p < document->pages_n; p++)
    for (size_t i = 0; i < document->pages[p].texts_n; i++)
      bt_text_format(all, "%s\n", document->pages[p].texts[i].text);
  bt_document_free(document);
}

/* The pages of a unit but for those of the method, which speak of all units alike. */
static void add_report(bt_document *document, bt_text *all) {
  for (size_t p = 0; p < document->pages_n; p++)
    for (size_t i = 0; i < document->pages[p].texts_n; i++)
      if (strncmp(document->pages[p].name, "method", strlen("method")) != 0)
        bt_text_format(all, "%s\n", document->pages[p].texts[i].text);
  bt_document_free(document);
}

/* Runs of blanks and line ends as one blank; frees `all`. */
static bt_text joined_of(bt_text *all) {
  bt_text joined = {0};
  bool blank = false;
  for (const char *at = bt_text_get(all); *at != '\0'; at++) {
    bool here = *at == '\n' || *at == ' ';
    if (!here || !blank)
      bt_text_add_bytes(&joined, here ? " " : at, 1);
    blank = here;
  }
  bt_text_free(all);
  return joined;
}

bt_text said_of(const bt_unit_study *unit, const bt_report_request *request) {
  bt_text all = {0};
  bt_error error = {0};
  bt_document document;
  cr_assert_eq(bt_report_month(unit, request, &fixture_measure, &document, &error), BT_OK);
  add_report(&document, &all);
  cr_assert_eq(bt_report_status(unit, false, &all, &error), BT_OK);
  for (size_t i = 0; i < unit->studies_n; i++)
    cr_assert_eq(bt_report_analysis(unit, unit->studies[i], INT64_MIN, INT64_MAX, &all, &error),
                 BT_OK);
  return joined_of(&all);
}

bt_text said_of_one(const bt_unit_study *unit, const bt_study *of,
                    const bt_report_request *request) {
  bt_text all = {0};
  bt_error error = {0};
  bt_document document;
  fixture_chart(unit, of, request, &document);
  add_document(&document, &all);
  cr_assert_eq(bt_report_analysis(unit, of, INT64_MIN, INT64_MAX, &all, &error), BT_OK);
  return joined_of(&all);
}

size_t said_times(const bt_text *said, const char *words) {
  size_t n = 0;
  for (const char *at = bt_text_get(said); (at = strstr(at, words)) != NULL; at++)
    n++;
  return n;
}

void said_is(const bt_text *said, const char *words) {
  cr_expect(said_times(said, words) > 0, "not said: %s\n%s", words, bt_text_get(said));
}

void said_never(const bt_text *said, const char *words) {
  cr_expect(said_times(said, words) == 0, "said: %s\n%s", words, bt_text_get(said));
}
