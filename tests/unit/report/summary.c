/* The first page opens with what matters: a check that is missing, a check outside tolerance, then
 * what drifts, and leaves no drift out. */
#include "made_drift.h"
#include "report_drift.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

/* The texts of the page of that name, a line each. Owned. */
static char *page_of(const bt_unit_study *unit, const char *name) {
  bt_document document;
  bt_error error;
  bt_text text = {0}, complaints = {0};
  cr_assert_eq(bt_report_month(unit, &request, &fixture_measure, &document, &error), BT_OK);
  fixture_check(&document, &complaints);
  cr_expect_str_eq(bt_text_get(&complaints), "");
  for (size_t p = 0; p < document.pages_n; p++)
    for (size_t i = 0; i < document.pages[p].texts_n && strcmp(document.pages[p].name, name) == 0;
         i++)
      bt_text_format(&text, "%s\n", document.pages[p].texts[i].text);
  bt_text_free(&complaints);
  bt_document_free(&document);
  return bt_text_take(&text);
}

static char *screen_of(const bt_unit_study *unit) {
  bt_error error;
  bt_text text = {0};
  cr_assert_eq(bt_report_status(unit, false, &text, &error), BT_OK);
  must_be_plain(bt_text_get(&text));
  return bt_text_take(&text);
}

/* The studies of the unit besides its first, each looked at, and stepped where `changed`. */
static void look_at_all(bt_unit_study *unit, bool changed) {
  bt_drift *all = fixture_filled(unit->studies_n, sizeof *all), made = unit->drift->drift[0];
  free(unit->drift->drift);
  for (size_t i = 1; i < unit->studies_n; i++) {
    all[i] = (bt_drift){.characteristic = unit->studies[i]->characteristic,
                        .study = unit->studies[i],
                        .window = {.event = BT_NONE},
                        .last_day = made.last_day,
                        .sigma = made.sigma,
                        .centre = made.centre,
                        .tolerance = made.tolerance,
                        .forecast = {.use = BT_FORECAST_STEP}};
    if (!changed)
      continue;
    all[i].moved = made.moved;
    all[i].change = made.change;
    all[i].moved.kind = all[i].change.kind = BT_CHANGE_STEP;
    all[i].change.step = (bt_step){.before = 1, .after = 0.99};
  }
  all[0] = made;
  unit->drift->drift = all;
  unit->drift->n = unit->studies_n;
}

static const char *name_study(bt_unit_study *unit, size_t i, const char *title) {
  unit->studies[i]->quantity.title = title;
  return title;
}

Test(summary, opens_with_the_drift_its_likely_cause_and_when_it_matters) {
  bt_unit_study *unit = made_drift(true, &request);
  char *page = page_of(unit, "summary");
  const char *finding =
      strstr(page, "\nPulse-energy ratio: falling since about early July 2026, by −1.0" REPORT_JOIN
                   "%. The "
                   "fitted line goes by");
  cr_assert_not_null(finding, "%s", page);
  must_say(page, "\nDates\nPulse-energy ratio began 26 Jun – 16 Jul 2026 "
                 "(likeliest 6 Jul 2026)\n");
  cr_expect_lt(finding, strstr(page, "\nCharacteristic\n"), "%s", page);
  must_say(page, "Likely cause (strong support): “A loss that refills do not bring back: optics, "
                 "cavity, gas supply or meter; the log cannot tell them apart”, and 1 more");
  must_say(
      page,
      "a check below 0.96 at a fill’s end: 1 in 20 by 24 Oct 2026, 1 in 2 by 23 Nov 2026. Last "
      "check (27 Sep 2026) inside tolerance.");
  cr_expect_null(strstr(page, "No signal is open"), "%s", page);
  cr_expect_eq(count_of(page, "falling since"), 1, "told once: %s", page);
  free(page);

  unit->drift->drift->causes[0].strength = BT_CAUSE_WEAK;
  page = page_of(unit, "summary");
  must_say(page, "Possible cause (weak support): “");
  free(page);

  unit->drift->drift->forecast.use = BT_FORECAST_NO_LIMIT;
  unit->studies[0]->tolerance = (bt_tolerance_finding){.last_outside = BT_NONE};
  page = page_of(unit, "summary");
  must_say(page, "No forecast: no tolerance is entered on the side that it goes to, and "
                 "without one there is no date (“beamtally settings”).\n");
  free(page);

  unit->drift->drift->causes_n = 0;
  page = page_of(unit, "summary");
  must_say(page, "No cause is named: nothing that moved with it points to one.");
  free(page);
  bt_unit_study_free(unit);
}

/* What has changed and what its chart flags are told apart. */
Test(summary, the_rest_is_named_by_what_it_did) {
  enum { STUDIES = 6 };
  static const char *const titles[STUDIES] = {"Number one",  "Number two",  "Number three",
                                              "Number four", "Number five", "Number six"};
  fixture_plan plan = fixture_usual();
  plan.copies = STUDIES - 1;
  bt_unit_study *unit = made_drift_of(&plan, true, &request);
  look_at_all(unit, true);
  for (size_t i = 0; i < STUDIES; i++)
    (void)name_study(unit, i, titles[i]);
  for (size_t i = STUDIES; i-- > 1;) { /* one more of them is flagged only */
    unit->drift->drift[i].moved.changed = false;
    unit->studies[i]->verdict = BT_VERDICT_ALARM;
    char *page = page_of(unit, "summary");
    if (i == STUDIES - 1)
      must_say(page, "Number two, Number three, Number four and Number five have changed as well, "
                     "Number six is flagged: see the table.\n");
    if (i == 2)
      must_say(page, "Number two has changed as well, Number three, Number four, Number five and "
                     "Number six are flagged: see the table.\n");
    if (i == 1) /* there is room for a paragraph of one more */
      must_say(page, "\nNumber three, Number four, Number five and Number six are flagged as well: "
                     "see the table.\n");
    free(page);
  }
  bt_unit_study_free(unit);
}

/* With a nearer date it stands before one without; more than find room are named under the table.
 */
Test(summary, no_drift_is_left_out) {
  enum { STUDIES = 6 };
  static const char *const titles[STUDIES] = {"Number one",  "Number two",  "Number three",
                                              "Number four", "Number five", "Number six"};
  fixture_plan plan = fixture_usual();
  plan.copies = STUDIES - 1;
  bt_unit_study *unit = made_drift_of(&plan, true, &request);
  cr_assert_eq(unit->studies_n, STUDIES);
  look_at_all(unit, true);
  for (size_t i = 0; i < STUDIES; i++)
    (void)name_study(unit, i, titles[i]);
  char *page = page_of(unit, "summary");
  must_say(page, "\nNumber one: falling since about early July 2026, by −1.0" REPORT_JOIN "%");
  must_say(page, "Number two, Number three, Number four, Number five and Number six have changed "
                 "as well: see the table.\n");
  cr_expect_eq(count_of(page, "Number one: falling since"), 1, "%s", page);
  for (size_t i = 1; i < STUDIES; i++) {
    bt_text wanted = {0};
    bt_text_format(&wanted, "\nDrift\n%s: lower, in a step, since about early July 2026",
                   titles[i]);
    cr_expect_eq(count_of(page, bt_text_get(&wanted)), 1, "%s: %s", titles[i], page);
    bt_text_free(&wanted);
  }
  free(page);
  bt_unit_study_free(unit);

  unit = made_drift_of(&plan, true, &request);
  look_at_all(unit, false);
  for (size_t i = 0; i < STUDIES; i++)
    (void)name_study(unit, i, titles[i]);
  page = page_of(unit, "summary");
  must_say(
      page,
      "\nOther drift\nNumber one: see above; no change past the threshold in Number two, Number three, Number four, "
      "Number five and Number six\n");
  free(page);
  bt_unit_study_free(unit);

  plan.copies = 9; /* too many to be named */
  unit = made_drift_of(&plan, true, &request);
  look_at_all(unit, false);
  page = page_of(unit, "summary");
  must_say(page,
           ": see above; no change past the threshold in the other 9 characteristics looked at\n");
  free(page);
  bt_unit_study_free(unit);
}

/* The weightiest, where no paragraph has room: the others stand behind it by name. */
Test(summary, the_weightiest_is_told_in_a_line) {
  static const char said[] =
      ": falling since about early July 2026, by −1.0" REPORT_JOIN "%; refills "
      "alone do not bring it back; a check below 0.96 at a fill’s end: 1 in "
      "20 by 24 Oct 2026";
  fixture_plan plan = fixture_usual();
  bool short_of_room = false;
  for (size_t copies = 0; copies < 14; copies++) {
    plan.copies = copies;
    bt_unit_study *unit = made_drift_of(&plan, true, &request);
    look_at_all(unit, true);
    (void)name_study(unit, 0, "Number one");
    report_words line = {0};
    report_drift_one_line(unit, unit->drift->drift, &line);
    cr_expect_eq(strncmp(bt_text_get(&line.text) + strlen("Number one"), said, strlen(said)), 0,
                 "%s", bt_text_get(&line.text));
    char *page = page_of(unit, "summary");
    cr_expect_eq(count_of(page, "Number one: falling since"), 1, "%zu: %s", copies, page);
    short_of_room |= strstr(page, bt_text_get(&line.text)) != NULL;
    free(page);
    report_words_free(&line);
    bt_unit_study_free(unit);
  }
  cr_expect(short_of_room, "no page was full");
}

/* A change that an event ended is told beside those of today, also where only numbers have room. */
Test(summary, an_earlier_change_of_another_is_not_left_out) {
  static const struct {
    size_t copies, changed;
    const char *words;
  } cases[] = {
      {2, 1, " in Number two (changed until 9 Jan 2026) and Number three\n"},
      {9, 1,
       " in the other 9 characteristics looked at (of these Number two changed until 9 Jan "
       "2026)\n"},
      {9, 3,
       " in the other 9 characteristics looked at (of these Number two changed until 9 Jan "
       "2026, Number three changed until 9 Jan 2026, 1 more earlier as well)\n"}};
  for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
    fixture_plan plan = fixture_usual();
    plan.copies = cases[c].copies;
    bt_unit_study *unit = made_drift_of(&plan, true, &request);
    look_at_all(unit, false);
    (void)name_study(unit, 1, "Number two");
    (void)name_study(unit, 2, "Number three");
    for (size_t i = 1; i <= cases[c].changed; i++) {
      unit->drift->drift[i].before = (bt_drift_before){.changed = true,
                                                       .until = unit->history.events[0].time,
                                                       .change = {.from = 20453, .to = 20552},
                                                       .moved = {.sign = -1}};
      unit->drift->drift[i].window.event = 0;
    }
    char *page = page_of(unit, "summary");
    must_say(page, cases[c].words);
    free(page);
    bt_unit_study_free(unit);
  }
}

/* What drift is looked for in is named, and what is not, with the reason. */
Test(summary, what_is_not_looked_at_for_drift_is_said) {
  fixture_plan plan = fixture_usual();
  plan.copies = 5;
  for (int changed = 0; changed < 2; changed++) {
    bt_unit_study *unit = made_drift_of(&plan, changed == 1, &request);
    static const bt_characteristic which[] = {BT_TRACKER_X, BT_TRACKER_Y, BT_TRACKER_RADIAL,
                                              BT_TRACKER_VECTOR, BT_FLUENCE};
    look_at_all(unit, false);
    for (size_t i = 1; i < unit->studies_n; i++) {
      unit->studies[i]->characteristic = which[i - 1];
      unit->drift->drift[i].characteristic = which[i - 1];
    }
    (void)name_study(unit, 1, "Tracker offset x");
    (void)name_study(unit, 2, "Tracker offset y");
    unit->drift->n = 3; /* neither what is made of x and y, nor a fluence made of the energy */
    char *page = page_of(unit, "summary");
    must_say(
        page,
        changed == 1
            ? "\nOther drift\nPulse-energy ratio: see above; no change past the threshold in Tracker offset x and Tracker "
              "offset y; not by themselves: the tracker’s radial offset and T² (made of "
              "x and y), Fluence (computed from the energy)\n"
            : "\nLooked at for it\nPulse-energy ratio, Tracker offset x and Tracker "
              "offset y; not by themselves: the tracker’s radial offset and T² (made of "
              "x and y), Fluence (computed from the energy)\n");
    free(page);
    unit->studies[3]->characteristic = unit->studies[5]->characteristic = BT_ENERGY_SPREAD;
    page = page_of(unit, "summary");
    must_say(page, "; not by itself: the tracker’s T² (made of x and y)\n");
    free(page);
    bt_unit_study_free(unit);
  }
}

/* The gas page's first answer stands on the first page where a drift does. */
Test(summary, answers_whether_it_is_the_gas) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_text brief = {0}, line = {0};
  char *page = page_of(unit, "summary");
  must_say(page,
           "\nIs it the gas?\nlikely not the ageing of the gas in its fills; the gas supply is "
           "not ruled out (Pulse-energy ratio)\n");
  free(page);
  report_drift_gas_line(unit, unit->drift->drift, &line);
  report_drift_gas_brief(unit, unit->drift->drift, true, &brief);
  bt_text_add(&brief, "\n");
  must_say(bt_text_get(&brief), " shows (Pulse-energy ratio)\n");
  cr_expect_eq(strncmp(bt_text_get(&brief) + 1, bt_text_get(&line) + 1, line.length - 2), 0,
               "the same words: %s", bt_text_get(&brief));
  unit->drift->drift->causes[0].kind = BT_CAUSE_GAS_AGEING;
  unit->drift->drift->causes_n = 1;
  page = page_of(unit, "summary");
  must_say(page, "\nIs it the gas?\nyes, likely: the fills lose more than in the baseline");
  free(page);
  bt_unit_study_free(unit);
  unit = made_drift(false, &request);
  page = page_of(unit, "summary");
  must_say(page, "\nIs it the gas?\nno sign: there is no loss past the threshold that it would "
                 "explain (Pulse-energy ratio)\n");
  free(page);
  bt_text_free(&brief);
  bt_text_free(&line);
  bt_unit_study_free(unit);
}

/* Tolerance comes first, on the page and in the paragraph. */
Test(summary, a_check_outside_tolerance_stands_before_the_drift) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_study *of = unit->studies[0];
  of->tolerance.last_is_outside = true;
  of->tolerance.outside = 1;
  of->tolerance.last_outside = of->checks.n - 1;
  of->verdict = unit->verdict = BT_VERDICT_OUT_OF_TOLERANCE;
  char *page = page_of(unit, "summary");
  must_say(page, "\nPulse-energy ratio: the last check is outside tolerance (");
  must_say(page, " Drift: falling since about early July 2026, by −1.0" REPORT_JOIN
                 "%. The fitted line goes by");
  free(page);
  bt_unit_study_free(unit);
}

Test(summary, without_a_current_check_that_is_said_first) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  char *page = page_of(unit, "summary"), *screen = screen_of(unit);
  cr_expect_null(strstr(page, "No current check"));
  cr_expect_null(strstr(screen, "No current check"));
  free(page);
  free(screen);
  unit->current = false;
  unit->expected_days = 3;
  unit->until = unit->last_check - unit->last_check % BT_DAY + 6 * BT_DAY;
  unit->verdict = BT_VERDICT_NO_CURRENT_CHECK;
  page = page_of(unit, "summary");
  screen = screen_of(unit);
  must_say(page,
           "\nNo current check: the last one is of 27 Sep 2026, 5 days before 2 Oct 2026, the last "
           "day of this record; one is expected within 3 days. Import the log with "
           "“beamtally import”, or find out why no check was made.");
  must_say(screen, "\nNo current check: the last one is of 27 Sep 2026, 5 days");
  free(page);
  free(screen);
  unit->until += 20 * BT_DAY; /* the date is told once, not again of each characteristic */
  for (size_t s = 0; s < unit->studies_n; s++)
    unit->studies[s]->stale_days = 25;
  page = page_of(unit, "summary");
  screen = screen_of(unit);
  cr_expect_null(strstr(screen, "last reading"), "%s", screen);
  cr_expect_null(strstr(page, "ast reading 27 Sep 2026"), "%s", page);
  free(page);
  free(screen);
  bt_unit_study_free(unit);
}

Test(summary, a_long_name_cuts_nothing_behind_it) {
  static const char name[] = "Unit with a name that goes on and on until nobody would ever want to "
                             "type it once more, in the old east wing behind the second stairs";
  fixture_plan plan = fixture_usual();
  plan.unit = name;
  plan.clinic = name;
  bt_unit_study *unit = fixture_make(&plan, &request);
  static const char *const pages[][2] = {
      {"summary",
       "  ·  calibration history, September 2026, as of 27 Sep 2026; ledger of 27 Sep 2026\n"},
      {"method", "  ·  September 2026  ·  how this report was computed, and its words\n"},
      {"method-2",
       "  ·  September 2026  ·  how this report was computed, and its words  ·  continued\n"}};
  for (size_t p = 0; p < sizeof pages / sizeof *pages; p++) {
    bt_text wanted = {0};
    bt_text_format(&wanted, "\n%s%s%s", p == 0 ? "DRAFT, not issued  ·  " : "", name, pages[p][1]);
    char *page = page_of(unit, pages[p][0]);
    must_say(page, bt_text_get(&wanted));
    free(page);
    bt_text_free(&wanted);
  }
  bt_unit_study_free(unit);
}

/* Beside the title, not in the footer alone; an issued report is none. */
Test(summary, a_draft_is_called_one_beside_its_title) {
  for (int64_t revision = 0; revision <= 1; revision++) {
    fixture_plan plan = fixture_usual();
    bt_unit_study *unit = fixture_make(&plan, &request);
    request.revision = revision;
    char *page = page_of(unit, "summary");
    cr_expect_eq(strstr(page, "\nDRAFT, not issued\n") != NULL, revision == 0, "%s", page);
    free(page);
    bt_unit_study_free(unit);
  }
}

/* Where there is no room for second lines a cell says less, in whole words. */
Test(summary, no_cell_of_the_table_is_cut) {
  for (size_t copies = 0; copies < 13; copies += 4)
    for (int letter = 0; letter < 2; letter++)
      for (int stale = 0; stale < 2; stale++) {
        fixture_plan plan = fixture_usual();
        plan.copies = copies;
        plan.drift = -0.08;
        plan.tolerance_half = 0.1;
        bt_unit_study *unit = fixture_make(&plan, &request);
        request.paper = letter != 0 ? BT_PAPER_LETTER : BT_PAPER_A4;
        unit->until += stale != 0 ? 23 * BT_DAY : 0;
        for (size_t s = 0; s < unit->studies_n; s++)
          unit->studies[s]->stale_days = stale != 0 ? 23 : 0;
        char *page = page_of(unit, "summary");
        const char *table = strstr(page, "\nCharacteristic\n");
        cr_assert_not_null(table);
        cr_expect_null(strstr(table, "\xE2\x80\xA6"), "%zu %d: %s", copies, letter, table);
        free(page);
        bt_unit_study_free(unit);
      }
}

/* What the first page calls things is explained by the method's, under the same names. */
Test(summary, leaves_no_word_of_its_own_unexplained) {
  static const char *const explained[] = {"Energy demand",
                                          "Fluence",
                                          "Discharge voltage",
                                          "Pulse-energy ratio",
                                          "Pulse-energy spread",
                                          "Tracker offset",
                                          "T²",
                                          "Support, strength",
                                          "Cavity",
                                          "Gas supply",
                                          "Digest",
                                          "Resolve",
                                          "From centre",
                                          "Freeze",
                                          "1 in 20, 1 in 2",
                                          "No open signal",
                                          "Retest",
                                          "Episode",
                                          "Signal, notice",
                                          "Alarm",
                                          "Tolerance",
                                          "Characteristic"};
  bt_unit_study *unit = made_drift(true, &request);
  bt_text method = {0};
  static const char *const names[] = {"method", "method-2", "method-3"};
  for (size_t p = 0; p < 3; p++) {
    char *page = page_of(unit, names[p]);
    bt_text_format(&method, "\n%s", page);
    free(page);
  }
  for (size_t k = 0; k < sizeof explained / sizeof *explained; k++) {
    bt_text line = {0};
    bt_text_format(&line, "\n%s\n", explained[k]);
    must_say(bt_text_get(&method), bt_text_get(&line));
    bt_text_free(&line);
  }
  must_say(bt_text_get(&method), "Undecided: nobody has concluded anything of it yet.");
  for (int c = 0; c < BT_TEMPERATURE; c++) { /* as far as the word before a comma or an axis */
    bt_text line = {0};
    const char *title = bt_settings_quantity(NULL, (bt_characteristic)c).title;
    size_t length = strncmp(title, "Tracker offset", 14) == 0 ? 14 : strlen(title);
    bt_text_format(&line, "\n%.*s\n", (int)length, title);
    must_say(bt_text_get(&method), bt_text_get(&line));
    bt_text_free(&line);
  }
  bt_text_free(&method);
  bt_unit_study_free(unit);
}

/* Made later, a report of a past month speaks as of its own last day where the log went on; where
 * it ended, days have gone by without a check. */
Test(summary, of_a_past_month_says_to_what_day_it_speaks) {
  bt_unit_study *unit = made_drift(true, &request);
  bt_drift *drift = unit->drift->drift;
  unit->drift->read_on = report_drift_time(drift->forecast.fail_50) + 40 * BT_DAY;
  char *page = page_of(unit, "summary");
  must_say(page, ": 1 in 20 by 24 Oct 2026 (gone by), 1 in 2 by 23 Nov 2026 (gone by).");
  must_say(page, "measure, and import the log, if no check was made after 27 Sep 2026; ");
  free(page);
  unit->provenance.checks++;
  page = page_of(unit, "summary");
  must_say(page, ", as of 27 Sep 2026; ledger of ");
  must_say(page, ": 1 in 20 by 24 Oct 2026, 1 in 2 by 23 Nov 2026.");
  cr_expect_null(strstr(page, "(gone by)"), "%s", page);
  cr_expect_null(strstr(page, "today"), "%s", page);
  free(page);
  bt_unit_study_free(unit);
}

/* The tracker's offset is limited by its length or by its parts, x and y: either is enough. */
Test(summary, asks_for_no_tolerance_of_an_offset_that_has_one_the_other_way) {
  static const bt_characteristic parts[] = {BT_TRACKER_X, BT_TRACKER_Y, BT_TRACKER_RADIAL};
  static const bt_tolerance entered = {0};
  for (unsigned has = 0; has < 8; has++) {
    fixture_plan plan = fixture_usual();
    plan.tolerance = false;
    plan.copies = 2;
    bt_unit_study *unit = fixture_make(&plan, &request);
    for (size_t i = 0; i < 3; i++) {
      unit->studies[i]->characteristic = parts[i];
      unit->studies[i]->tolerance.now = (has >> i & 1) != 0 ? &entered : NULL;
    }
    bool x = (has & 1) != 0, y = (has & 2) != 0, radial = (has & 4) != 0;
    cr_expect_eq(report_wants_tolerance(unit, unit->studies[0]), !x && !radial, "%u", has);
    cr_expect_eq(report_wants_tolerance(unit, unit->studies[1]), !y && !radial, "%u", has);
    cr_expect_eq(report_wants_tolerance(unit, unit->studies[2]), !radial && !(x && y), "%u", has);
    bt_unit_study_free(unit);
  }
}

/* One tolerance has one source; names with a comma in them are told apart. */
Test(summary, asks_for_tolerances_in_singular_and_plural) {
  for (size_t copies = 0; copies < 3; copies++) {
    fixture_plan plan = fixture_usual();
    plan.tolerance = false;
    plan.copies = copies;
    bt_unit_study *unit = fixture_make(&plan, &request);
    for (size_t i = 0; i < unit->studies_n; i++)
      (void)name_study(unit, i, i == 0 ? "Tracker offset, radial" : i == 1 ? "Second" : "Third");
    bt_text step = {0};
    bool found = false;
    for (size_t i = 0; report_next_step(unit, request.from, i, &step); i++)
      found |=
          strcmp(bt_text_get(&step),
                 copies == 0   ? "Responsible person: enter the tolerance of “Tracker "
                                 "offset, radial” with its source: “beamtally settings”."
                 : copies == 1 ? "Responsible person: enter the tolerances of “Tracker offset, "
                                 "radial” and “Second” with "
                                 "their sources: “beamtally settings”."
                               : "Responsible person: enter the tolerances of “Tracker offset, "
                                 "radial”, “Second” and "
                                 "“Third” with their sources: “beamtally settings”.") == 0;
    cr_expect(found, "%zu", copies);
    bt_text_free(&step);
    bt_unit_study_free(unit);
  }
}

/* The banner says what the alarm is of and since when, where that has room. */
Test(summary, an_alarm_says_what_it_is_of) {
  for (size_t copies = 0; copies < 8; copies += 7) {
    fixture_plan plan = fixture_usual();
    plan.copies = copies;
    plan.drift = -0.08;
    plan.tolerance_half = 40;
    bt_unit_study *unit = fixture_make(&plan, &request);
    for (size_t i = 0; i < unit->studies_n; i++) {
      bt_study *of = unit->studies[i];
      of->rules[BT_LOW][of->points.n - 1] |= BT_ALARM_LIMIT;
      of->strength[of->points.n - 1] = BT_ALARM;
      of->verdict = BT_VERDICT_ALARM;
    }
    unit->verdict = BT_VERDICT_ALARM;
    bt_text wanted = {0};
    char day[REPORT_DATE_TEXT];
    const bt_study *of = unit->studies[0];
    bt_text_format(
        &wanted, "ALARM\n%s, first alarm %s\n",
        copies == 0 ? "Pulse-energy ratio" : "8 characteristics",
        report_short_date(of->points.at[report_open_from(of, bt_study_open_episode(of))], day));
    char *page = page_of(unit, "summary");
    cr_expect_eq(strncmp(page, bt_text_get(&wanted), wanted.length), 0, "%s: %.200s",
                 bt_text_get(&wanted), page);
    free(page);
    bt_text_free(&wanted);
    bt_unit_study_free(unit);
  }
}
