/* What to do next says who, by when where the finding supports a day, and what; the first thing to
 * do stands first. */
#include "made_drift.h"
#include "report_next.h"
#include "report_table.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static bt_report_request request;

/* All steps, a line each. Owned. */
static char *steps_of(const bt_unit_study *unit, bt_time since) {
  bt_text step = {0}, all = {0};
  for (size_t i = 0; report_next_step(unit, since, i, &step); i++)
    bt_text_format(&all, "%s\n", bt_text_get(&step));
  bt_text_free(&step);
  return bt_text_take(&all);
}

static void starts(const char *text, const char *words) {
  cr_expect_eq(strncmp(text, words, strlen(words)), 0, "%s", text);
}

/* Every step names who is to do it, or comes from the failing morning, which does. */
static void names_who(const char *steps) {
  static const char *const who[] = {"Technician", "Responsible person"};
  for (const char *line = steps; *line != '\0'; line = strchr(line, '\n') + 1) {
    bool named = false;
    for (size_t i = 0; i < sizeof who / sizeof *who; i++)
      named = named || strncmp(line, who[i], strlen(who[i])) == 0;
    cr_expect(named || strstr(line, "failure procedure") != NULL, "who? %s", line);
  }
}

Test(next, a_day_that_has_passed_asks_for_a_check_first) {
  for (unsigned bits = 0; bits < 16; bits++) {
    bt_unit_study *unit = made_drift(true, &request);
    bt_drift *drift = unit->drift->drift;
    bool five = (bits & 1) != 0, fifty = (bits & 2) != 0, passed = (bits & 4) != 0;
    drift->forecast.has_fail_5 = five;
    drift->forecast.has_fail_50 = fifty;
    if (passed)
      unit->until = report_drift_time(drift->forecast.fail_50) + 40 * BT_DAY;
    if ((bits & 8) != 0)
      unit->current = false;
    char *steps = steps_of(unit, request.from);
    names_who(steps);
    bool asks = passed && (five || fifty), ahead = !passed && (five || fifty);
    cr_expect_eq(strstr(steps, "measure, and import the log, if no check was made after 27 Sep "
                               "2026; the ") != NULL,
                 asks, "%s", steps);
    if (asks) {
      starts(steps, "Technician, before the next surgery day: measure, ");
      must_say(steps, five ? "; the 1-in-20 day of Pulse-energy ratio, 24 Oct 2026, has passed.\n"
                           : "; the 1-in-2 day of Pulse-energy ratio, 23 Nov 2026, has passed.\n");
    }
    cr_expect_eq(strstr(steps, ": import the newer log with “beamtally import”, or find out why no "
                               "check was made.\n") != NULL,
                 (bits & 8) != 0 && !asks, "asked for once: %s", steps);
    cr_expect_eq(strstr(steps, ": agree on a visit now.") != NULL, asks, "%s", steps);
    cr_expect_eq(strstr(steps, ": agree on a visit before 24 Oct 2026 (the 1-in-20 day of "
                               "Pulse-energy ratio).") != NULL,
                 ahead && five, "%s", steps);
    cr_expect_eq(strstr(steps, ": agree on a visit before 23 Nov 2026 (the 1-in-2 day of "
                               "Pulse-energy ratio).") != NULL,
                 ahead && !five, "%s", steps);
    free(steps);
    bt_unit_study_free(unit);
  }
}

Test(next, a_mean_beyond_its_limit_is_told_at_once) {
  bt_unit_study *unit = made_drift(true, &request);
  unit->drift->drift->forecast.use = BT_FORECAST_BEYOND;
  unit->drift->drift->oldest_now = 0.9671;
  char *steps = steps_of(unit, request.from);
  starts(steps, "Technician: tell the responsible person at once: single checks of Pulse-energy "
                "ratio must be expected outside tolerance: the mean at a fill’s end is 0.9671.\n");
  cr_expect_null(strstr(steps, "visit"), "no day is known: %s", steps);
  free(steps);
  bt_unit_study_free(unit);
}

Test(next, nothing_flagged_is_no_leave_for_anything) {
  fixture_plan plan = fixture_usual();
  bt_unit_study *unit = fixture_make(&plan, &request);
  for (size_t i = 0; i < unit->studies_n; i++)
    unit->studies[i]->episodes_n = 0;
  char *steps = steps_of(unit, request.from);
  names_who(steps);
  must_say(steps, "Technician: keep to your schedule of checks. This decides nothing about "
                  "treatment.\n");
  cr_expect_null(strstr(steps, "o on "), "%s", steps);
  free(steps);
  bt_unit_study_free(unit);
}

/* `n` alarms of a point each, at points 10, 30, ..., the first of them `concluded`. */
static void end_alarms(bt_unit_study *unit, size_t n) {
  bt_study *of = unit->studies[0];
  for (size_t i = 0; i < of->points.n; i++)
    of->rules[BT_LOW][i] = of->rules[BT_HIGH][i] = of->strength[i] = 0;
  free(of->episodes);
  of->episodes = fixture_filled(3, sizeof *of->episodes);
  of->episodes_n = n;
  for (size_t e = 0; e < n; e++) {
    size_t at = 80 + 20 * e;
    of->episodes[e] = (bt_episode){.id = "0a0b0c0d",
                                   .disposition = BT_NONE,
                                   .strength = BT_ALARM,
                                   .first = at,
                                   .last = at + e,
                                   .signals = 1 + e,
                                   .rules = BT_ALARM_LIMIT};
    for (size_t i = at; i <= at + e; i++)
      of->rules[BT_LOW][i] = BT_ALARM_LIMIT;
  }
}

Test(next, an_alarm_that_ended_is_asked_about_until_it_is_written_down) {
  size_t said_so = 0;
  for (size_t n = 0; n <= 3; n++)
    for (int strength = BT_NOTICE; strength <= BT_ALARM; strength++)
      for (int old = 0; old < 2; old++) {
        fixture_plan plan = fixture_usual();
        bt_unit_study *unit = fixture_make(&plan, &request);
        bt_study *of = unit->studies[0];
        end_alarms(unit, n);
        for (size_t e = 0; e < n; e++)
          of->episodes[e].strength = (bt_strength)strength;
        bt_time since = n == 0 ? 0 : of->points.at[of->episodes[n - 1].last] + (old ? BT_DAY : 0);
        char *steps = steps_of(unit, n == 3 && !old ? 0 : since);
        bool asks = n > 0 && !old && strength == BT_ALARM;
        names_who(steps);
        cr_expect_eq(strstr(steps, "Responsible person: write down what the alarm of ") != NULL,
                     asks, "%s", steps);
        if (asks)
          must_say(steps, n == 1   ? ", 1 alarm point): “beamtally resolve 0a0b0c0d --cause TEXT "
                                     "--action TEXT --by NAME”.\n"
                          : n == 2 ? ", 2 alarm points): “beamtally resolve "
                                   : ", 3 alarm points): “beamtally resolve ");
        cr_expect_eq(strstr(steps, " In all 3 alarms that ended from ") != NULL, asks && n == 3,
                     "%s", steps);
        table_cells in; /* whatever the page's span: of the last quarter */
        if (old)        /* the log ended soon after */
          unit->last_check = since + 10 * BT_DAY;
        report_cells_fill(unit, of, &in);
        const char *row = bt_text_get(&in.text[TABLE_NEXT]);
        bool late = n > 0 && of->points.at[of->episodes[n - 1].last] >= report_asks_since(unit);
        cr_expect_eq(strcmp(row, "say what it was") == 0, late && strength == BT_ALARM, "%s", row);
        said_so += late && strength == BT_ALARM;
        for (int c = 0; c < TABLE_COLUMNS; c++)
          bt_text_free(&in.text[c]);
        free(steps);
        bt_unit_study_free(unit);
      }
  cr_expect_gt(said_so, 0);
}

/* Limits of days that drift are never offered for freezing. */
Test(next, days_that_drift_are_not_to_be_frozen) {
  for (size_t copies = 0; copies <= 4; copies += 2)
    for (int drifts = 0; drifts < 2; drifts++) {
      fixture_plan plan = fixture_usual();
      plan.provisional = true;
      plan.copies = copies;
      bt_unit_study *unit = fixture_make(&plan, &request);
      for (size_t i = 0; i < unit->studies_n; i++) {
        bt_study *of = unit->studies[i];
        for (size_t s = 0; s < of->segments_n; s++)
          of->segments[s].stability = (bt_stability){.n = 40, .drifting = drifts != 0};
      }
      char *steps = steps_of(unit, request.from);
      names_who(steps);
      cr_expect_eq(strstr(steps, "fix them (“freeze”) with") != NULL, !drifts, "%s", steps);
      cr_expect_eq(strstr(steps, "drift themselves, so do not freeze them") != NULL, drifts, "%s",
                   steps);
      cr_expect_eq(strstr(steps, " limits of 5 characteristics ") != NULL, copies == 4, "%s",
                   steps);
      bt_text screen = {0};
      bt_error error = {0};
      cr_assert_eq(bt_report_status(unit, false, &screen, &error), BT_OK);
      for (size_t i = 0; i < screen.length; i++) /* where a line ends doesn't matter */
        screen.data[i] = screen.data[i] == '\n' ? ' ' : screen.data[i];
      cr_expect_eq(strstr(bt_text_get(&screen), "its limits are provisional") != NULL, drifts, "%s",
                   bt_text_get(&screen));
      bt_text_free(&screen);
      free(steps);
      bt_unit_study_free(unit);
      unit = made_drift_of(&plan, true, &request);
      unit->studies[0]->segments[unit->studies[0]->segments_n - 1].stability =
          (bt_stability){.n = 40, .drifting = drifts != 0};
      char *printed = made_drift_printed(unit, true);
      cr_expect_eq(strstr(printed, "The baseline Provisional, and the days") != NULL, drifts, "%s",
                   printed);
      cr_expect_eq(strstr(printed, "- Do not freeze the provisional limits: ") != NULL, drifts,
                   "%s", printed);
      free(printed);
      bt_unit_study_free(unit);
    }
}

/* The step, the row and the line of drift say the same of a characteristic whose forecast's day has
 * passed, whether or not somebody concluded something of its episode; and the engineer is told of a
 * drift that goes on, whatever was concluded. */
Test(next, a_conclusion_hides_no_day_that_has_passed) {
  for (unsigned bits = 0; bits < 4; bits++) {
    fixture_plan plan = fixture_usual();
    bool passed = (bits & 1) != 0, concluded = (bits & 2) != 0;
    plan.drift = -0.08;
    plan.concluded = concluded ? 100 : 0;
    bt_unit_study *unit = made_drift_of(&plan, true, &request);
    bt_study *of = unit->studies[0];
    bt_text line = {0};
    table_cells in;
    of->verdict = BT_VERDICT_ALARM;
    of->rules[BT_LOW][of->points.n - 1] |= BT_ALARM_LIMIT;
    of->strength[of->points.n - 1] = BT_ALARM;
    if (passed)
      unit->until = report_drift_time(unit->drift->drift->forecast.fail_50) + 40 * BT_DAY;
    cr_assert_eq(report_is_concluded(of), concluded, "%u", bits);
    char *steps = steps_of(unit, request.from);
    report_drift_headline(unit, unit->drift->drift, false, &line);
    report_cells_fill(unit, of, &in);
    const char *row = bt_text_get(&in.text[TABLE_NEXT]);
    names_who(steps);
    cr_expect_eq(strstr(bt_text_get(&line), "measure now") != NULL, passed);
    cr_expect_eq(strncmp(row, "measure", strlen("measure")) == 0, passed, "%s", row);
    cr_expect_eq(strstr(steps, " of Pulse-energy ratio, 24 Oct 2026, has passed.") != NULL, passed,
                 "%s", steps);
    must_say(steps, "look at Pulse-energy ratio, and tell the manufacturer’s engineer: ");
    must_say(row, "engineer");
    cr_expect_eq(strstr(steps, "; the drift goes on.") != NULL, concluded, "%s", steps);
    cr_expect_null(strstr(steps, "Technician, at the next checks: look whether"), "%s", steps);
    for (int c = 0; c < TABLE_COLUMNS; c++)
      bt_text_free(&in.text[c]);
    bt_text_free(&line);
    free(steps);
    bt_unit_study_free(unit);
  }
}

/* Without a change of level past its threshold a concluded alarm asks for no engineer. */
Test(next, a_concluded_alarm_asks_on_only_where_the_drift_goes_on) {
  for (unsigned bits = 0; bits < 4; bits++) {
    fixture_plan plan = fixture_usual();
    bool changed = (bits & 1) != 0, brief = (bits & 2) != 0;
    plan.drift = -0.08;
    plan.concluded = 100;
    bt_unit_study *unit = made_drift_of(&plan, true, &request);
    bt_study *of = unit->studies[0];
    bt_text step = {0};
    of->verdict = BT_VERDICT_ALARM;
    of->rules[BT_LOW][of->points.n - 1] |= BT_ALARM_LIMIT;
    of->strength[of->points.n - 1] = BT_ALARM;
    unit->drift->drift->moved.changed = changed;
    cr_assert(report_is_concluded(of));
    const bt_disposition *said = report_disposition(of, report_open_on(of, BT_LOW));
    char date[REPORT_DATE_TEXT];
    report_signal_step(unit, BT_VERDICT_ALARM, brief, &step);
    cr_expect_eq(bt_text_empty(&step), !changed, "%s", bt_text_get(&step));
    if (changed) {
      bt_text words = {0};
      starts(bt_text_get(&step), "Responsible person and technician, before ");
      bt_text_format(&words, " was resolved on %s by %s as “%s”; the drift goes on.",
                     report_short_date(said->at, date), said->by, said->cause);
      must_say(bt_text_get(&step), bt_text_get(&words));
      bt_text_free(&words);
    }
    bt_text_clear(&step);
    report_concluded_step(unit, &step);
    cr_expect_eq(bt_text_empty(&step), changed, "%s", bt_text_get(&step));
    bt_text_free(&step);
    bt_unit_study_free(unit);
  }
}

/* A page of a past month asks for the newer log only where none is stored and one was expected by
 * the day on which the ledger was last written to; without a current check it always does. */
Test(next, a_log_that_ended_is_asked_for) {
  for (unsigned bits = 0; bits < 16; bits++) {
    fixture_plan plan = fixture_usual();
    bool current = (bits & 1) == 0, late = (bits & 2) != 0, later = (bits & 4) != 0,
         brief = (bits & 8) != 0;
    bt_unit_study *unit = made_drift_of(&plan, true, &request);
    bt_text step = {0}, words = {0};
    char last[REPORT_DATE_TEXT], on[REPORT_DATE_TEXT];
    unit->drift->drift->forecast.use = BT_FORECAST_NO_LIMIT;
    unit->current = current;
    unit->expected_days = 7;
    unit->drift->read_on = unit->last_check + (late ? 60 : 7) * BT_DAY;
    unit->provenance.checks = (int64_t)unit->history.n + later;
    report_current_step(unit, brief, &step);
    bool asks = !current || (late && !later);
    cr_expect_eq(bt_text_empty(&step), !asks, "%u: %s", bits, bt_text_get(&step));
    if (asks) {
      bt_time by = current ? unit->drift->read_on : unit->until - 1;
      long long days = (long long)(bt_day_of(by) - bt_day_of(unit->last_check));
      bt_text_format(&words,
                     "the last check is of %s, %lld day%s before %s%s: import the newer log",
                     report_short_date(unit->last_check, last), days, days == 1 ? "" : "s",
                     current ? "the ledger’s last entry, of " : "", report_short_date(by, on));
      starts(bt_text_get(&step),
             brief ? "Technician, before surgery: " : "Technician, before the next surgery day: ");
      must_say(bt_text_get(&step), bt_text_get(&words));
    }
    bt_text_free(&words);
    bt_text_free(&step);
    bt_unit_study_free(unit);
  }
}

/* On the day itself, and once it is past, a visit is for now; a check of today is not asked for
 * again. */
Test(next, a_forecasts_day_that_has_come_is_now) {
  for (int days = -1; days <= 2; days++) {
    bt_unit_study *unit = made_drift(true, &request);
    bt_text clause = {0}, step = {0};
    unit->until = report_drift_time(unit->drift->drift->forecast.fail_5) + (days + 1) * BT_DAY;
    report_visit_clause(unit, &clause);
    cr_expect_eq(strcmp(bt_text_get(&clause), ": agree on a visit now") == 0, days >= 0, "%d: %s",
                 days, bt_text_get(&clause));
    cr_expect_eq(report_asks_to_measure(unit), days > 0, "%d", days);
    unit->last_check = unit->until - BT_HOUR;
    report_measure_step(unit, false, &step);
    cr_expect(!report_asks_to_measure(unit) && bt_text_empty(&step), "%s", bt_text_get(&step));
    bt_text_free(&step);
    bt_text_free(&clause);
    bt_unit_study_free(unit);
  }
}
