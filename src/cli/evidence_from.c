/* evidence without --from: a first day to begin with, and the command to type.
 *
 * The earliest of: the days on which a change that the drift names may have begun, or one before an
 * event of the last three months that moved the readings, and the first points of open alarms and
 * notices. Without any of them the day of the last check outside tolerance. A month before that, so
 * that the case shows what was usual; else the last three months. Common practice, no source. */
#include "evidence.h"

#include <math.h>
#include <stdlib.h>

enum { MONTH_DAYS = 30, QUIET_DAYS = 90 };

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
  return unit->history.events[drift->window.event].time > unit->last_check - QUIET_DAYS * BT_DAY;
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

static void say(const bt_unit_study *unit, const earliest *of, const char *output) {
  bt_text name = {0}, folder = {0};
  char from[BT_TIME_TEXT], day[BT_TIME_TEXT];
  bt_time last = unit->last_check;
  bt_time first = of->found ? of->at - MONTH_DAYS * BT_DAY : last - QUIET_DAYS * BT_DAY;
  if (first < unit->first_check)
    first = unit->first_check;
  bt_text_add_shell_word(&name, unit->history.unit);
  if (output != NULL)
    bt_text_add_shell_word(&folder, output);
  if (!bt_text_ok(&name) || !bt_text_ok(&folder))
    cli_say("evidence needs --from, the first day that the case shows");
  else if (of->found)
    cli_say("evidence needs --from, the first day that the case shows. The record suggests %s, a "
            "month before %s (%s, %s), so that it shows what was usual as well. To type:\n"
            "  beamtally evidence --unit %s --from %s -o %s",
            bt_time_day_iso(first, from), bt_time_day_iso(of->at, day), of->title, of->what,
            bt_text_get(&name), from, output != NULL ? bt_text_get(&folder) : "case");
  else
    cli_say("evidence needs --from, the first day that the case shows. No signal is open in this "
            "record, and no check was outside tolerance; for its last three months, type:\n"
            "  beamtally evidence --unit %s --from %s -o %s",
            bt_text_get(&name), bt_time_day_iso(first, from),
            output != NULL ? bt_text_get(&folder) : "case");
  bt_text_free(&name);
  bt_text_free(&folder);
}

cli_exit evidence_suggest_from(const cli_context *cli, const char *unit, const char *output) {
  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_unit_study *study = NULL;
  char *name = NULL;
  earliest of = {0};
  bt_status status = cli_open(cli, BT_LEDGER_READ, &ledger, &error);
  if (status == BT_OK)
    status = bt_ledger_find_unit(ledger, unit, &name, &error);
  bt_study_request request = {.unit = name, .until = cli_today_ends(cli)};
  bt_drift_request drift = {0};
  if (status == BT_OK)
    status = bt_study_unit(ledger, &request, &study, &error);
  if (status == BT_OK && study->has_check)
    status = bt_study_drift(ledger, &drift, study, &error);
  if (status == BT_OK && !study->has_check)
    status =
        bt_fail(&error, BT_NOTFOUND,
                "the log of \"%s\" holds no check yet, so there is no case to make; `beamtally "
                "import FILE` brings its checks in",
                name);
  if (status == BT_OK) {
    take_changes(study, &of);
    take_episodes(study, &of);
    if (!of.found)
      take_failures(study, &of);
    say(study, &of, output);
  }
  cli_exit result = status == BT_OK ? CLI_USAGE : cli_error(&error);
  bt_unit_study_free(study);
  free(name);
  bt_ledger_close(ledger);
  return result;
}
