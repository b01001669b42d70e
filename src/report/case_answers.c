/* Page 1 of a case: questions at the left and their answers beside them, in the largest type and
 * the widest gaps that leave the cautions their place on the same page. */
#include "report_case.h"

static const double label_width = 43;

static const struct {
  bt_style style;
  double gap;
} looks[] = {{BT_STYLE_TABLE, 2.0},   {BT_STYLE_TABLE, 1.2}, {BT_STYLE_TABLE, 0.7},
             {BT_STYLE_CAPTION, 1.6}, {BT_STYLE_FINE, 1.6},  {BT_STYLE_FINE, 1}};

bt_text *report_case_ask(case_answers *answers, const char *question) {
  answers->question[answers->n] = question;
  return &answers->words[answers->n++];
}

static double wrap_of(const case_pages *on) {
  return on->frame.right - on->frame.left - label_width;
}

static double height_of(const case_pages *on, const case_answers *answers, size_t i,
                        bt_style style) {
  double label =
      report_measure(on->builder, BT_STYLE_TABLE_HEAD, answers->question[i], label_width - 3)
          .height;
  double words =
      report_measure(on->builder, style, bt_text_get(&answers->words[i]), wrap_of(on)).height;
  return label > words ? label : words;
}

static bool fits(const case_pages *on, const case_answers *answers, size_t look, double bottom) {
  double y = on->y;
  for (size_t i = 0; i < answers->n; i++)
    if (answers->words[i].length > 0)
      y += height_of(on, answers, i, looks[look].style) + looks[look].gap;
  return y <= bottom;
}

void report_case_answers(case_pages *on, const case_answers *answers, double bottom) {
  size_t look = 0;
  while (look + 1 < sizeof looks / sizeof *looks && !fits(on, answers, look, bottom))
    look++;
  for (size_t i = 0; i < answers->n; i++) {
    if (!bt_text_ok(&answers->words[i]))
      report_no_memory(on->builder);
    if (answers->words[i].length == 0)
      continue;
    double height = height_of(on, answers, i, looks[look].style);
    report_case_room(on, height);
    (void)report_wrapped(on->builder, on->frame.left, on->y, label_width - 3, BT_STYLE_TABLE_HEAD,
                         BT_INK_TEXT, answers->question[i]);
    (void)report_wrapped(on->builder, on->frame.left + label_width, on->y, wrap_of(on),
                         looks[look].style, BT_INK_TEXT, bt_text_get(&answers->words[i]));
    on->y += height + looks[look].gap;
  }
}

void report_case_answers_free(case_answers *answers) {
  for (size_t i = 0; i < answers->n; i++)
    bt_text_free(&answers->words[i]);
}
