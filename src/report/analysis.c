/* `analyse` as text: the sentences, the numbers, and every signalling point. */
#include "report_room.h"

static void add_facts(const bt_study *of, bt_text *out) {
  report_facts facts = {0};
  report_facts_collect(of, &facts);
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
    out->failed |= head.failed;
    bt_text_free(&head);
  }
  out->failed |= facts.failed;
  report_facts_free(&facts);
}

static void add_signal(const bt_study *of, size_t i, bt_side side, bt_text *out) {
  bt_text head = {0}, words = {0};
  char date[BT_TIME_TEXT], number[REPORT_NUMBER_TEXT];
  uint8_t bits = of->rules[side][i];
  bool alarm = (bits & BT_TOLERANCE_FAILED) != 0;
  bt_text_format(&head, "  %s  ", bt_time_day_iso(of->points.at[i], date));
  bt_text_format(&words, "%s, %s side, ", alarm ? "alarm" : "notice",
                 side == BT_LOW ? "low" : "high");
  bt_text_add(&words, report_number(of->points.value[i],
                                    bt_characteristic_decimals(of->characteristic), number));
  report_add_unit(&words, of->characteristic);
  bt_text_add(&words, ": ");
  report_rule_names(of, bits, &words);
  report_wrap_plain(out, bt_text_get(&head), bt_text_get(&words));
  out->failed |= head.failed || words.failed;
  bt_text_free(&head);
  bt_text_free(&words);
}

static void add_signals(const bt_study *of, bt_text *out) {
  size_t n = 0;
  bt_text_add(out, "\nSignals\n");
  for (size_t i = 0; i < of->points.n; i++)
    for (bt_side side = BT_LOW; side <= BT_HIGH; side++)
      if (of->rules[side][i] != 0) {
        add_signal(of, i, side, out);
        n++;
      }
  if (n == 0)
    bt_text_add(out, "  none\n");
}

bt_status bt_report_analysis(const bt_unit_study *study, const bt_study *of, bt_text *out,
                             bt_error *error) {
  report_words words = {0}, failing = {0}, basis = {0};
  bt_text banner = {0};
  char period[REPORT_DATE_TEXT];
  report_wrap_plain(out, "", bt_characteristic_title(of->characteristic));
  report_wrap_plain(out, "", study->history.unit);
  report_banner_words(study, of->verdict, of, &banner);
  report_wrap_plain(out, "", bt_text_get(&banner));
  size_t n = of->points.n;
  bt_time from = n > 0 ? of->points.at[0] : study->until - BT_DAY;
  bt_time to = n > 0 ? of->points.at[n - 1] + 1 : study->until;
  if (n > 0) {
    bt_text_add(out, report_period(from, to - 1, period));
    bt_text_add(out, ", ");
    report_count(out, n, "point", "points");
    bt_text_add(out, "\n");
  }
  if (report_is_failing(of->verdict)) {
    report_failing_morning(study, &failing);
    bt_text_add(out, "\n");
    report_wrap_plain(out, "", bt_text_get(&failing.text));
  }
  report_shows(of, from, to, &words);
  bt_text_add(out, "\n");
  report_wrap_plain(out, "", bt_text_get(&words.text));
  report_basis(of, &basis);
  if (basis.text.length > 0) {
    bt_text_add(out, "\n");
    report_wrap_plain(out, "", bt_text_get(&basis.text));
  }
  add_facts(of, out);
  add_signals(of, out);
  bt_text_add(out, "\n");
  report_wrap_plain(out, "", report_caution);
  out->failed |= words.text.failed || failing.text.failed || basis.text.failed || banner.failed;
  report_words_free(&words);
  report_words_free(&failing);
  report_words_free(&basis);
  bt_text_free(&banner);
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}
