/* What a person types or pipes in: standard input as "-", numbers with a decimal comma, times with
 * a dot, the path of a log. */
#include "program.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static const char log_text[] = "date,time,unit,target_mj,energy_mj,energy_pct\n"
                               "2026-04-13,07:30,Room 1,1.61,1.605,99.7\n"
                               "2026-04-14,07:45,Room 1,1.61,1.612,100.1\n";

static char *folder_with_log(void) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", log_text);
  free(RUN_DONE(folder, "import", "log.csv"));
  return folder;
}

/* A run with that on standard input, which must end so and say this. */
#define PIPED(folder, text, status, said, ...)                                                     \
  piped((folder), (text), (status), (said), (const char *const[]){__VA_ARGS__, NULL})
static void piped(const char *folder, const char *text, int status, const char *said,
                  const char *const *words) {
  file_put(folder, "piped", text);
  char *input = path_in(folder, "piped");
  run_setting setting = {.folder = folder, .input = input};
  run_result result = run_with(&setting, words);
  cr_expect_eq(result.status, status, "%s: %d, %s%s", words[0], result.status, result.out,
               result.err);
  cr_expect(strstr(result.out, said) != NULL || strstr(result.err, said) != NULL,
            "\"%s\" is not in: %s%s", said, result.out, result.err);
  run_free(&result);
  free(input);
}

Test(typed, standard_input_is_read_wherever_a_file_is) {
  char *folder = folder_begin();
  PIPED(folder, log_text, DONE, "standard input: 2 rows, 2 new", "import", "-");
  PIPED(folder, log_text, DONE, "standard input: a log of checks, 2 rows", "columns", "-");
  file_put(folder, "log.csv", log_text);
  PIPED(folder, "[format]\nunit = Room 2\n[columns]\ndate = date\nenergy_mj = energy_mj\n", DONE,
        "log.csv: 2 rows, 2 new", "--ledger", "other.sqlite", "import", "--map", "-", "log.csv");
  PIPED(folder, "[unit 1]\nname = Room 1\n", DONE, "standard input: taken: 1 unit", "settings", "-",
        "--by", "KL", "--why", "first");
  PIPED(folder, "[unit 1]\nnam = Room 1\n", FAILED, "standard input, line 2: \"nam\" is no key",
        "settings", "-", "--by", "KL", "--why", "first");
  /* Nothing, as a broken pipeline gives, would take all settings out of force. */
  PIPED(folder, "", FAILED, "standard input is empty; nothing was changed", "settings", "-", "--by",
        "KL", "--why", "first");
  PIPED(folder, log_text, USAGE, "standard input can be read only once", "import", "--map", "-",
        "-");
  PIPED(folder, log_text, USAGE, "\"-\" is given 2 times", "import", "-", "-");
  PIPED(folder, log_text, USAGE, "standard input can be read only once", "columns", "--map", "-",
        "-");
  folder_end(folder);
}

#define CORRECT(at, ...)                                                                           \
  "correct", "--unit", "Room 1", "--at", at, __VA_ARGS__, "--by", "KL", "--why", "misread", "--yes"

Test(typed, a_comma_is_a_decimal_mark_where_it_can_be_nothing_else) {
  char *folder = folder_with_log();
  MUST_BE(folder, DONE, "energy_pct       99.7 -> 100.4",
          CORRECT("2026-04-13T07:30", "energy_pct=100,4"));
  MUST_BE(folder, USAGE, "energy_mj=1,605: 1,605 can be 1.605 or, with thousands, 1605; write",
          CORRECT("2026-04-13T07:30", "energy_mj=1,605"));
  MUST_BE(folder, DONE, "energy_mj        1.605 -> 1.601",
          CORRECT("2026-04-13T07:30", "energy_mj=1.601"));
  MUST_BE(folder, DONE, "nothing stored", "import", "--dry-run", "--max-refused", "12,5",
          "log.csv");
  MUST_BE(folder, USAGE, "--sigma: 1,234 can be 1.234 or, with thousands, 1234", "analyse",
          "--unit", "Room 1", "--characteristic", "energy_ratio", "--centre", "1", "--sigma",
          "1,234");
  folder_end(folder);
}

Test(typed, a_dot_may_stand_between_hour_and_minutes) {
  char *folder = folder_with_log();
  MUST_BE(folder, DONE, "corrected", CORRECT("2026-04-14T7.45", "energy_mj=1.613"));
  MUST_BE(folder, DONE, "corrected", CORRECT("2026-04-14 07.45", "energy_mj=1.614"));
  MUST_BE(folder, DONE, "2026-04-14T07:45 -> 2026-04-14T08:05:30",
          CORRECT("2026-04-14T07:45", "time=2026-04-14T8.05.30"));
#define EVENT(at) "event", "--unit", "Room 1", "--by", "KL", "service", "--at", at
  MUST_BE(folder, DONE, "noted", EVENT("2026-04-14 7.45"));
  MUST_BE(folder, USAGE, "did you mean 2026-04-13T07:45?", EVENT("13.04.2026 7.45"));
  MUST_BE(folder, USAGE, "did you mean 2026-04-13T07:45?", EVENT("13 April 2026 7:45"));
  MUST_BE(folder, USAGE, "did you mean 2026-04-13?", EVENT("13.04.2026"));
  MUST_BE(folder, USAGE, "April has 30 days", EVENT("31.04.2026 7:45"));
  MUST_BE(folder, USAGE, "a time is written like", EVENT("2026-04-13 7.5"));
  MUST_BE(folder, USAGE, "a time is written like", EVENT("2026-04-13 7.60"));
  MUST_BE(folder, USAGE, "did you mean 2026-04-13T07:30?",
          CORRECT("13.04.2026 7:30#1", "energy_mj=1.6"));
  MUST_BE(folder, USAGE, "did you mean 2026-04-13T07:30?",
          CORRECT("2026-04-13T07:30", "time=13.04.2026 7:30"));
  folder_end(folder);
}

Test(typed, the_log_whose_place_is_taken_may_be_named_by_its_path) {
  char *folder = folder_with_log();
  file_put(folder, "mended.csv",
           "date,time,unit,target_mj,energy_mj,energy_pct\n"
           "2026-04-13,07:30,Room 1,1.61,1.605,99.7\n");
  MUST_BE(folder, FAILED, "taken as other.csv, the name", "import", "--again", "--instead-of",
          "./logs/other.csv", "--by", "KL", "--why", "twice", "--yes", "mended.csv");
  MUST_BE(folder, DONE, "--instead-of ./logs/log.csv: taken as log.csv", "import", "--again",
          "--instead-of", "./logs/log.csv", "--by", "KL", "--why", "twice", "--yes", "mended.csv");
  folder_end(folder);
}

/* A diary that comes again, a note of it written later: one event with two notes, and no third. */
Test(typed, a_further_note_is_no_further_event) {
  char *folder = folder_with_log();
  file_put(folder, "diary.csv",
           "date,unit,event,note\n2026-04-14,Room 1,other,\n2026-04-15,Room 1,service,visit\n");
  free(RUN_DONE(folder, "import", "diary.csv"));
  file_put(folder, "diary.csv",
           "date,unit,event,note\n2026-04-14,Room 1,other,new lamp\n"
           "2026-04-15,Room 1,service,visit\n2026-04-16,Room 1,service,visit\n");
  free(RUN_DONE(folder, "import", "diary.csv"));
  file_put(folder, "diary.csv",
           "date,unit,event,note\n2026-04-14,Room 1,other,new lamp\n"
           "2026-04-15,Room 1,service,visit\n2026-04-16,Room 1,service,visit\n"
           "2026-04-14,Room 1,other,\n");
  MUST_BE(folder, DONE, "4 rows, 0 new, 4 already known", "import", "diary.csv");
  MUST_BE(folder, DONE, "Room 1: 3 events, 1 further note\n", "event", "--list");
  MUST_BE(folder, DONE, "     3  2026-04-14        (a further note of 1) other: new lamp\n",
          "event", "--list");
  MUST_BE(folder, DONE, "Room 1, other: 1 event, 1 further note\n     1  2026-04-14        other\n",
          "event", "--list", "other");
  MUST_BE(folder, DONE, "Room 1, gas bottle changed: 0 events\n", "event", "--list", "gas_bottle");
  folder_end(folder);
}
