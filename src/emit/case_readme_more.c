/* README.txt of an evidence folder, from format 3 on: how log files are numbered, what the log does
 * not hold, and what the folder alone can't show. */
#include "case_room.h"

enum { WIDTH = 96 };

void emit_case_numbers(const bt_case *one, FILE *stream) {
  if (one->sources_n == 0)
    return;
  (void)fputs(
      "\nThe number of a log file is the ledger's, which counts the files of all lasers and "
      "what is\ntyped in. Those that brought rows of this laser are",
      stream);
  for (size_t s = 0; s < one->sources_n; s++)
    (void)fprintf(stream, "%s %lld", s == 0 ? "" : ",", (long long)one->sources[s].number);
  (void)fputs(": what has another number brought no row of it.\n", stream);
}

static void put_lines(const char *words, size_t indent, FILE *stream) {
  emit_case_wrapped(words, 0, indent, WIDTH, stream);
  (void)fputc('\n', stream);
}

bool emit_case_not_held(const bt_case *one, FILE *stream) {
  bt_text words = {0};
  const char *meter = bt_case_meter_words(one);
  bt_text_add(&words, "No check of these rows has: ");
  (void)fputs("WHAT THE LOG DOES NOT HOLD\n", stream);
  if (bt_case_not_held(one, &words)) {
    bt_text_add(&words, ".");
    put_lines(bt_text_get(&words), 2, stream);
  }
  put_lines(bt_case_gas_words(one), 0, stream);
  if (meter != NULL)
    put_lines(meter, 0, stream);
  (void)fputs(
      "Calibration certificates of meters are not in it either. Ask the clinic for what you "
      "need.\n\n",
      stream);
  bool made = bt_text_ok(&words);
  bt_text_free(&words);
  return made;
}

static const char not_found_again[] =
    "WHAT CAN'T BE FOUND AGAIN FROM THIS FOLDER ALONE, AND WHY\n"
    "alarm.limit, alarm.h, alarm.t2_limit   solved by the program (step 6); what they lead to can be\n"
    "radial_limit      found numerically (step 7): by a program, not by a spreadsheet's formula\n"
    "dates of changes, forecasts, causes, their likelihoods and thresholds\n"
    "                  fits that evidence.pdf describes at its end; by a program only. The\n"
    "                  means before and after an event can be: of point_reading, moved as in step 2\n"
    "                  by the newest segment's slope. Left out are points that a screening left out,\n"
    "                  of another target, and, where moved, of unknown or too old a fill age; and a\n"
    "                  lone check outside tolerance whose retest of that day was inside\n"
    "before and after an event, and what page 1 says, of days before the first row\n"
    "                  those checks are not in the folder: ask for one with an earlier --from\n"
    "the frozen numbers, where limits.json has read_today\n"
    "                  of the record as it was when the baseline was frozen; this has it as it is\n"
    "role retest       where limits of a single check were used: they are not in the folder\n"
    "reading of fluence, where it follows from a spot or a test plate, and the dioptres\n"
    "                  the clinic's settings hold the beam and the plate; the threshold is named on\n"
    "                  page 1\n"
    "episode           an id from the ledger's own rule; what belongs to an episode is told\n"
    "digest, ledger state   of the ledger's entries, with what was left out here among them\n";

static const char by_the_schedule[] =
    "missing.csv       the days of the schedule, as the clinic entered it:";

void emit_case_not_found_again(const bt_case *one, FILE *stream) {
  static const char *const days[] = {"",    "mon", "tue", "wed",
                                     "thu", "fri", "sat", "sun"}; /* ISO weekdays, from 1 */
  uint32_t weekdays = one->unit->settings.weekdays;
  (void)fputs(not_found_again, stream);
  (void)fputs(by_the_schedule, stream);
  for (size_t d = 1; d < sizeof days / sizeof *days; d++)
    if ((weekdays >> d & 1U) != 0)
      (void)fprintf(stream, " %s", days[d]);
  (void)fputs(weekdays == 0 ? " none, so the file is empty\n\n" : "\n\n", stream);
}
