/* What every page or first page cautions of, and what to do on a failing morning. */
#include "report_sentences.h"

const char *const report_caution =
    "A chart is no substitute for the laser’s own interlocks, the manufacturer’s instructions or "
    "the responsible clinician.";

const char *const report_cautions_full =
    "A chart is no substitute for the laser’s own interlocks, the manufacturer’s instructions or "
    "the responsible clinician. ArF lasers mean 193 nm ultraviolet, high voltage and toxic fluorine "
    "gas: only trained people, under local rules and the laser safety officer, do what a finding "
    "suggests. Intended use: keeping and trending QA records. Beamtally commands no laser and is "
    "not intended to decide whether or how to treat; whether local law sees it otherwise is for the "
    "clinic’s responsible person. Control limits are not tolerances: a check outside tolerance stays "
    "one, whatever its chart shows.";

const char *const report_failure_sentence =
    "Follow the instructions for use and your failure procedure; the responsible person "
    "decides about treatment; do not rely on this program.";

/* Whether the newest check has a time of day, by which a retest is known. */
static bool has_clock(const bt_unit_study *unit) {
  const bt_history *history = &unit->history;
  return history->n == 0 || history->has_clock == NULL || history->has_clock[history->n - 1] != 0;
}

void report_failing_morning(const bt_unit_study *unit, report_words *words) {
  report_words_bold(words, "%s", report_failure_sentence);
  if (has_clock(unit))
    report_words_add(words, " A repeat within 60 minutes is a retest: it is kept and judged "
                            "against tolerance, never averaged with the check that failed. ");
  else
    report_words_add(words, " The log has no time of day, so a repeat cannot be told from a second "
                            "check: log the time of day. ");
  if (unit->settings.tell != NULL && *unit->settings.tell != '\0')
    report_words_add(words, "Whom to tell: %s. ", unit->settings.tell);
  else
    report_words_add(words, "Whom to tell: enter whom to tell in the settings. ");
  report_words_add(words, "Note what was done with “beamtally event”, and import the next log.");
}
