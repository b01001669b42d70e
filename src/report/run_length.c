/* `runlength` as text: for each chart what it costs in control, how soon it finds a shift, and a
 * table of both. */
#include "beamtally/report.h"
#include "report_sentences.h"

#include <stdio.h>

const char *report_about(double mean, char *buffer) {
  if (mean >= 1e6) {
    (void)snprintf(buffer, REPORT_NUMBER_TEXT, "%.*f million", mean < 1e7 ? 1 : 0, mean / 1e6);
    return buffer;
  }
  return report_number(mean, mean < 9.95 ? 1 : 0, buffer);
}

static void add_rules(const bt_run_chart *chart, bt_text *out) {
  bt_text head = {0};
  size_t n = 0, named = 0;
  for (size_t i = 0; i < BT_RULE_COUNT; i++)
    n += (chart->rules & bt_rule_table[i].bit) != 0;
  bt_text_add(&head, n == 1 ? "Zone rule " : "Zone rules ");
  for (size_t i = 0; i < BT_RULE_COUNT; i++)
    if ((chart->rules & bt_rule_table[i].bit) != 0) {
      bt_text_format(&head, "%s%s", report_list_join(named++, n), bt_rule_table[i].key);
    }
  bt_text_add(&head, n == 1 ? ", each side by itself" : " used together, each side by itself");
  report_wrap_plain(out, "", bt_text_get(&head));
  for (size_t i = 0; i < BT_RULE_COUNT; i++)
    if ((chart->rules & bt_rule_table[i].bit) != 0) {
      bt_text_clear(&head);
      bt_text_format(&head, "  %s  ", bt_rule_table[i].key);
      report_wrap_plain(out, bt_text_get(&head), bt_rule_table[i].words);
    }
  report_text_pass(&head, out);
}

static void add_cusum(const bt_run_chart *chart, bt_text *out) {
  char k[REPORT_NUMBER_TEXT], h[REPORT_NUMBER_TEXT], headstart[REPORT_NUMBER_TEXT];
  bt_text head = {0};
  bt_text_format(&head, "CUSUM, %s: k = %s, h = %s, ",
                 chart->one_sided ? "the high side alone" : "both sides", report_plain(chart->k, k),
                 report_plain(chart->h, h));
  if (chart->headstart > 0)
    bt_text_format(&head, "begun with a headstart of %s of h",
                   report_plain(chart->headstart, headstart));
  else
    bt_text_add(&head, "no headstart");
  report_wrap_plain(out, "", bt_text_get(&head));
  report_wrap_plain(out, "  ",
                    "Each side adds up by how much more than k sigma a check lies from the centre, "
                    "and never falls below 0; it signals above h sigma.");
  if (chart->headstart > 0)
    report_wrap_plain(out, "  ", "With a headstart both sums begin part of the way to h.");
  report_text_pass(&head, out);
}

static void add_ewma(const bt_run_chart *chart, bt_text *out) {
  char lambda[REPORT_NUMBER_TEXT], limit[REPORT_NUMBER_TEXT];
  bt_text head = {0};
  bt_text_format(&head, "EWMA, both sides: lambda = %s, limit = %s, %s limits",
                 report_plain(chart->lambda, lambda), report_plain(chart->limit, limit),
                 chart->constant_limits ? "constant" : "exact");
  report_wrap_plain(out, "", bt_text_get(&head));
  report_wrap_plain(out, "  ",
                    "A moving average: the newest check has the weight lambda, older ones fade. It "
                    "signals beyond so many of its own sigma.");
  report_wrap_plain(out, "  ",
                    chart->constant_limits
                        ? "Constant limits are those of a long run, also for the first checks."
                        : "Exact limits are narrower for the first checks, as the average is.");
  report_text_pass(&head, out);
}

/* The row that the sentence on shifts is about: 1 sigma, else the last one; NULL without any. */
static const bt_run_length *shifted(const bt_run_table *table) {
  const bt_run_length *found = NULL;
  for (size_t i = 0; i < table->n; i++) {
    if (table->row[i].shift == 1)
      return &table->row[i];
    if (table->row[i].shift != 0)
      found = &table->row[i];
  }
  return found;
}

static const bt_run_length *in_control(const bt_run_table *table) {
  for (size_t i = 0; i < table->n; i++)
    if (table->row[i].shift == 0)
      return &table->row[i];
  return NULL;
}

static void add_count(bt_text *out, const char *before, uint64_t n, const char *after) {
  bt_text_add(out, before);
  report_count(out, n, "check", "checks");
  bt_text_add(out, after);
}

static void add_control_words(const bt_run_length *of, bt_text *words) {
  char number[REPORT_NUMBER_TEXT];
  bt_text_format(words, "one false signal in about %s checks on average;",
                 report_about(of->arl, number));
  add_count(words, " half of them come within ", of->p50, ",");
  add_count(words, " one in twenty within ", of->p5, ".");
}

static void add_shift_words(const bt_run_length *of, bt_text *words) {
  char shift[REPORT_NUMBER_TEXT], number[REPORT_NUMBER_TEXT];
  bt_text_format(words, "a shift of %s sigma is found after about %s checks on average;",
                 report_plain(of->shift, shift), report_about(of->arl, number));
  add_count(words, " half the time within ", of->p50, ",");
  add_count(words, " nineteen times in twenty within ", of->p95, ".");
}

void report_rate_words(double checks_a_month, double a_year, bt_text *words) {
  char number[REPORT_NUMBER_TEXT];
  bt_text_format(words, "at %s %s a month about ", report_plain(checks_a_month, number),
                 checks_a_month == 1 ? "check" : "checks");
  if (a_year < 0.1)
    bt_text_format(words, "one false signal in %s years", report_number(1 / a_year, 0, number));
  else
    bt_text_format(words, "%s false signals a year",
                   report_number(a_year, a_year < 0.995 ? 2 : 1, number));
}

/* "3 %", "under 1 %": a probability that isn't none or all is not printed as such. */
static void add_percent(double probability, bt_text *words) {
  if (probability > 0 && probability < 0.005)
    bt_text_add(words, "under 1" REPORT_JOIN "%");
  else if (probability < 1 && probability > 0.995)
    bt_text_add(words, "over 99" REPORT_JOIN "%");
  else
    bt_text_format(words, "%.0f" REPORT_JOIN "%%", 100 * probability);
}

static void add_rate_words(const bt_false_signals *rate, bt_text *words) {
  report_rate_words(rate->checks_a_month, rate->a_year, words);
  bt_text_add(words, "; at least one within a month with ");
  add_percent(rate->within_month, words);
  bt_text_add(words, " probability, within a year with ");
  add_percent(rate->within_year, words);
  bt_text_add(words, ".");
}

static void add_estimated_words(const bt_estimated *of, bt_text *words) {
  char low[REPORT_NUMBER_TEXT], middle[REPORT_NUMBER_TEXT], high[REPORT_NUMBER_TEXT];
  bt_text_format(words,
                 "with centre and sigma from %zu points it depends on the baseline: half of such "
                 "baselines give one false signal in %s checks or sooner, half of them later "
                 "(the median); ten of a hundred one in %s or sooner, ten one in %s or later.",
                 of->n, report_about(of->arl_50, middle), report_about(of->arl_10, low),
                 report_about(of->arl_90, high));
}

static void add_sentences(const bt_run_table *table, bt_text *out) {
  const bt_run_length *control = in_control(table), *shift = shifted(table);
  bt_text words = {0};
  if (table->wanted_arl > 0) {
    char wanted[REPORT_NUMBER_TEXT];
    bt_text_format(&words, "%s was found for one false signal in %s checks.",
                   table->chart.method == BT_RUN_OF_CUSUM ? "h" : "the limit",
                   report_plain(table->wanted_arl, wanted));
    report_wrap_plain(out, "  Asked for   ", bt_text_get(&words));
    bt_text_clear(&words);
  }
  if (control != NULL) {
    add_control_words(control, &words);
    report_wrap_plain(out, "  In control  ", bt_text_get(&words));
    bt_text_clear(&words);
  }
  if (table->rate.checks_a_month > 0) {
    add_rate_words(&table->rate, &words);
    report_wrap_plain(out, "  Your rate   ", bt_text_get(&words));
    bt_text_clear(&words);
  }
  if (table->estimated.n > 0) {
    add_estimated_words(&table->estimated, &words);
    report_wrap_plain(out, "  Estimated   ", bt_text_get(&words));
    bt_text_clear(&words);
  }
  if (shift != NULL) {
    add_shift_words(shift, &words);
    report_wrap_plain(out, "  Shifted     ", bt_text_get(&words));
  }
  report_text_pass(&words, out);
}

/* A number of the table; of a million and more in millions, so that columns stay apart. */
static const char *cell(double value, int decimals, char *buffer, bool *millions) {
  bool large = value >= 1e6;
  *millions = *millions || large;
  (void)snprintf(buffer, REPORT_NUMBER_TEXT, "%.*f%s",
                 !large        ? decimals
                 : value < 1e7 ? 1
                               : 0,
                 large ? value / 1e6 : value, large ? " M" : "");
  return buffer;
}

static void add_table(const bt_run_table *table, bt_text *out) {
  bool millions = false;
  bt_text_add(out, "\n  Checks to the first signal\n"
                   "  shift of the mean     average   spread   5 % within   half   95 % within\n");
  for (size_t i = 0; i < table->n; i++) {
    const bt_run_length *of = &table->row[i];
    char shift[REPORT_NUMBER_TEXT], label[REPORT_NUMBER_TEXT + 16], of_five[REPORT_NUMBER_TEXT];
    char mean[REPORT_NUMBER_TEXT], spread[REPORT_NUMBER_TEXT], of_half[REPORT_NUMBER_TEXT];
    char of_most[REPORT_NUMBER_TEXT];
    (void)snprintf(label, sizeof label, "%s sigma", report_plain(of->shift, shift));
    if (of->shift == 0)
      (void)snprintf(label, sizeof label, "none (in control)");
    /* A minus takes three bytes and one column. */
    int pad = 19 - (int)report_columns(label);
    bt_text_format(out, "  %s%*s %9s %8s %12s %6s %13s\n", label, pad > 0 ? pad : 0, "",
                   cell(of->arl, 1, mean, &millions), cell(of->sdrl, 1, spread, &millions),
                   cell((double)of->p5, 0, of_five, &millions),
                   cell((double)of->p50, 0, of_half, &millions),
                   cell((double)of->p95, 0, of_most, &millions));
  }
  if (millions)
    bt_text_add(out, "  M: millions of checks\n");
}

static void add_chart(const bt_run_table *table, bt_text *out) {
  switch (table->chart.method) {
  case BT_RUN_OF_RULES:
    add_rules(&table->chart, out);
    break;
  case BT_RUN_OF_CUSUM:
    add_cusum(&table->chart, out);
    break;
  case BT_RUN_OF_EWMA:
    add_ewma(&table->chart, out);
    break;
  }
  bt_text_add(out, "\n");
  add_sentences(table, out);
  add_table(table, out);
  bt_text_add(out, "\n");
}

bt_status bt_report_run_lengths(const bt_run_table *tables, size_t n, bt_text *out,
                                bt_error *error) {
  for (size_t i = 0; i < n; i++)
    add_chart(&tables[i], out);
  if (n > 1)
    report_wrap_plain(out, "",
                      "Each of these charts is counted alone. Used together they signal at least "
                      "as often as the most talkative of them, true or false.");
  bool estimated = n > 0 && tables[0].estimated.n > 0;
  report_wrap_plain(
      out, "",
      estimated ? "Only the line \"Estimated\" counts with limits that come from so many checks; "
                  "all other numbers take centre (the usual value) and sigma (the usual scatter) "
                  "as known."
                : "These numbers take centre (the usual value) and sigma (the usual scatter) as "
                  "known. Limits from few checks are uncertain themselves, and the true rate of "
                  "false signals can be far higher or lower: --n N says how much.");
  report_wrap_plain(out, "",
                    "Checks are taken as normally distributed and independent of one another; "
                    "readings that follow each other, as gas ages, make false signals more "
                    "frequent. The average is of runs of very unequal length (spread is their "
                    "standard deviation): a first false signal often comes much sooner.");
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}
