/* What to do next of limits that nobody has frozen. Those from days that drift would make the drift
 * the measure of all that follows: they are not to be frozen. */
#include "report_next.h"

static bool is_provisional(const bt_study *of) {
  const bt_segment *segment = bt_study_now(of);
  return report_has_limits(segment) && segment->provisional && !segment->stated;
}

bool report_is_shaky(const bt_study *of) {
  const bt_segment *segment = bt_study_now(of);
  return is_provisional(of) && segment->stability.n > 0 && segment->stability.drifting;
}

static bool is_asked(const bt_study *of, bool drifting) {
  return report_is_judged(of) && is_provisional(of) && report_is_shaky(of) == drifting;
}

static void add_titles(const bt_unit_study *unit, size_t n, bt_text *out) {
  enum { MOST_NAMES = 3 };
  size_t named = 0;
  if (n > MOST_NAMES) {
    bt_text_format(out, "%zu characteristics", n);
    return;
  }
  for (size_t i = 0; i < unit->studies_n; i++)
    if (is_asked(unit->studies[i], true)) {
      bt_text_format(out, "%s%s", report_list_join(named++, n), unit->studies[i]->quantity.title);
    }
}

void report_baseline_steps(const bt_unit_study *unit, bool drifting, bt_text *out) {
  size_t n = 0;
  for (size_t i = 0; i < unit->studies_n; i++)
    n += is_asked(unit->studies[i], drifting);
  if (n == 0)
    return;
  if (drifting) {
    bt_text_add(out, "Responsible person: the days that the provisional limits of ");
    add_titles(unit, n, out);
    bt_text_add(out, " come from drift themselves, so do not freeze them. Look at those days with "
                     "the manufacturer’s engineer, and choose a period without drift: “beamtally "
                     "baseline --from DATE --to DATE”.");
    return;
  }
  bt_text_add(out, "Responsible person: the limits of ");
  if (n == 1)
    bt_text_add(out, "one characteristic");
  else
    bt_text_format(out, "%zu characteristics", n);
  bt_text_add(out,
              " are provisional: when the laser is known to have been in order on the days that "
              "they come from, fix them (“freeze”) with “beamtally baseline”.");
}
