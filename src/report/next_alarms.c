/* What to do next of episodes of which nobody has written what they were: those open, and alarms
 * that ended. */
#include "report_next.h"

#include "beamtally/report.h"

/* The worst open episode that nobody has concluded anything of, the newest among equals; and how
 * many there are. */
static const bt_episode *undecided(const bt_unit_study *unit, const bt_study **whose, size_t *n) {
  const bt_episode *worst = NULL;
  bt_strength strongest = BT_QUIET;
  *n = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    for (bt_side side = BT_LOW; side <= BT_HIGH; side++) {
      const bt_episode *episode = report_open_on(of, side);
      if (episode == NULL || report_disposition(of, episode) != NULL)
        continue;
      ++*n;
      bt_strength open = bt_study_open_strength_on(of, side);
      if (worst == NULL || open > strongest) {
        worst = episode;
        strongest = open;
        *whose = of;
      }
    }
  }
  return worst;
}

/* ", and 1 other as well". */
static void add_others(size_t n, bt_text *out) {
  if (n > 1)
    bt_text_format(out, ", and %zu other%s as well", n - 1, n == 2 ? "" : "s");
}

/* A list without the laser's name would hold those of others as well. */
static void add_command(const bt_unit_study *unit, bool open, bt_text *out) {
  bt_text_format(out, "“beamtally signals%s --unit ", open ? " --open" : "");
  bt_text_add_shell_word(out, unit->history.unit);
  bt_text_add(out, "”.");
}

void report_resolve_step(const bt_unit_study *unit, bool brief, bt_text *out) {
  const bt_study *of = NULL;
  size_t n = 0;
  const bt_episode *episode = undecided(unit, &of, &n);
  if (episode == NULL)
    return;
  if (brief) {
    bt_text_format(out, "Responsible person, when it is known: write down what episode %s was",
                   episode->id);
    add_others(n, out);
    bt_text_add(out, ".");
    return;
  }
  bt_text_format(
      out,
      "Responsible person, when it is known what episode %s was (%s, %s, %s side): write it down: "
      "“beamtally resolve %s --cause TEXT --action TEXT --by NAME”.",
      episode->id, of->quantity.title, report_open_word(of, episode),
      report_side_word(episode->side), episode->id);
  if (n > 1) {
    bt_text_format(out, " In all %zu open episodes wait for that: those that are “undecided” in ",
                   n);
    add_command(unit, true, out);
  }
}

/* An alarm that ended at `since` or later, undecided. */
static bool is_asked(const bt_study *of, const bt_episode *episode, bt_time since) {
  return report_is_judged(of) && episode->strength == BT_ALARM && !bt_study_is_open(of, episode) &&
         report_disposition(of, episode) == NULL && of->points.at[episode->last] >= since;
}

/* The newest of them; and how many there are. */
static const bt_episode *newest(const bt_unit_study *unit, bt_time since, const bt_study **whose,
                                size_t *n) {
  const bt_episode *found = NULL;
  *n = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    const bt_study *of = unit->studies[i];
    for (size_t e = 0; e < of->episodes_n; e++) {
      const bt_episode *episode = &of->episodes[e];
      if (!is_asked(of, episode, since))
        continue;
      ++*n;
      if (found == NULL || of->points.at[episode->last] > (*whose)->points.at[found->last]) {
        found = episode;
        *whose = of;
      }
    }
  }
  return found;
}

bool report_asks_what_it_was(const bt_study *of, bt_time since) {
  bool asks = false;
  for (size_t e = 0; e < of->episodes_n; e++)
    asks |= is_asked(of, &of->episodes[e], since);
  return asks;
}

void report_ended_step(const bt_unit_study *unit, bt_time since, bool brief, bt_text *out) {
  const bt_study *of = NULL;
  char period[REPORT_DATE_TEXT];
  size_t n = 0;
  const bt_episode *episode = newest(unit, since, &of, &n);
  if (episode == NULL)
    return;
  if (brief) {
    bt_text_format(out, "Responsible person: write down what the alarm %s of %s that ended%s was",
                   episode->id, of->quantity.title,
                   bt_study_ended_by(of, episode) == NULL ? ""
                   : bt_study_ended_in_part(of, episode)  ? " by a restart and by readings,"
                                                          : " by a restart, not by readings,");
    add_others(n, out);
    bt_text_add(out, ".");
    return;
  }
  (void)report_short_period(of->points.at[episode->first], of->points.at[episode->last], period);
  bt_text_format(
      out, "Responsible person: write down what the alarm of %s was that has ended (%s side, %s, ",
      of->quantity.title, report_side_word(episode->side), period);
  report_count(out, report_alarms_of(of, episode).n, "alarm point", "alarm points");
  if (bt_study_ended_by(of, episode) != NULL) {
    bt_text_add(out, "; ");
    (void)report_add_ended(of, episode, false, out);
  }
  bt_text_format(out, "): “beamtally resolve %s --cause TEXT --action TEXT --by NAME”.",
                 episode->id);
  if (n > 1) {
    bt_text_format(out,
                   " In all %zu alarms that ended from %s on wait for that: those that are “past "
                   "alarm; undecided” in ",
                   n, report_short_date(since, period));
    add_command(unit, false, out);
  }
}
