/* What to do where the newest checks count for tolerance alone because of their gas: mostly a
 * refill that nobody noted, and until then nothing newer is looked at. */
#include "report_next.h"

/* The newest points that no rule judges for their fill's age. */
static size_t aside_of(const bt_study *of) {
  const bt_series *points = &of->points;
  size_t n = 0;
  while (of->adjusted && n < points->n &&
         (points->flags[points->n - 1 - n] & (BT_POINT_TOO_OLD | BT_POINT_UNKNOWN_AGE)) != 0)
    n++;
  return n;
}

/* The one with the most; NULL: the newest count everywhere. */
static const bt_study *asking(const bt_unit_study *unit, size_t *n) {
  const bt_study *found = NULL;
  *n = 0;
  for (size_t i = 0; i < unit->studies_n; i++) {
    size_t aside = aside_of(unit->studies[i]);
    if (report_is_judged(unit->studies[i]) && aside > *n) {
      *n = aside;
      found = unit->studies[i];
    }
  }
  return found;
}

void report_gas_age_step(const bt_unit_study *unit, bool brief, bt_text *out) {
  size_t n = 0;
  const bt_study *of = asking(unit, &n);
  char day[REPORT_DATE_TEXT], age[REPORT_NUMBER_TEXT];
  if (of == NULL)
    return;
  size_t newest = of->points.n - 1;
  bool old = (of->points.flags[newest] & BT_POINT_TOO_OLD) != 0;
  bt_text_add(out, "Technician: ");
  if (n == 1)
    bt_text_format(out, "the check of %s is", report_short_date(of->points.at[newest], day));
  else
    bt_text_format(out, "the checks of the last %zu days with one are", n);
  bt_text_format(out, " judged by tolerance alone, because %s", n == 1 ? "its" : "their");
  if (old)
    bt_text_format(out, " gas is older than the limits know (%s days)",
                   report_number(of->points.fill_age_days[newest], 1, age));
  else
    bt_text_add(out, " refill is not known");
  bt_text_add(out, ": was the gas changed? Then note the refill");
  if (!brief) {
    bt_text_add(out, ", “beamtally event --unit ");
    bt_text_add_shell_word(out, unit->history.unit);
    bt_text_add(out, " --at WHEN --by NAME gas_refill”");
  }
  bt_text_add(out, ".");
}
