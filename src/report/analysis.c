/* `analyse` as text: the sentences, the numbers, and the episodes of signals. */
#include "beamtally/report.h"
#include "report_episodes.h"
#include "report_facts.h"
#include "report_sentences.h"

static void add_facts(const bt_study *of, bt_text *out) {
  report_facts facts = {0};
  report_dates(of, NULL, 0, &facts);
  report_facts_collect(of, false, &facts);
  bt_text_add(out, "\nIn numbers\n");
  for (size_t i = 0; i < facts.n; i++) {
    bt_text head = {0};
    bt_text_format(&head, "  %s: ", facts.fact[i].label);
    /* A long label (a tolerance's source) has its value on the next line. */
    if (report_columns(bt_text_get(&head)) > 36) {
      report_wrap_plain(out, "  ", facts.fact[i].label);
      report_wrap_plain(out, "      ", facts.fact[i].value);
    } else {
      while (report_columns(bt_text_get(&head)) < 36 && bt_text_ok(&head))
        bt_text_add(&head, " ");
      report_wrap_plain(out, bt_text_get(&head), facts.fact[i].value);
    }
    report_text_pass(&head, out);
  }
  out->failed |= facts.failed;
  report_facts_free(&facts);
}

static void add_episode(const bt_study *of, const bt_episode *episode, bt_text *out) {
  const bt_disposition *disposition = report_disposition(of, episode);
  bt_text head = {0}, words = {0};
  char period[REPORT_DATE_TEXT];
  bt_text_format(
      &head, "  %s  %s  ", episode->id,
      report_short_period(of->points.at[episode->first], of->points.at[episode->last], period));
  report_episode_brief(of, episode, &words);
  bt_text_add(&words, ": ");
  report_rule_names(of, episode->rules, &words);
  report_wrap_plain(out, bt_text_get(&head), bt_text_get(&words));
  bt_text_clear(&words);
  if (disposition != NULL)
    report_concluded_words(of, episode, &words);
  else if (bt_study_is_open(of, episode))
    bt_text_format(&words,
                   "undecided; when it is known what it was: beamtally resolve %s --cause "
                   "TEXT --action TEXT --by NAME",
                   episode->id);
  else
    bt_text_add(&words, "undecided");
  report_wrap_plain(out, "            ", bt_text_get(&words));
  report_text_pass(&head, out);
  report_text_pass(&words, out);
}

/* Dispositions whose episode later entries took away: a correction, another baseline. */
static void add_left_alone(const bt_study *of, bt_text *out) {
  bool any = false;
  for (size_t d = 0; d < of->dispositions_n; d++) {
    const bt_disposition *disposition = &of->dispositions[d];
    bt_text head = {0}, words = {0};
    if (of->disposition_used[d])
      continue;
    if (!any)
      bt_text_add(out, "\nDispositions that later entries left without an episode\n");
    any = true;
    bt_text_format(&head, "  %s  ", disposition->episode);
    report_disposition_about(disposition, &words);
    bt_text_add(&words, ": ");
    report_disposition_words(disposition, &words);
    report_wrap_plain(out, bt_text_get(&head), bt_text_get(&words));
    report_text_pass(&head, out);
    report_text_pass(&words, out);
  }
}

/* Episodes that reach into [from, to). Their single points stand in the JSON and CSV forms. */
static void add_signals(const bt_study *of, bt_time from, bt_time to, bt_text *out) {
  size_t n = 0;
  bt_text_add(out, "\nSignals, those that belong together as one episode\n");
  report_wrap_plain(out, "  ",
                    "Open: signals in the last 8 points, as strong as the worst of these. Past: "
                    "none there; it was as strong as its worst signal.");
  for (size_t e = 0; e < of->episodes_n; e++) {
    const bt_episode *episode = &of->episodes[e];
    if (of->points.at[episode->last] < from || of->points.at[episode->first] >= to)
      continue;
    add_episode(of, episode, out);
    n++;
  }
  bt_text_add(out, n == 0 ? "  none\n" : "  (each point: --format csv or --format json)\n");
  add_left_alone(of, out);
}

/* The part of [*from, *to) that has points: their number, and *from and *to at its ends. Without
 * any, an end that nobody gave is that of the record. */
static size_t narrow(const bt_unit_study *study, const bt_series *points, bt_time *from,
                     bt_time *to) {
  size_t first = 0, end = points->n;
  while (first < end && points->at[first] < *from)
    first++;
  while (end > first && points->at[end - 1] >= *to)
    end--;
  if (end > first) {
    *from = points->at[first];
    *to = points->at[end - 1] + 1;
  } else {
    *from = *from > study->first_check ? *from : study->first_check;
    *to = *to < study->until ? *to : study->until;
  }
  return end - first;
}

/* What a part of the record shows, and what its state rests on all the same. */
static void add_span(const bt_study *of, size_t shown, bt_time from, bt_time to, bt_text *out) {
  char period[REPORT_DATE_TEXT];
  size_t all = of->points.n;
  if (shown == 0)
    bt_text_add(out, "no points in this span\n");
  else {
    bt_text_add(out, report_short_period(from, to - 1, period));
    bt_text_format(out, ", %zu ", shown);
    if (shown < all)
      bt_text_format(out, "of %zu ", all);
    bt_text_format(out, "%s\n", (shown < all ? all : shown) == 1 ? "point" : "points");
  }
  if (shown == all)
    return;
  bt_text words = {0};
  bt_text_format(&words,
                 "Only what is listed is cut to these days. Verdict, limits and numbers rest on "
                 "the whole record, %s.",
                 report_short_period(of->points.at[0], of->points.at[all - 1], period));
  report_wrap_plain(out, "", bt_text_get(&words));
  report_text_pass(&words, out);
}

bt_status bt_report_analysis(const bt_unit_study *study, const bt_study *of, bt_time from,
                             bt_time to, bt_text *out, bt_error *error) {
  report_words words = {0}, failing = {0}, basis = {0};
  bt_text banner = {0};
  report_wrap_plain(out, "", of->quantity.title);
  report_wrap_plain(out, "", study->history.unit);
  report_banner_words(study, bt_study_shown_verdict(of), of, &banner);
  report_wrap_plain(out, "", bt_text_get(&banner));
  size_t n = narrow(study, &of->points, &from, &to);
  add_span(of, n, from, to, out);
  if (report_fails(of)) {
    report_failing_morning(study, &failing);
    bt_text_add(out, "\n");
    report_wrap_plain(out, "", bt_text_get(&failing.text));
  }
  report_shows(study, of, REPORT_SPEAKS_OF_LOG, from, to, &words);
  bt_text_add(out, "\n");
  report_wrap_plain(out, "", bt_text_get(&words.text));
  report_basis(of, &basis);
  if (!bt_text_empty(&basis.text)) {
    bt_text_add(out, "\n");
    report_wrap_plain(out, "", bt_text_get(&basis.text));
  }
  add_facts(of, out);
  if (report_is_judged(of))
    add_signals(of, from, to, out);
  bt_text_add(out, "\n");
  report_wrap_plain(out, "", report_caution);
  out->failed |= words.text.failed || failing.text.failed || basis.text.failed || banner.failed;
  report_words_free(&words);
  report_words_free(&failing);
  report_words_free(&basis);
  bt_text_free(&banner);
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}
