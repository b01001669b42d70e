/* `runlength` as text: charts used together, and charts that keep a budget of false signals. */
#include "beamtally/report.h"
#include "report_sentences.h"

static void add_cusum(double k, double h, double headstart, bt_text *out) {
  char number[REPORT_NUMBER_TEXT];
  bt_text_format(out, "CUSUM k = %s", report_plain(k, number));
  bt_text_format(out, ", h = %s", report_plain(h, number));
  if (headstart > 0)
    bt_text_format(out, ", headstart %s of h", report_plain(headstart, number));
}

static void add_set_head(const bt_run_set *set, bt_text *out) {
  const bt_joint_run *first = &set->row[0];
  bt_text head = {0};
  if (first->charts > 1)
    bt_text_format(
        &head, "Used together on %zu charts that are independent of one another: ", first->charts);
  else
    bt_text_add(&head, "Used together on one chart: ");
  if (set->chart.rules != 0)
    bt_rule_keys(set->chart.rules, ", ", &head);
  if (set->chart.has_cusum) {
    bt_text_add(&head, set->chart.rules != 0 ? "; " : "");
    add_cusum(set->chart.k, set->chart.h, set->chart.headstart, &head);
  }
  bt_text_format(&head, " (simulated %zu times, centre and sigma known)", first->runs);
  report_wrap_plain(out, "", bt_text_get(&head));
  report_text_pass(&head, out);
}

static const char *margin(double half, char *buffer) {
  return report_number(half, half < 0.995 ? 2 : 1, buffer);
}

static void add_row(const bt_run_set *set, const bt_joint_run *run, bt_text *out) {
  char shift[REPORT_NUMBER_TEXT], mean[REPORT_NUMBER_TEXT], error[REPORT_NUMBER_TEXT];
  bt_text words = {0};
  if (run->shift == 0)
    bt_text_add(&words, "a first false signal of any of them");
  else
    bt_text_format(&words, "with a shift of %s sigma%s a first signal",
                   report_plain(run->shift, shift), run->charts > 1 ? " on one of the charts" : "");
  bt_text_format(&words,
                 " after about %s checks on average (the simulation’s 95" REPORT_JOIN "%% "
                 "margin: ±" REPORT_JOIN "%s); half of them within ",
                 report_about(run->arl, mean), margin(run->arl_margin, error));
  report_count(&words, run->p50, "check", "checks");
  bt_text_add(&words, ", one in twenty within ");
  report_count(&words, run->p5, "check", "checks");
  bt_text_add(&words, ".");
  report_wrap_plain(out, run->shift == 0 ? "  In control  " : "  Shifted     ",
                    bt_text_get(&words));
  if (run->shift == 0 && set->checks_a_month > 0) {
    bt_text_clear(&words);
    report_rate_words(set->checks_a_month, set->a_year, &words);
    bt_text_add(&words, ".");
    report_wrap_plain(out, "  Your rate   ", bt_text_get(&words));
  }
  report_text_pass(&words, out);
}

bt_status bt_report_run_set(const bt_run_set *set, bt_text *out, bt_error *error) {
  if (set->n > 0)
    add_set_head(set, out);
  for (size_t i = 0; i < set->n; i++)
    add_row(set, &set->row[i], out);
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}

static void add_chart(const bt_run_chart *chart, bt_text *out) {
  char number[REPORT_NUMBER_TEXT];
  switch (chart->method) {
  case BT_RUN_OF_RULES:
    bt_rule_keys(chart->rules, ", ", out);
    break;
  case BT_RUN_OF_CUSUM:
    add_cusum(chart->k, chart->h, chart->headstart, out);
    break;
  case BT_RUN_OF_EWMA:
    bt_text_format(out, "EWMA lambda = %s", report_plain(chart->lambda, number));
    bt_text_format(out, ", limit = %s", report_plain(chart->limit, number));
    break;
  }
}

/* The first one in words: what to set, what it costs, what it gives. */
static void add_best(const bt_budget *budget, const bt_suggestion *best, bt_text *out) {
  char shift[REPORT_NUMBER_TEXT], number[REPORT_NUMBER_TEXT];
  bt_text words = {0};
  add_chart(&best->chart, &words);
  if (budget->charts > 1)
    bt_text_format(&words, ", on each of the %zu charts: together ", budget->charts);
  else
    bt_text_add(&words, ": ");
  report_rate_words(budget->checks_a_month, best->together_a_year, &words);
  bt_text_format(&words, ". A shift of %s sigma is found after about %s checks on average",
                 report_plain(budget->shift, shift), report_about(best->arl_shifted, number));
  if (best->days_shifted < 1.5)
    bt_text_add(&words, ", which is about a day");
  else
    bt_text_format(&words, ", which is about %s days",
                   report_number(best->days_shifted, 0, number));
  if (best->arl_later > best->arl_shifted + 0.05)
    bt_text_format(&words,
                   ", if it is there from the first check on; one that comes later after "
                   "about %s checks",
                   report_about(best->arl_later, number));
  bt_text_add(&words, ".");
  report_wrap_plain(out, "Best:  ", bt_text_get(&words));
  report_text_pass(&words, out);
}

static void add_question(const bt_budget *budget, size_t n, bt_text *out) {
  char a_year[REPORT_NUMBER_TEXT], rate[REPORT_NUMBER_TEXT];
  bt_text head = {0};
  bt_text_format(&head, "%s at most %s false %s a year at %s %s a month",
                 n == 0 ? "No chart that is known here gives" : "Charts that give",
                 report_plain(budget->a_year, a_year), budget->a_year == 1 ? "signal" : "signals",
                 report_plain(budget->checks_a_month, rate),
                 budget->checks_a_month == 1 ? "check" : "checks");
  if (budget->charts > 1)
    bt_text_format(&head, " on %zu charts together", budget->charts);
  bt_text_add(&head, n == 0 ? "; allow more, or check less often for this purpose."
                            : "; sigma is the usual scatter of the readings.");
  report_wrap_plain(out, "", bt_text_get(&head));
  report_text_pass(&head, out);
}

bt_status bt_report_suggestions(const bt_budget *budget, const bt_suggestion *suggestions, size_t n,
                                bt_text *out, bt_error *error) {
  add_question(budget, n, out);
  if (n > 0) {
    bt_text_add(out, "\n");
    add_best(budget, &suggestions[0], out);
    bt_text_add(out, "\nEach that was looked at and keeps the budget, best first; used alone\n"
                     "  checks  days   later   a year  chart\n");
  }
  for (size_t i = 0; i < n; i++) {
    bt_text_format(out, "%8.1f%6.0f%8.1f%9.2f  ", suggestions[i].arl_shifted,
                   suggestions[i].days_shifted, suggestions[i].arl_later, suggestions[i].a_year);
    add_chart(&suggestions[i].chart, out);
    bt_text_add(out, "\n");
  }
  if (n > 0) {
    bt_text_add(out, "\n");
    report_wrap_plain(
        out, "",
        budget->charts > 1
            ? "\"A year\" is the false signals of one chart; the budget was divided among them."
            : "\"A year\" is the false signals. Several charts share a budget: --charts M divides it among M.");
    report_wrap_plain(
        out, "",
        "\"Checks\" is how many it takes on average to find a shift that is there from the "
        "first one on, as after a service, \"days\" the same in days; a headstart (both sums begin "
        "part of the way to h) and an EWMA's exact limits help there. A shift that comes when the "
        "chart has run for long takes as many as \"later\" says, or a little fewer. Centre and "
        "sigma are taken as known, checks as normally distributed and independent of one another; "
        "the options k, h, lambda and limit are explained where a chart is asked for by them "
        "(beamtally runlength --k 0.5 --h 5).");
  }
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}
