/* What is asked of a jump back behind signals where no event is recorded. */
#include "report_sentences.h"

void report_jump_words(const bt_study *of, bt_time from, bt_time to, bt_text *out) {
  const bt_time *at = of->points.at;
  const bt_jump *newest = NULL;
  char earlier[REPORT_DATE_TEXT], later[REPORT_DATE_TEXT];
  for (size_t i = 0; i < of->jumps_n; i++)
    if (at[of->jumps[i].at] >= from && at[of->jumps[i].at] < to)
      newest = &of->jumps[i];
  if (newest == NULL)
    return;
  bt_text_format(out, "Between the points of %s and %s it went by ",
                 report_short_date(at[newest->before], earlier),
                 report_short_date(at[newest->at], later));
  report_add_size(of, newest->by, out);
  bt_text_format(out,
                 ", away from its signals on the %s side, and no event is recorded there: was "
                 "something done that is not recorded?",
                 report_side_word(newest->by > 0 ? BT_LOW : BT_HIGH));
}
