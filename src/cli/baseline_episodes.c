/* What a new baseline does to the episodes that are open: its border ends them, and its limits
 * judge the days behind it. */
#include "baseline.h"
#include "episode_parts.h"

#include <stdlib.h>
#include <string.h>

static bt_status study_one(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                           bt_time until, bt_unit_study **study, bt_error *error) {
  bt_study_request request = {
      .unit = unit, .until = until, .only_one = true, .characteristic = characteristic};
  return bt_study_unit(ledger, &request, study, error);
}

/* By the worst of their signals; those that are open are told one by one. */
static void count_past(const bt_study *of, size_t past[BT_ALARM + 1]) {
  for (size_t e = 0; e < of->episodes_n; e++)
    if (!bt_study_is_open(of, &of->episodes[e]))
      past[of->episodes[e].strength]++;
}

bt_status baseline_open_episodes(bt_ledger *ledger, const char *unit,
                                 bt_characteristic characteristic, bt_time until,
                                 open_episodes *open, bt_error *error) {
  bt_unit_study *study = NULL;
  size_t capacity = 0;
  *open = (open_episodes){0};
  bt_status status = study_one(ledger, unit, characteristic, until, &study, error);
  for (size_t e = 0; status == BT_OK && e < study->studies[0]->episodes_n; e++) {
    const bt_study *of = study->studies[0];
    const bt_episode *episode = &of->episodes[e];
    if (!bt_study_is_open(of, episode))
      continue;
    if (!bt_grow(&open->list, &capacity, open->n + 1, sizeof *open->list)) {
      status = bt_fail_memory(error);
      break;
    }
    open_episode *kept = &open->list[open->n++];
    *kept = (open_episode){.side = episode->side,
                           .from = of->points.at[episode->first],
                           .to = of->points.at[episode->last]};
    memcpy(kept->id, episode->id, sizeof kept->id);
  }
  if (status == BT_OK)
    count_past(study->studies[0], open->past);
  bt_unit_study_free(study);
  return status;
}

static const bt_episode *find_id(const bt_study *of, const char *id) {
  for (size_t e = 0; e < of->episodes_n; e++)
    if (strcmp(of->episodes[e].id, id) == 0)
      return &of->episodes[e];
  return NULL;
}

/* Whether no baseline judges that day any more, and from when on one does. */
static bool is_unjudged(const bt_study *of, bt_time at, bt_time *judged_from) {
  for (size_t p = 0; p < of->points.n; p++)
    if (of->points.at[p] >= at && of->points.segment[p] >= 0) {
      *judged_from = of->points.at[p];
      return p > 0 && of->points.at[p - 1] >= at;
    }
  return false;
}

/* Its first signal is gone, and its id with it. */
static void add_gone(const bt_study *of, const open_episode *was, const bt_episode *next,
                     bt_text *out) {
  char day[BT_TIME_TEXT];
  bt_time judged_from;
  bt_text_add(out, "is no more");
  if (is_unjudged(of, was->from, &judged_from))
    bt_text_format(out, " (no baseline judges the days before %s now)",
                   bt_time_day_iso(judged_from, day));
  if (next == NULL)
    bt_text_add(out, "; no signal of that side stands on its days\n");
  else
    bt_text_format(out, "; its days from %s on are now those of episode ",
                   bt_time_day_iso(of->points.at[next->first], day));
}

/* It has its id still: it ends at the border, or its newest signals are others by these limits. */
static void add_same(const bt_study *of, const bt_episode *same, const bt_episode *next,
                     bt_text *out) {
  char last[BT_TIME_TEXT];
  const char *day = bt_time_day_iso(of->points.at[same->last], last);
  if (next != NULL)
    bt_text_format(out, "ends on %s, at the border of this baseline; behind it stands episode ",
                   day);
  else if (bt_study_is_open(of, same))
    bt_text_format(out, "stays open; by its limits the newest signal is that of %s\n", day);
  else
    bt_text_format(out, "ends on %s; no signal of it stands after that\n", day);
}

/* What became of one that was open; *next is the episode that has its newer days now, or, where it
 * is no more, the first that has days of it; or NULL. */
static void add_change(const bt_study *of, const char *unit, const open_episode *was,
                       const bt_episode **next, bt_text *out) {
  char from[BT_TIME_TEXT], to[BT_TIME_TEXT];
  size_t others = 0;
  const bt_episode *same = find_id(of, was->id);
  *next = NULL;
  if (same != NULL && bt_study_is_open(of, same) && of->points.at[same->last] == was->to)
    return;
  bt_text_format(out, "  episode %s, open from %s to %s until now, ", was->id,
                 bt_time_day_iso(was->from, from), bt_time_day_iso(was->to, to));
  if (same != NULL) {
    *next = cli_episode_goes_on(of, same);
    add_same(of, same, *next, out);
  } else {
    *next = cli_episode_within(of, &was->side, was->from, was->to, &others);
    add_gone(of, was, *next, out);
  }
  if (*next == NULL)
    return;
  cli_add_episode(of, *next, out);
  cli_add_others(others, unit, out);
  if ((*next)->disposition != BT_NONE)
    bt_text_format(out, ": its conclusion goes along; its id is now %s\n", (*next)->id);
  else
    bt_text_format(out, ": `beamtally resolve %s`\n", (*next)->id);
}

static void add_counts(const size_t past[BT_ALARM + 1], bt_text *out) {
  bt_text_format(out, "%zu alarm%s and %zu notice%s", past[BT_ALARM],
                 past[BT_ALARM] == 1 ? "" : "s", past[BT_NOTICE], past[BT_NOTICE] == 1 ? "" : "s");
}

/* Pages of months that were issued tell the earlier ones. */
static void add_past(const bt_study *of, const open_episodes *before, bt_text *out) {
  size_t now[BT_ALARM + 1] = {0};
  count_past(of, now);
  if (now[BT_ALARM] == before->past[BT_ALARM] && now[BT_NOTICE] == before->past[BT_NOTICE])
    return;
  bt_text_add(out, "  past episodes are others by its limits: ");
  add_counts(now, out);
  bt_text_add(out, ", where there were ");
  add_counts(before->past, out);
  bt_text_add(out, ": `beamtally signals`\n");
}

bt_status baseline_describe_episodes(bt_ledger *ledger, const char *unit,
                                     bt_characteristic characteristic, bt_time until,
                                     const open_episodes *before, bt_text *out, bt_error *error) {
  bt_unit_study *study = NULL;
  bt_status status = study_one(ledger, unit, characteristic, until, &study, error);
  if (status != BT_OK)
    return status;
  const bt_study *of = study->studies[0];
  bool *told = bt_new(of->episodes_n, sizeof *told);
  for (size_t b = 0; told != NULL && b < before->n; b++) {
    const bt_episode *next, *same = find_id(of, before->list[b].id);
    add_change(of, unit, &before->list[b], &next, out);
    if (next != NULL)
      told[next - of->episodes] = true;
    if (same != NULL)
      told[same - of->episodes] = true;
  }
  for (size_t e = 0; told != NULL && e < of->episodes_n; e++)
    if (!told[e] && bt_study_is_open(of, &of->episodes[e])) {
      bt_text_add(out, "  by its limits a further episode is open: ");
      cli_add_episode(of, &of->episodes[e], out);
      bt_text_add(out, "\n");
    }
  add_past(of, before, out);
  if (told == NULL)
    status = bt_fail_memory(error);
  free(told);
  bt_unit_study_free(study);
  return status;
}
