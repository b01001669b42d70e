/* The words that pages and screens use, for those who read nothing but the summary: in order of the
 * alphabet. */
#include "report_pages.h"

#include "beamtally/report.h"

#include <ctype.h>
#include <string.h>

/* Word and meaning; SCREEN behind those that stand on no page of a month: with them the list would
 * need a page more. */
enum { WORD, MEANING, WHERE, PARTS };
#define SCREEN "screen"

static const char *const glossary[][PARTS] = {
    {"1 in 20, 1 in 2",
     "By a date: that a check outside tolerance has come by then has a chance of 5 % and of 50 %, if "
     "the drift goes on as fitted. One time in twenty it comes before the first day. No promise."},
    {"Ageing of the gas alone",
     "The change inside a fill less the lasting loss, which refills do not "
     "bring back."},
    {"Alarm", "A failed tolerance, or a limit that is meant to give no more false alarms a year "
              "than the settings allow."},
    {"As found, as left",
     "The last 8 points before an event, as whoever came found the laser; the "
     "first 8 from it on, as it was left.",
     SCREEN},
    {"Autocorrelation", "Lag-1: how alike neighbouring points are. Beyond its bound false alarms "
                        "come more often than the tables say."},
    {"Baseline",
     "The period that centre and σ come from. Provisional: suggested, the first points of "
     "the chart. Frozen: a person has named the period and why; limits then stay as they "
     "are until somebody freezes another."},
    {"Brown and Forsythe",
     "A test whether readings scatter more, or less, after an event than before it.", SCREEN},
    {"Capability", "How wide the tolerance is against the spread (Cp, Pp) and against the nearer "
                   "side (Cpk, Ppk). Not given while a signal is open."},
    {"Cavity",
     "The discharge chamber with the mirrors at its ends, between which the light is made."},
    {"Centre, σ", "Mean of the baseline; its standard deviation, estimated from moving ranges."},
    {"Change, likeliest day", "Reckoned back from all points; it lies between the days given with "
                              "95 %. Signals come later, when points stand out of their scatter."},
    {"Characteristic", "A measured quantity that is charted; those below by their names."},
    {"Control limits", "Centre ± 3σ (LCL, UCL): what the laser usually does. They say nothing of "
                       "what is allowed: that is the tolerance."},
    {"Covariate",
     "What readings may go along with and that is not the laser: temperature, humidity, "
     "the time of day, who checked.",
     SCREEN},
    {"CUSUM", "Running sum of small deviations to one side. It finds a small lasting shift "
              "sooner than single points do. CUSUM run began: the first point of the run that "
              "led to the signal, no date of a change."},
    {"Digest", "SHA-256: 64 digits computed from all bytes of a file. A file with other bytes has "
               "others."},
    {"Discharge voltage",
     "High voltage of the laser’s discharge. Where the laser holds its energy by "
     "it, it rises as gas and optics age."},
    {"Disposition", "What people concluded of an episode: its cause, what was done, who, when. "
                    "Undecided: nobody has concluded anything of it yet."},
    {"Energy demand", "The energy, or the fluence setting, that the laser is asked for."},
    {"Episode",
     "Signals of one characteristic and side, fewer than 8 quiet points apart. Open: one is "
     "among the last 8 points; the worst of these names it."},
    {"Event",
     "Something that was done to the laser: a gas refill, a service visit, a recalibration … "
     "“beamtally event --help” says what each kind is, and what follows from it.",
     SCREEN},
    {"EWMA", "A weighted mean that forgets the past slowly: λ is the newest point’s weight, L the "
             "width of its limits in σ. Drawn as a guide to the eye."},
    {"Fill, fill age", "The time between two gas refills; days since the refill. Moved to the mean "
                       "fill age: what the reading would be, were the fill as old as usual."},
    {"Fill’s end",
     "How old the gas gets before a refill: two fills at least, and one in fifty, got so old or "
     "older. Readings are at their worst then, so forecasts are of checks then."},
    {"Fitted line",
     "The mean up to a day and the straight line from then on that explain the "
     "readings best.",
     SCREEN},
    {"Fluence", "Energy on an area, as logged, or derived as the settings say."},
    {"Freeze",
     "To name the period that limits come from, and why (“beamtally baseline”): they stay "
     "as they are from then on, whatever is read later."},
    {"From centre",
     "Mean of the last 8 points, moved to the mean fill age where their chart is, less the centre of "
     "the baseline."},
    {"Gas supply",
     "Bottle, valves and lines that the fills come from; a refill does not renew them."},
    {"Headstart", "After a service or a restart the CUSUM begins at half its limit, so that a "
                  "change that was not cured shows sooner."},
    {"Interval", "(a to b) behind a number: where the true one lies, in 95 of 100 such statements.",
     SCREEN},
    {"Lane",
     "The rows of bars under a chart, one a rule: a bar stands where a point completed that rule.",
     SCREEN},
    {"Level", "What a fill reads at the mean fill age. Theil-Sen trend: the median of the slopes "
              "between all pairs of levels, which single bad ones hardly move."},
    {"Likelihood ratio", "How much better a change explains the readings than none does, as twice "
                         "the logarithm of their ratio; a change is spoken of only past the "
                         "threshold that is printed beside it."},
    {"Log file, version",
     "A log file counts once, by its name, however often it was imported. Grown or mended, it is "
     "another version of that log file; each version has a SHA-256 of its own.",
     SCREEN},
    {"Look-back list",
     "Days with a check since the last good one before a change, for whoever judges what they "
     "affect.",
     SCREEN},
    {"Moving range", "Distance between two neighbouring points."},
    {"No open signal", "The log holds signals, but none among the last 8 points. “No signal in the "
                       "log”: it holds none at all. Neither says that all is well with the laser."},
    {"No spread",
     "All readings of the baseline are alike, or logged with too few digits: there is no "
     "scatter to judge by, so no control chart."},
    {"Not judged",
     "Neither rules nor control limits look at it: a condition of the room, or "
     "readings that are all alike.",
     SCREEN},
    {"Onset", "The day from which a drift is reckoned to go on.", SCREEN},
    {"Open, past",
     "Of an episode. Open: a signal is among the last 8 points; past: none is, whether or not "
     "anybody did or wrote anything. A past one may be undecided, an open one concluded.",
     SCREEN},
    {"p", "How often chance alone would give as much. Baselines count as drifting below 0.01."},
    {"Phase I, Phase II", "The baseline’s own points; the points after it, which are judged."},
    {"Point", "What is charted: the mean of a day’s independent checks."},
    {"Pulse-energy ratio", "The energy that was read, divided by the one that was asked for."},
    {"Pulse-energy spread", "Standard deviation of single pulses’ energies, in % of their mean."},
    {"Resolve",
     "To write down what an episode was (“beamtally resolve”), see “Disposition”. It ends "
     "neither a signal nor a drift."},
    {"Retest", "A repeat within 60 minutes of a check outside tolerance or limits (of a single "
               "check, where a day has several); of tolerance only, where most days have "
               "such repeats. It is kept and judged against tolerance, never averaged."},
    {"Share a year",
     "Of the false alarms that the settings allow a laser in a year, those expected "
     "of this chart."},
    {"Signal, notice", "A rule or limit that is broken at a point. A notice is a classical rule: "
                       "on a laser that has not changed this happens several times a year."},
    {"Single look",
     "A question asked once: of a hundred such questions one gives a p under 0.01 by chance.",
     SCREEN},
    {"Step, drift, slope that has ended",
     "A step: another level from a day on, which does not go on by itself. A drift: it goes on "
     "rising or falling. A slope that has ended: it went for a while, and stays.",
     SCREEN},
    {"Support, strength",
     "Of a cause. Moderate: all that it needs is in the log. Strong: a further fact speaks for it. "
     "Weak: a fact speaks against it as a whole; with one for it as well, moderate. An event without "
     "effect speaks against a part of it alone and changes no strength. No probability, and no "
     "diagnosis. A weak cause is called possible, the others likely."},
    {"T²",
     "How far the tracker’s offset lies from its usual place, x and y taken together, measured "
     "by their usual scatter. It has no unit."},
    {"Tolerance", "What the clinic must keep, from the manufacturer or its own policy."},
    {"Tracker offset",
     "How far the tracker reads off its target, along x and y; radial: the length "
     "of that offset."},
    {"Variance", "The square of the standard deviation: how widely readings scatter.", SCREEN},
    {"WE1, WE2 …",
     "Western Electric rules by their numbers: WE1 a point beyond 3σ, WE2 two of three beyond 2σ, "
     "WE3 four of five beyond 1σ, WE4 eight in a row on one side of the centre.",
     SCREEN}};

const char report_words_at[] = "What words mean: “beamtally help words”.";

/* The next letter of a text, small; the apostrophe of print, which few keyboards have, as theirs.
 */
static int next_letter(const char **at) {
  static const char apostrophe[] = "’";
  size_t length = strlen(apostrophe);
  if (strncmp(*at, apostrophe, length) == 0) {
    *at += length;
    return '\'';
  }
  return tolower((unsigned char)*(*at)++);
}

static bool begins_with(const char *text, const char *word) {
  while (*word != '\0')
    if (*text == '\0' || next_letter(&text) != next_letter(&word))
      return false;
  return true;
}

/* Whether `text` has `word` in it, in any case of its letters. */
static bool has(const char *text, const char *word) {
  for (; *text != '\0'; text++)
    if (begins_with(text, word))
      return true;
  return *word == '\0';
}

/* Adds the entries whose word, or whose meaning, has it. */
static void add_entries(const char *word, int part, bt_text *out) {
  for (size_t i = 0; i < sizeof glossary / sizeof *glossary; i++)
    if (word == NULL || has(glossary[i][part], word)) {
      bt_text_format(out, "%s\n", glossary[i][WORD]);
      report_wrap_plain(out, "    ", glossary[i][MEANING]);
    }
}

/* The regular plurals of English, and what each takes the place of: "capabilities", "likeliest
 * analyses", "indexes", "covariates". */
static const struct {
  const char *plural, *singular;
} endings[] = {{"ies", "y"}, {"ses", "sis"}, {"es", ""}, {"s", ""}};

/* Adds the entries of what the word may be the plural of; two letters stand in too many words. */
static void add_of_singular(const char *word, int part, bt_text *out) {
  enum { LEAST_LETTERS = 3 };
  size_t before = out->length, length = strlen(word);
  for (size_t i = 0; i < sizeof endings / sizeof *endings && out->length == before; i++) {
    size_t ending = strlen(endings[i].plural);
    bt_text singular = {0};
    if (length < ending + LEAST_LETTERS || !has(word + length - ending, endings[i].plural))
      continue;
    bt_text_format(&singular, "%.*s%s", (int)(length - ending), word, endings[i].singular);
    add_entries(bt_text_get(&singular), part, out);
    out->failed = out->failed || singular.failed;
    bt_text_free(&singular);
  }
}

/* Of a word its own entries, or those of its singular; else those whose meaning speaks of it. */
bt_status bt_report_words(const char *word, bt_text *out, bt_error *error) {
  static const int parts[] = {WORD, MEANING};
  size_t before = out->length;
  for (size_t i = 0; i < sizeof parts / sizeof *parts && out->length == before; i++) {
    add_entries(word, parts[i], out);
    if (word != NULL && out->length == before)
      add_of_singular(word, parts[i], out);
  }
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}

void report_glossary(report_sheet *sheet) {
  static const report_column columns[] = {{0, "Word"}, {0.13, "What it means here"}};
  report_sheet_heading(sheet, "Glossary");
  report_sheet_heads(sheet, columns, 2);
  for (size_t i = 0; i < sizeof glossary / sizeof *glossary; i++)
    if (glossary[i][WHERE] == NULL)
      report_sheet_row(sheet, columns, 2, glossary[i]);
}
