/* Texts of a column that a map reads events out of, and gives no meaning: told, with their lines,
 * and what to write; their rows are kept. */
#include "gather.h"

#include <criterion/criterion.h>
#include <string.h>

static const char head[] = "[format]\nunit = A\n[columns]\ndate = Wann\nenergy_mj = E\n";

static const char log_of_words[] =
    "Wann,E,Gas\n2026-08-10,1.6,Gaswechsel\n2026-08-11,1.6,Gaswechsl\n2026-08-12,1.6,F neu\n"
    "2026-08-13,1.6,nein\n2026-08-14,1.6,ok\n2026-08-15,1.6,-\n2026-08-16,1.6,f neu\n"
    "2026-08-17,1.6,\"neu, Los 7\"\n2026-08-18,1.6,keine Zeit\n";

/* All hints in one text, a line each. */
static void hints_of(const char *values, kept *k, bt_text *all, bt_reading_choices *choices) {
  bt_text map = {0};
  bt_text_format(&map, "%s%s", head, values);
  gather_by_map(bt_text_get(&map), log_of_words, k, choices);
  bt_text_free(&map);
  cr_assert_eq(k->status, BT_OK, "%s", k->error.text);
  cr_expect_eq(k->refusals_n, 0, "%s", k->reasons[0]);
  cr_expect_eq(k->checks_n, 9);
  bt_text_clear(all);
  for (size_t i = 0; i < k->survey->hints_n; i++)
    bt_text_format(all, "%s\n", k->survey->hints[i]);
}

Test(intake_unmeant, words_that_no_event_is_called_by) {
  static const struct {
    const char *values;
    const char *says[5]; /* in the one hint that there is; none: nothing is said */
  } table[] = {
      /* read for its events alone: all but blanks, words for no and "ok" */
      {"[values]\nevent.gas_refill = Gas, Gaswechsel, before\n",
       {"the column \"Gas\", and 5 rows have a text there that it gives no meaning: each row is "
        "kept",
        "\"Gaswechsl\" (line 3), \"F neu\" (lines 4, 8), \"neu, Los 7\" (line 9), \"keine Zeit\" "
        "(line 10). Where it is one",
        "event.gas_refill = Gas, Gaswechsl, before (or after)", "not_stored = Gas, THE WORD"}},
      /* the same with what it asks for: a word that is none, and the kind that words tell of */
      {"[values]\nevent.gas_refill = Gas, Gaswechsel | Gaswechsl | F neu, after\n"
       "not_stored = Gas, keine Zeit\n",
       {"1 row has a text there that it gives no meaning: the row is kept, but no event is taken "
        "from it: \"neu, Los 7\" (line 9)",
        "event.gas_refill = Gas, \"neu, Los 7\", before (or after)"}},
      {"[values]\nevent.gas_refill = Gas, Gaswechsel | Gaswechsl | F neu, after\n"
       "event.gas_bottle = Gas, \"neu, Los 7\"\nnot_stored = Gas, keine Zeit\n",
       {NULL}},
      /* kept as a remark as well: what may be meant */
      {"remark = Gas\n[values]\nevent.gas_refill = Gas, Gaswechsel, before\n",
       {"1 row has a text there", "\"Gaswechsl\" (line 3). Where it is one",
        "event.gas_refill = Gas, Gaswechsl, before"}},
      {"remark = Gas\n[values]\nevent.gas_refill = Gas, Gaswechsel | Gaswechsl, before\n", {NULL}},
      /* a text of the map that no row has */
      {"remark = Gas\n[values]\nevent.service = Gas, keine Zeiz\n",
       {"\"keine Zeit\" (line 10; the map has \"keine Zeiz\", and no row)",
        "event.service = Gas, keine Zeit;"}}};
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    kept k;
    bt_text all = {0};
    bt_reading_choices choices;
    hints_of(table[i].values, &k, &all, &choices);
    cr_expect_eq(k.survey->hints_n, table[i].says[0] != NULL, "%zu: %s", i, bt_text_get(&all));
    for (size_t n = 0; n < 5 && table[i].says[n] != NULL; n++)
      cr_expect_not_null(strstr(bt_text_get(&all), table[i].says[n]), "%zu: \"%s\" is not in: %s",
                         i, table[i].says[n], bt_text_get(&all));
    bt_text_free(&all);
    gather_free(&k);
    bt_reading_choices_free(&choices);
  }
}

/* Many words and many lines are counted. */
Test(intake_unmeant, more_than_can_be_listed) {
  kept k;
  bt_reading_choices choices;
  bt_text log = {0};
  bt_text_add(&log, "Wann,E,Gas\n");
  for (int i = 0; i < 60; i++)
    bt_text_format(&log, "2026-%02d-%02d,1.6,%s%d\n", 1 + i / 28, 1 + i % 28,
                   i < 8 ? "wieder " : "Wort Nr. ", i < 8 ? 0 : i);
  gather_by_map("[format]\nunit = A\n[columns]\ndate = Wann\nenergy_mj = E\n[values]\n"
                "event.gas_refill = Gas, Gaswechsel, before\n",
                bt_text_get(&log), &k, &choices);
  cr_assert_eq(k.survey->hints_n, 1, "%s", k.error.text);
  static const char *const says[] = {"60 rows have a text",
                                     "\"wieder 0\" (lines 2, 3, 4, 5, 6 and 3 more), ",
                                     "\"Wort Nr. 12\" (line 14) and further ones. Where"};
  for (size_t n = 0; n < sizeof says / sizeof *says; n++)
    cr_expect_not_null(strstr(k.survey->hints[0], says[n]), "%s", k.survey->hints[0]);
  gather_free(&k);
  bt_reading_choices_free(&choices);
  bt_text_free(&log);
}

/* A log of events refuses such a row, and a word that is none is no way out there. */
Test(intake_unmeant, a_log_of_events) {
  kept k;
  bt_reading_choices choices;
  gather_by_map("[columns]\ndate = Wann\nunit = Wo\nevent = Was\n[values]\n"
                "event.gas_refill = Was, Gaswechsel\nnot_stored = Was, Mittag\n",
                "Wann,Wo,Was\n2026-08-17,A,Gaswechsel\n2026-08-18,A,Mittag\n", &k, &choices);
  cr_expect_eq(k.status, BT_INPUT);
  cr_expect_not_null(strstr(k.error.text, "not_stored = Was, Mittag"), "%s", k.error.text);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}
