/* README.txt of an evidence folder: what each file is, and how to check all of it without
 * Beamtally. What formats from 3 on say beyond the older ones stands in case_readme_more.c. */
#include "case_room.h"

#include <string.h>

static const char files[] =
    "evidence.pdf           the case on one page, charts, before and after each service visit with\n"
    "                       enough checks on both sides, likely causes, the method\n"
    "checks.csv             every check, one row for each quantity that was read; columns below\n"
    "readings.csv           the same checks, one row each, all readings as the log has them\n"
    "events.csv             what was done to the laser\n"
    "signals.csv            points of the span that break a rule, a limit or the tolerance\n"
    "limits.json            baselines and limits in full digits, tolerances with their source\n"
    "missing.csv            days of the clinic's schedule in the span without a check, from the\n"
    "                       log's first check to its last check or event\n"
    "superseded_checks.csv  records that were corrected, withdrawn or read again, as they were\n"
    "superseded_events.csv  events likewise\n"
    "held_back.csv          rows that contradict the record: a conflict, settled or not\n"
    "refused_lines.csv      lines of the logs that could not be read, with the reason";

/* From format 4 on. */
static const char or_left_out[] =
    "; left_out\n"
    "                       and entered_at: where a person left out a line that nobody can mend, by\n"
    "                       which entry of the ledger and when";

static const char further_files[] = "\n"
                                    "dispositions.csv       what people concluded of signals\n"
                                    "sources.csv            the log files with their SHA-256\n"
                                    "MANIFEST.sha256        SHA-256 of every file but itself\n";

static const char reading_column[] =
    "COLUMNS OF checks.csv\n"
    "reading           as logged, or derived: pulse-energy ratio is energy_mj / target_mj";

/* From format 3 on. */
static const char or_percent[] =
    ", or\n"
    "                  energy_pct / 100 where one of these isn't logged";

static const char columns[] =
    "\n"
    "tolerance_...     in force that day, as the clinic entered it\n"
    "role              charted; retest (a repeat within 60 minutes of a check outside tolerance or\n"
    "                  beyond the limits of a single check; where repeats are the day's routine,\n"
    "                  of one outside tolerance only) and as_left (read after an adjustment) enter\n"
    "                  no point\n"
    "fill, stretch     number of the gas fill; of the part of it between cleanings and the like\n"
    "fill_age_days     days since the refill; where it is not known (fill_age_known no) since the\n"
    "                  fill's first check\n"
    "target_mj         of high_voltage: the target energy that the voltage held, where it is logged\n"
    "segment           number of the baseline in limits.json that judges the point\n"
    "baseline          used: the point entered it; else why not. Where limits.json has read_today,\n"
    "                  of the record as it is now: a check that was corrected or withdrawn since\n"
    "                  may have been left out, or used, as it was\n"
    "point_...         the day's point, in the row of its first check: number of its checks, mean\n"
    "                  reading, mean fill age, and the value as charted\n"
    "moving_range      distance of point_value from the point before it\n"
    "judged            rules (all of them; of tracker_radial and tracker_vector only their limit),\n"
    "                  limit (3 sigma only, inside the baseline), no\n"
    "not_judged        why not: no_baseline; other_target (step 4); fill_age_unknown; fill_too_old\n"
    "                  (more than a day older than oldest_age_days of limits.json)\n"
    "source, file, line, digest   where the check stands in the clinic's log and ledger; source 0\n"
    "                  and no line, here and in the other tables, where it was typed in or corrected\n"
    "                  by hand (superseded_checks.csv has the line of what it replaces)\n\n";

static const char shows[] =
    "WHAT EACH CHECK SHOWS, AND WHAT IT CANNOT\n"
    "Go into the folder first (cd FOLDER). Then: sha256sum -c MANIFEST.sha256\n"
    "                  No file was damaged or altered since the manifest was made. Whoever alters a\n"
    "                  file can make a new manifest: that this does not show.\n"
    "There as well: sha256sum MANIFEST.sha256, against digits on paper\n"
    "                  Those digits were printed when the folder was made. Where they are the same,\n"
    "                  and the check above passes, every file is the one that was handed over.\n"
    "                  Without the clinic's ledger nothing else guards evidence.pdf, and whatever no\n"
    "                  line below is about.\n"
    "Steps 1 to 7      Points, limits and signals follow from the readings in checks.csv. They do\n"
    "                  not show that the readings are those of the log, nor what the words of\n"
    "                  evidence.pdf say.\n"
    "A log file beside it (log-..., if it went along)\n"
    "                  Its SHA-256 is the one in sources.csv; the rows of checks.csv name file and\n"
    "                  line of it, so that any reading can be looked up where it was first written.\n"
    "beamtally verify FOLDER\n"
    "                  It goes through the manifest and steps 1 to 7, numbers to a billionth. It\n"
    "                  looks whether readings.csv has each check of checks.csv, with the same time,\n"
    "                  place in the log and readings. It holds log files against sources.csv. And it\n"
    "                  prints the digits of the manifest, to be compared with paper.\n"
    "The same with the clinic's ledger at hand\n"
    "                  Every CSV, limits.json and this file are made again as of the ledger state.\n"
    "                  The first line that differs is named. While nothing was entered since,\n"
    "                  evidence.pdf is made again as well. This shows what a new manifest hides.\n"
    "The ledger state  Which record the folder was made of. It is the same in an altered folder.\n\n";

static const char steps[] =
    "HOW TO FIND LIMITS AND SIGNALS AGAIN\n"
    "Open checks.csv in a spreadsheet (UTF-8, commas, decimal point). Keep the rows of one\n"
    "characteristic and one segment.\n"
    "1. slope_per_day, where limits.json says adjusted true. Of the days whose baseline is \"used\" and\n"
    "   whose fill age is known, take reading and fill_age_days of the rows with role charted (of a\n"
    "   day with several, their means), each less its mean in its stretch:\n"
    "     slope_per_day = sum(age * reading) / sum(age * age);  mean_age_days = mean fill age\n"
    "   It is adjusted where there are 3 fills and 10 degrees of freedom or more (days less stretches\n"
    "   less 1) and ";

static const char next_steps[] =
    "\n"
    "2. point_value. Where adjusted:\n"
    "     point_value = point_reading - slope_per_day * (point_age_days - mean_age_days)\n"
    "   else point_value = point_reading.\n"
    "3. Centre = mean of point_value of the rows whose baseline is \"used\".\n"
    "   MRbar = mean distance of each of these from the one before it.\n";

/* Of formats 1 and 2, whose digits agree with limits.json to the seventh. */
static const char rounded_limits[] =
    "   sigma = MRbar / 1.128379   (d2 of two values is 2 / sqrt(pi))\n"
    "   lcl, ucl = centre -/+ 3 sigma;  mr_ucl = 3.266532 MRbar\n";

static const char exact_limits[] =
    "   sigma = MRbar / d2, with d2 = 2 / sqrt(pi) = 1.12837916709551\n"
    "   lcl, ucl = centre -/+ 3 sigma\n"
    "   mr_centre = MRbar;  mr_ucl = D4 MRbar, with D4 = 1 + 3 sqrt(pi/2 - 1) = 3.26653191928860\n"
    "   Tables print these as 1.128 and 3.267: with those you agree with limits.json to 3 digits.\n";

static const char after_limits[] =
    "   Two cases need more than that:\n"
    "   - Where limits.json has read_today, a correction or a late line has come since. The frozen\n"
    "     numbers stand beside what the period gives on the record as it is now.\n"
    "   - Where a later baseline begins inside the period of an earlier one, the later has the rows\n"
    "     from there on. Take the rows of the whole period by their dates, point_value by the slope\n"
    "     of step 1. Leave out days with a reading outside tolerance; where adjusted, also those of\n"
    "     unknown fill age. Where screen is true, leave out what lies beyond 3 sigma and find all of\n"
    "     it again, until nothing lies there. A pass that would leave out more than a tenth of the\n"
    "     period's points in all is not made.\n"
    "4. z = (point_value - centre) / sigma, for rows that are judged. In Phase II, on either side:\n"
    "   WE1 beyond 3; WE2 two of three beyond 2; WE3 four of five beyond 1; WE4 eight in a row on\n"
    "   one side. The point that completes the pattern must itself lie there. The first points of\n"
    "   Phase II count as a pattern's last: two of two, four of four. Rows with judged \"no\" are\n"
    "   stepped over. Inside the baseline (judged \"limit\") WE1 is the only rule. tracker_radial and\n"
    "   tracker_vector have one rule only: beyond their limit (step 7), which signals.csv calls WE1.\n"
    "   other_target: a high_voltage whose target_mj (of a day with several rows, their mean) differs\n"
    "   by over 1 % from target_mj of limits.json, the median of the baseline's days (of an even\n"
    "   number the lower of the middle two); after the baseline also from that of each of the last 8\n"
    "   days that have one and are not other_target: a target that creeps is followed. Days of\n"
    "   another target are in no baseline.\n";

static const char further_steps[] =
    "5. CUSUM: high = max(0, high + z - k), low = max(0, low - z - k), from 0 at the first point\n"
    "   after the baseline, from headstart * h at each restart of limits.json; above h is a signal.\n"
    "6. ALARM_LIMIT and ALARM_CUSUM: |z| beyond alarm.limit, a sum above alarm.h. TOLERANCE: a\n"
    "   reading of the day outside tolerance. Take alarm.limit, alarm.h and alarm.t2_limit as given:\n"
    "   a spreadsheet can't find them. They are solved, the uncertainty of the baseline counted in,\n"
    "   so that all charts of the laser together give the clinic's budget of false alarms a year.\n"
    "7. tracker_radial: point_reading = sqrt(x^2 + y^2) of the day's mean (x, y), limit radial_limit.\n"
    "     radial_limit: the radius that holds 99.73 % of the bivariate normal fitted to the (x, y) of\n"
    "     the baseline's used points; found numerically.\n"
    "   tracker_vector: T^2 = d' S^-1 d, d = (x, y) - mean, S the variances and covariance there.\n"
    "     Where from_differences is false, of m points used: phase2_limit = 2 (m+1)(m-1) / (m (m-2))\n"
    "     F(0.9973; 2, m-2), phase1_limit = (m-1)^2 / m Beta(0.9973; 1, (m-3)/2). Else S is half the\n"
    "     mean product of successive differences, f = 2 (m-1)^2 / (3m-4), phase2_limit =\n"
    "     (m+1)/m 2f/(f-1) F(0.9973; 2, f-1), phase1_limit = chi-square(0.9973; 2) = 11.829.\n"
    "     Where these are screened, it is by radial_limit and by phase1_limit.\n\n"
    "An individuals chart and its rules: Western Electric Co., Statistical Quality Control\n"
    "Handbook (1956). Limits are provisional where limits.json says frozen false.\n\n";

static const char cautions[] =
    "A chart is no substitute for the laser's own interlocks, the manufacturer's instructions or\n"
    "the responsible clinician. Nothing here is a figure to treat by. ArF lasers mean 193 nm\n"
    "ultraviolet, high voltage and toxic fluorine gas: only trained people, under local rules and\n"
    "the laser safety officer, do what a finding suggests.\n";

/* What the copies of the logs hold is nobody's choice but the log's. */
static void put_left_out(const bt_case *one, FILE *stream) {
  (void)fputs("\nLeft out", stream);
  (void)fputs(one->logs > 0 ? " of all but the log files:" : ":", stream);
  (void)fputs(one->with_remarks ? "" : " remarks, notes and other free texts;", stream);
  (void)fputs(one->with_operator ? "" : " operators and names of people;", stream);
  (void)fputs(" other lasers of the clinic.\nBeamtally keeps no patient data.\n", stream);
  if (one->with_look_back)
    (void)fputs(
        "The look-back list is the page \"Look-back list\" of evidence.pdf, before the method "
        "(bookmark\nof that name).\n",
        stream);
  if (one->logs == 0)
    return;
  (void)fputs(
      "Log files, copied whole as the clinic has them (log-NUMBER-NAME, number as in "
      "sources.csv),\nwith all their columns, remarks and names among them, and the rows of "
      "other lasers:\n",
      stream);
  for (size_t i = 0; i < one->logs; i++)
    (void)fprintf(stream, "  %s\n", one->log_names[i]);
}

enum { WIDTH = 99, INDENT = 3 }; /* of a step */

static bool is_adjusted(const bt_case *one, bt_characteristic characteristic) {
  return bt_characteristic_gas(characteristic) != BT_GAS_NONE &&
         bt_case_knows_characteristic(one->format, characteristic);
}

/* What is asked of a slope, and of which characteristics; folders of format 1 don't say the
 * latter. */
static bool put_which_adjusted(const bt_case *one, FILE *stream) {
  bt_text words = {0};
  size_t left = 0;
  for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++)
    left += is_adjusted(one, (bt_characteristic)c);
  bt_text_add(&words, "the slope differs from zero by its t test at 95 %.");
  if (one->format >= 2) {
    bt_text_add(&words, " This is asked of ");
    for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++)
      if (is_adjusted(one, (bt_characteristic)c))
        bt_text_format(&words, "%s%s", bt_characteristic_key((bt_characteristic)c),
                       --left > 1  ? ", "
                       : left == 1 ? " and "
                                   : "");
    bt_text_add(&words, " alone, which ageing gas changes. Any other characteristic is never "
                        "adjusted, even where such a slope of its own would pass that test.");
  }
  bool ok = bt_text_ok(&words);
  if (ok)
    emit_case_wrapped(bt_text_get(&words), strlen("   less 1) and "), INDENT, WIDTH, stream);
  bt_text_free(&words);
  return ok;
}

static void put_pulses(const bt_case *one, FILE *stream) {
  const bt_unit_setting *unit = bt_settings_unit(&one->unit->settings, one->unit->history.unit);
  if (unit != NULL && unit->pulses_per_day > 0)
    (void)fprintf(stream,
                  "This laser's fill_age_days are pulses since the refill by its counter, %.0f of "
                  "them a day.\nWhere that was not read (fill_age_known no) the age goes on by "
                  "elapsed time.\n\n",
                  unit->pulses_per_day);
}

bt_status bt_emit_case_readme(const bt_case *one, FILE *stream, bt_error *error) {
  char from[BT_TIME_TEXT], to[BT_TIME_TEXT], begins[BT_TIME_TEXT], grouped[BT_IN_FOURS_TEXT];
  (void)fprintf(stream,
                "Evidence for the manufacturer's engineer: %s, %s to %s.\nLedger state %s. "
                "Rows begin on %s, so that limits follow from them.\n\n",
                one->unit->history.unit, bt_time_day_iso(one->from, from),
                bt_time_day_iso(one->to - 1, to), bt_in_fours(one->unit->provenance.state, grouped),
                bt_time_day_iso(one->begins, begins));
  (void)fputs(files, stream);
  (void)fputs(one->format >= 4 ? or_left_out : "", stream);
  (void)fputs(further_files, stream);
  if (one->format >= 3)
    emit_case_numbers(one, stream);
  put_left_out(one, stream);
  (void)fputs("Text that a spreadsheet would take for a formula has an apostrophe before it.\n"
              "Times are the clinic's wall clock.\n\n",
              stream);
  if (one->format >= 3 && !emit_case_not_held(one, stream))
    return bt_fail_memory(error);
  (void)fputs(reading_column, stream);
  (void)fputs(one->format >= 3 ? or_percent : "", stream);
  (void)fputs(columns, stream);
  put_pulses(one, stream);
  if (one->format >= 3 && !emit_case_signal_columns(one, stream))
    return bt_fail_memory(error);
  (void)fputs(shows, stream);
  (void)fputs(steps, stream);
  if (!put_which_adjusted(one, stream))
    return bt_fail_memory(error);
  (void)fputs(next_steps, stream);
  (void)fputs(one->format >= 3 ? exact_limits : rounded_limits, stream);
  (void)fputs(after_limits, stream);
  emit_case_further_rules(one, stream);
  (void)fputs(further_steps, stream);
  if (one->format >= 3)
    emit_case_not_found_again(one, stream);
  (void)fputs(cautions, stream);
  return ferror(stream) == 0
             ? BT_OK
             : bt_fail(error, BT_SYSTEM, "the output could not be written; is the disk full?");
}
