/* What an evidence folder needs beside its study: where its rows begin, digests, sources, days
 * without a check; and what is not to be told, taken out. */
#include "evidence.h"

#include "beamtally/drift.h"

#include <stdlib.h>
#include <string.h>

/* ---- Where rows begin ------------------------------------------------------------------------ */

/* The first day of the earliest baseline that judges a point from `begins` on. */
static bt_time begins_with(const bt_study *of, bt_time begins) {
  size_t point = bt_series_from(&of->points, begins);
  for (size_t s = 0; s < of->segments_n; s++) {
    const bt_segment *segment = &of->segments[s];
    if (segment->to > point && segment->baseline.from < begins && segment->from < segment->to)
      return segment->baseline.from;
  }
  return begins;
}

/* Rows that begin earlier may be judged by an earlier baseline: until nothing moves any more. */
static bt_time first_row(const bt_unit_study *study, bt_time from) {
  bt_time begins = from, before;
  do {
    before = begins;
    for (size_t s = 0; s < study->studies_n; s++)
      begins = begins_with(study->studies[s], begins);
  } while (begins != before);
  return begins;
}

/* ---- Sources --------------------------------------------------------------------------------- */

enum { N_NUMBER, N_NAME, N_KIND, N_COLUMNS };

typedef struct naming {
  bt_case *one;
  size_t at[N_COLUMNS];
} naming;

static bt_status name_columns(void *context, const char *const *names, size_t n, bt_error *error) {
  static const char *const wanted[] = {"number", "name", "kind"};
  naming *of = context;
  (void)error;
  cli_table_places(names, n, wanted, of->at, N_COLUMNS);
  return BT_OK;
}

static bt_status name_source(void *context, const bt_cell *cells, size_t n, bt_error *error) {
  naming *of = context;
  (void)n;
  const char *kind = cells[of->at[N_KIND]].text;
  if (kind != NULL && strcmp(kind, "typed") == 0)
    return BT_OK;
  for (size_t i = 0; i < of->one->sources_n; i++) {
    bt_case_source *source = &of->one->sources[i];
    if (source->number == cells[of->at[N_NUMBER]].integer && source->name == NULL &&
        (source->name = bt_copy(cells[of->at[N_NAME]].text)) == NULL)
      return bt_fail_memory(error);
  }
  return BT_OK;
}

static bt_status gather_sources(bt_ledger *ledger, bt_case *one, bt_error *error) {
  int64_t *numbers = NULL;
  size_t n = 0;
  naming of = {.one = one};
  const bt_table_sink sink = {.context = &of, .columns = name_columns, .row = name_source};
  bt_status status = bt_ledger_unit_sources(ledger, one->unit->history.unit, &numbers, &n, error);
  if (status == BT_OK && (one->sources = bt_new(n, sizeof *one->sources)) == NULL)
    status = bt_fail_memory(error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    one->sources[one->sources_n++].number = numbers[i];
  free(numbers);
  return status == BT_OK ? bt_ledger_table(ledger, BT_TABLE_SOURCES, &sink, error) : status;
}

/* ---- Days without a check -------------------------------------------------------------------- */

bt_status evidence_last_of_log(bt_ledger *ledger, const char *unit, bt_time *last,
                               bt_error *error) {
  bt_history all = {0};
  bt_status status = bt_ledger_history(ledger, unit, INT64_MAX, &all, error);
  *last = 0;
  if (status == BT_OK && all.n > 0)
    *last = all.at[all.n - 1];
  if (status == BT_OK && all.events_n > 0 && all.events[all.events_n - 1].time > *last)
    *last = all.events[all.events_n - 1].time;
  bt_history_free(&all);
  return status;
}

static bt_status gather_missing(bt_ledger *ledger, bt_case *one, bt_error *error) {
  const bt_history *history = &one->unit->history;
  size_t room = 0, i = 0;
  bt_time last;
  bt_status status = evidence_last_of_log(ledger, history->unit, &last, error);
  if (status != BT_OK || history->n == 0)
    return status;
  bt_time from = history->at[0] > one->from ? history->at[0] : one->from; /* no log, none missed */
  for (bt_time day = bt_day_of(from) * BT_DAY; day < one->to && day <= last; day += BT_DAY) {
    while (i < history->n && history->at[i] < day)
      i++;
    bool due = (one->unit->settings.weekdays >> bt_weekday_of(day) & 1U) != 0;
    if (!due || (i < history->n && history->at[i] < day + BT_DAY))
      continue;
    if (!bt_grow(&one->missing, &room, one->missing_n + 1, sizeof *one->missing))
      return bt_fail_memory(error);
    one->missing[one->missing_n++] = day;
  }
  return BT_OK;
}

static bt_status gather_ages(bt_case *one, bt_error *error) {
  const bt_history *history = &one->unit->history;
  int32_t *fill = bt_new(history->n, sizeof *fill);
  one->stretch = bt_new(history->n, sizeof *one->stretch);
  one->age_days = bt_new(history->n, sizeof *one->age_days);
  one->age_known = bt_new(history->n, sizeof *one->age_known);
  bool made =
      fill != NULL && one->stretch != NULL && one->age_days != NULL && one->age_known != NULL;
  bt_status status = made ? bt_fills_place(&one->unit->fills, history, fill, one->stretch,
                                           one->age_days, one->age_known, error)
                          : bt_fail_memory(error);
  const bt_unit_setting *setting = bt_settings_unit(&one->unit->settings, history->unit);
  if (status == BT_OK && setting != NULL && setting->pulses_per_day > 0)
    bt_fills_age_by_pulses(history, setting->pulses_per_day, fill, one->age_days, one->age_known);
  free(fill);
  return status;
}

static bt_status gather(bt_ledger *ledger, bt_case *one, bt_error *error) {
  one->begins = first_row(one->unit, one->from);
  bt_status status = evidence_digests(ledger, one->unit, &one->digest, error);
  if (status == BT_OK)
    status = gather_ages(one, error);
  if (status == BT_OK)
    status = gather_sources(ledger, one, error);
  if (status == BT_OK)
    status = gather_missing(ledger, one, error);
  return status;
}

/* ---- What is not told ------------------------------------------------------------------------ */

static void blank(char *text) {
  if (text != NULL)
    *text = '\0';
}

static void scrub_study(bt_study *of, bool with_remarks, bool with_operator) {
  for (size_t s = 0; s < of->segments_n; s++) {
    if (!with_operator)
      blank(of->segments[s].baseline.by);
    if (!with_remarks)
      blank(of->segments[s].baseline.why);
  }
  for (size_t d = 0; d < of->dispositions_n; d++) {
    if (!with_operator)
      blank(of->dispositions[d].by);
    if (!with_remarks) {
      blank(of->dispositions[d].cause);
      blank(of->dispositions[d].action);
    }
  }
}

static void scrub(bt_unit_study *study, bool with_remarks, bool with_operator) {
  for (size_t s = 0; s < study->studies_n; s++)
    scrub_study(study->studies[s], with_remarks, with_operator);
  for (size_t c = 0; c < study->corrections_n; c++) {
    bt_correction *correction = &study->corrections[c];
    if (!with_operator)
      blank(correction->by);
    if (!with_remarks) {
      blank(correction->why);
      blank(correction->changes);
    }
  }
  for (size_t e = 0; e < study->history.events_n && !with_remarks; e++) {
    free((void *)(uintptr_t)study->history.events[e].note);
    study->history.events[e].note = NULL;
  }
}

/* ---- The study ------------------------------------------------------------------------------- */

/* Of the span and of that number; else, an event that is a further note of another is that one. */
static bt_status find_event(bt_ledger *ledger, bt_case *one, int64_t number, bt_error *error) {
  const bt_history *history = &one->unit->history;
  bt_event asked = {0};
  bt_status status = BT_OK;
  if (number == 0)
    return BT_OK;
  for (size_t e = 0; e < history->events_n; e++)
    if (history->events[e].number == number && history->events[e].time >= one->from)
      one->event = &history->events[e];
  if (one->event == NULL)
    status = bt_ledger_find_event(ledger, number, &asked, error);
  if (status != BT_OK && status != BT_NOTFOUND && status != BT_REFUSED)
    return status;
  for (size_t e = 0; e < history->events_n && one->event == NULL && status == BT_OK; e++)
    if (history->events[e].time == asked.time && history->events[e].kind == asked.kind &&
        asked.time >= one->from && bt_same_name(asked.unit, history->unit))
      one->event = &history->events[e];
  bt_event_free(&asked);
  return one->event != NULL
             ? BT_OK
             : bt_fail(error, BT_NOTFOUND,
                       "there is no event %lld of \"%s\" within the span; `beamtally event --list "
                       "--unit \"%s\"` lists them with their numbers",
                       (long long)number, history->unit, history->unit);
}

bt_status evidence_study(bt_ledger *ledger, const char *unit, int64_t event, bt_case *one,
                         bt_unit_study **study, bt_error *error) {
  bt_study_request request = {
      .unit = unit, .until = one->to, .concluded_until = INT64_MAX, .case_format = one->format};
  const bt_drift_request drift = {.with_operator = false};
  bt_status status = bt_study_unit(ledger, &request, study, error);
  if (status != BT_OK)
    return status;
  one->unit = *study;
  status = find_event(ledger, one, event, error);
  if (status == BT_OK)
    status = gather(ledger, one, error);
  scrub(*study, one->with_remarks, one->with_operator);
  return status == BT_OK ? bt_study_drift(ledger, &drift, *study, error) : status;
}
