/* evidence without all that it needs: one message that names whatever is missing, and for each
 * laser in question the command to type, with what was given in it and a first day to begin with.
 *
 * That day is the earliest of: the days on which a change that the drift names may have begun, or
 * one before an event of the last three months that moved the readings, and the first points of
 * open alarms and notices. Without any of them the day of the last check outside tolerance. A month
 * before that, so that the case shows what was usual; else the last three months. Common practice,
 * no source. */
#include "evidence.h"

#include <math.h>
#include <string.h>

enum { MONTH_DAYS = 30, QUIET_DAYS = 90, FEW_UNITS = 4 };

/* The earliest day found so far, and of which characteristic. */
typedef struct earliest {
  bool found;
  bt_time at;
  const char *title;
  const char *what;
} earliest;

static void take(earliest *of, bt_time at, const bt_study *study, const char *what) {
  if (of->found && of->at <= at)
    return;
  *of = (earliest){.found = true, .at = at, .title = study->quantity.title, .what = what};
}

static bool is_late(const bt_unit_study *unit, const bt_drift *drift) {
  return drift->before.until > unit->last_check - QUIET_DAYS * BT_DAY;
}

static void take_changes(const bt_unit_study *unit, earliest *of) {
  const bt_unit_drift *drift = unit->drift;
  for (size_t i = 0; drift != NULL && i < drift->n; i++) {
    const bt_drift *one = &drift->drift[i];
    if (one->use == BT_DRIFT_LOOKED_AT && one->moved.changed)
      take(of, (bt_time)floor(one->moved.from) * BT_DAY, one->study,
           "the earliest day that `beamtally drift` gives for its change");
    if (one->use == BT_DRIFT_LOOKED_AT && (one->before.changed || one->before.went_on) &&
        is_late(unit, one))
      take(of, (bt_time)floor(one->before.moved.from) * BT_DAY, one->study,
           one->before.changed ? "the earliest day of the change that an event brought back"
                               : "the earliest day of the change before an event moved it");
  }
}

static void take_episodes(const bt_unit_study *unit, earliest *of) {
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *study = unit->studies[i];
    for (size_t e = 0; e < study->episodes_n; e++)
      if (bt_study_is_open(study, &study->episodes[e]))
        take(of, study->points.at[study->episodes[e].first], study,
             study->episodes[e].strength == BT_ALARM ? "the first day of an open alarm"
                                                     : "the first day of an open notice");
  }
}

static void take_failures(const bt_unit_study *unit, earliest *of) {
  earliest last = {0};
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *study = unit->studies[i];
    size_t outside = study->tolerance.last_outside;
    if (outside != BT_NONE && (!last.found || study->checks.at[outside] > last.at))
      last = (earliest){true, study->checks.at[outside], study->quantity.title,
                        "the day of the last check outside tolerance"};
  }
  *of = last;
}

/* ---- What is missing, and the command -------------------------------------------------------- */

static bool is_given(const char *option) {
  return option != NULL && *option != '\0';
}

/* " (in this ledger: "Suite North", "Suite South")" */
static void add_names(char *const *names, size_t n, bt_text *out) {
  for (size_t i = 0; i < n && i < FEW_UNITS; i++) {
    bt_text_add(out, i == 0 ? " (in this ledger: \"" : ", \"");
    (void)cli_plain(out, names[i], SIZE_MAX);
    bt_text_add(out, "\"");
  }
  if (n > FEW_UNITS)
    bt_text_format(out, " and %zu more", n - FEW_UNITS);
  bt_text_add(out, ")");
}

static void add_missing(const evidence_options *given, char *const *names, size_t n, bt_text *out) {
  bool unit = !is_given(given->unit), from = !is_given(given->from),
       output = !is_given(given->output);
  bt_text_add(out, "evidence needs ");
  if (unit) {
    bt_text_add(out, "--unit");
    add_names(names, n, out);
  }
  if (from)
    bt_text_format(out, "%s--from, the first day that the case shows",
                   !unit    ? ""
                   : output ? ", "
                            : ", and ");
  if (output)
    bt_text_format(out, "%s--output (or -o), the folder to make", unit || from ? ", and " : "");
  bt_text_add(out, ".");
}

static void add_word(const char *option, const char *word, bt_text *out) {
  if (!is_given(word))
    return;
  bt_text quoted = {0};
  bt_text_add_shell_word(&quoted, word);
  bt_text_format(out, " %s ", option);
  (void)cli_plain(out, bt_text_get(&quoted), SIZE_MAX);
  out->failed |= quoted.failed;
  bt_text_free(&quoted);
}

/* All that was given stays in it. */
static void add_command(const evidence_options *given, const char *unit, const char *from,
                        bt_text *out) {
  bt_text_add(out, "\n  beamtally evidence");
  add_word("--unit", unit, out);
  add_word("--from", from, out);
  add_word("--to", given->to, out);
  add_word("--event", given->event, out);
  if (strcmp(given->paper, "a4") != 0)
    add_word("--paper", given->paper, out);
  bt_text_add(out, given->sources ? " --with-sources" : "");
  bt_text_add(out, given->remarks ? " --with-remarks" : "");
  bt_text_add(out, given->operators ? " --with-operator" : "");
  bt_text_add(out, given->look_back ? " --with-look-back" : "");
  add_word("-o", is_given(given->output) ? given->output : "case", out);
}

/* The day that the record suggests, and why. */
static const char *add_why(const bt_unit_study *unit, const earliest *of, char *from,
                           bt_text *out) {
  char day[BT_TIME_TEXT];
  bt_time last = unit->last_check;
  bt_time first = of->found ? of->at - MONTH_DAYS * BT_DAY : last - QUIET_DAYS * BT_DAY;
  if (first < unit->first_check)
    first = unit->first_check;
  (void)bt_time_day_iso(first, from);
  if (of->found)
    bt_text_format(out,
                   "The record suggests %s, a month before %s (%s, %s), so that it shows what was "
                   "usual as well. To type:",
                   from, bt_time_day_iso(of->at, day), of->title, of->what);
  else
    bt_text_add(out, "No signal is open in this record, and no check was outside tolerance; for "
                     "its last three months, type:");
  return from;
}

static bt_status suggest_day(const cli_context *cli, bt_ledger *ledger,
                             const evidence_options *given, const char *unit, bt_text *out,
                             bt_error *error) {
  bt_unit_study *study = NULL;
  earliest of = {0};
  char from[BT_TIME_TEXT];
  bt_study_request request = {.unit = unit, .until = cli_today_ends(cli)};
  bt_drift_request drift = {0};
  bt_status status = bt_study_unit(ledger, &request, &study, error);
  if (status == BT_OK && study->has_check)
    status = bt_study_drift(ledger, &drift, study, error);
  if (status == BT_OK && !study->has_check)
    status =
        bt_fail(error, BT_NOTFOUND,
                "the log of \"%s\" holds no check yet, so there is no case to make; `beamtally "
                "import FILE` brings its checks in",
                unit);
  if (status == BT_OK) {
    take_changes(study, &of);
    take_episodes(study, &of);
    if (!of.found)
      take_failures(study, &of);
    add_command(given, unit, add_why(study, &of, from, out), out);
  }
  bt_unit_study_free(study);
  return status;
}

/* Of a fleet only how to go on: a look at each laser takes its time. */
static bt_status suggest(const cli_context *cli, bt_ledger *ledger, const evidence_options *given,
                         char *const *names, size_t n, bt_text *out, bt_error *error) {
  bt_status status = BT_OK;
  add_missing(given, names, n, out);
  if (n > FEW_UNITS) {
    bt_text_add(out, is_given(given->from)
                         ? " To type, with the laser's name:"
                         : " With the laser's name alone it works a first day out:");
    add_command(given, "NAME", given->from, out);
    return BT_OK;
  }
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    bt_text_add(out, n > 1 ? "\n" : " ");
    if (n > 1) {
      (void)cli_plain(out, names[i], SIZE_MAX);
      bt_text_add(out, ": ");
    }
    if (is_given(given->from)) {
      bt_text_add(out, "To type:");
      add_command(given, names[i], given->from, out);
    } else
      status = suggest_day(cli, ledger, given, names[i], out, error);
  }
  return status;
}

bool evidence_is_complete(const evidence_options *given) {
  return is_given(given->unit) && is_given(given->from) && is_given(given->output);
}

cli_exit evidence_suggest(const cli_context *cli, const evidence_options *given) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  char **names = NULL;
  size_t n = 0;
  bt_text words = {0};
  bt_text_add(&words, "beamtally: ");
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = cli_units(ledger, is_given(given->unit) ? given->unit : NULL, &names, &n, &error);
  if (status == BT_OK)
    status = suggest(cli, ledger, given, names, n, &words, &error);
  bt_text_add(&words, "\n");
  if (status == BT_OK && !bt_text_ok(&words))
    status = bt_fail_memory(&error);
  if (status == BT_OK)
    (void)cli_put_seen(bt_text_get(&words), stderr);
  cli_exit result = status == BT_OK ? CLI_USAGE : cli_error(&error);
  bt_text_free(&words);
  bt_names_free(names, n);
  bt_ledger_close(ledger);
  return result;
}
