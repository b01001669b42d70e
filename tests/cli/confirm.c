/* What settles or supersedes asks at a terminal, with what it will do; --yes answers; and a script,
 * which has no terminal, is never asked; and colour is for a terminal alone. The terminal is one
 * made for the test. */
#include "program.h"

#include <criterion/criterion.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Runs the command with a terminal on standard input, at which that line was typed. */
static run_result run_typed(const char *folder, const char *line, const char *const *words) {
  int master = posix_openpt(O_RDWR | O_NOCTTY);
  cr_assert_geq(master, 0);
  cr_assert_eq(grantpt(master), 0);
  cr_assert_eq(unlockpt(master), 0);
  run_setting setting = {.folder = folder, .input = ptsname(master)};
  int slave = open(setting.input, O_RDWR | O_NOCTTY); /* the line waits as long as it is open */
  cr_assert_geq(slave, 0);
  cr_assert_eq(write(master, line, strlen(line)), (ssize_t)strlen(line));
  run_result result = run_with(&setting, words);
  (void)close(slave);
  (void)close(master);
  return result;
}

typedef struct asked_case {
  const char *words[20];
  const char *shows[3]; /* what the question tells of the effect */
} asked_case;

static void check_asked(const char *folder, const asked_case *asked) {
  char *before = state_of(folder);
  run_result no = run_typed(folder, "no\n", asked->words);
  cr_expect_eq(no.status, FAILED, "%s: %d", asked->words[0], no.status);
  cr_expect_not_null(strstr(no.err, "Go on? [yes/no]"), "%s: %s", asked->words[0], no.err);
  cr_expect_not_null(strstr(no.err, "nothing was changed"), "%s: %s", asked->words[0], no.err);
  for (size_t i = 0; i < 3 && asked->shows[i] != NULL; i++)
    cr_expect_not_null(strstr(no.err, asked->shows[i]), "%s does not say \"%s\": %s",
                       asked->words[0], asked->shows[i], no.err);
  run_free(&no);
  char *after = state_of(folder);
  cr_expect_str_eq(before, after, "%s changed the ledger after a no", asked->words[0]);
  free(after);

  run_result yes = run_typed(folder, "yes\n", asked->words);
  cr_expect_eq(yes.status, DONE, "%s: %s", asked->words[0], yes.err);
  run_free(&yes);
  after = state_of(folder);
  cr_expect_str_neq(before, after, "%s did nothing after a yes", asked->words[0]);
  free(after);
  free(before);
}

static char *first_word(const char *text) {
  return strndup(text, strcspn(text, " \n"));
}

Test(confirm, what_settles_or_supersedes_asks_with_its_effect) {
  char *folder = folder_begin();
  demo_into(folder);
  file_put(folder, "new.ini", "[unit 1]\nname = Suite North\nbeam = flat_top\n");
  file_put(folder, "mm.ini",
           "[tolerance 1]\nunit = Suite North\ncharacteristic = tracker_x\nlow = -0.05\n"
           "high = 0.05\nsource = manual\n");

  char *listed = RUN_DONE(folder, "signals", "--open");
  char *at = strstr(listed, "248e856a");
  cr_assert_not_null(at, "the demo's episode is gone: %s", listed);
  free(listed);
  const asked_case cases[] = {
      {{"resolve", "248e856a", "--cause", "mirror dull", "--action", "cleaned", "--by", "KL"},
       {"Suite North, energy_ratio, low side", "mirror dull", "will show on every report"}},
      {{"baseline", "--unit", "Suite South", "--characteristic", "energy_ratio", "--from",
        "2025-04-01", "--to", "2025-08-31", "--by", "KL", "--why", "good"},
       {"Suite South, energy_ratio: a new baseline", "centre", "after 2025-08-31"}},
      {{"settings", "new.ini", "--by", "KL", "--why", "new"},
       {"- [tolerance", "- beam = gaussian", "+ beam = flat_top"}},
      {{"settings", "mm.ini", "--by", "KL", "--why", "in mm"},
       {"+ high = 0.05",
        "readings of tracker_x of Suite North lie outside -0.05 to 0.05 µm; is the "
        "tolerance in mm?"}},
      {{"report", "--month", "2026-09", "--unit", "Suite South", "--issue", "--by", "KL"},
       {"Suite South: the report of 2026-09 would be issued as revision 1"}},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
    check_asked(folder, &cases[i]);
  folder_end(folder);
}

/* The same question for a part of a month; the clock of these tests stands at 1 October. */
Test(confirm, a_month_that_is_not_over_is_issued_only_after_a_yes) {
  char *folder = folder_begin();
  demo_into(folder);
  const asked_case part = {
      {"report", "--month", "2026-10", "--unit", "Suite South", "--issue", "--by", "KL"},
      {"2026-10 is not over: the report goes up to 2026-10-01",
       "the report of 2026-10 would be issued as revision 1"}};
  run_result script = run_with(&(run_setting){.folder = folder}, part.words);
  cr_expect_eq(script.status, USAGE, "%s", script.err);
  cr_expect_not_null(strstr(script.err, "is not over"), "%s", script.err);
  cr_expect_not_null(strstr(script.err, "give --yes"), "%s", script.err);
  run_free(&script);
  check_asked(folder, &part);
  char *text = pdf_words(folder, "reports/suite-south-2026-10-rev1.pdf", NULL);
  cr_expect_not_null(strstr(text, "Revision 1, issued (month up to 1 Oct 2026)"), "%s", text);
  free(text);
  free(RUN_DONE(folder, "report", "--month", "2026-10", "--unit", "Suite South", "--issue", "--by",
                "KL", "--yes"));
  folder_end(folder);
}

/* On its last day a check may still come. */
Test(confirm, the_last_day_of_a_month_is_part_of_it) {
  static const char *const last_day[] = {"SOURCE_DATE_EPOCH=1790755200", NULL}; /* 30 September */
  static const char *const words[] = {"report",  "--month", "2026-09", "--unit", "Suite South",
                                      "--issue", "--by",    "KL",      NULL};
  char *folder = folder_begin();
  demo_into(folder);
  run_result script = run_with(&(run_setting){.folder = folder, .environment = last_day}, words);
  cr_expect_eq(script.status, USAGE, "%s", script.err);
  cr_expect_not_null(strstr(script.err, "2026-09 is not over: the report goes up to 2026-09-30, "
                                        "its last day, of which a check may still come; what"),
                     "%s", script.err);
  cr_expect_null(strstr(script.err, "each of its pages"), "no page says it: %s", script.err);
  run_free(&script);
  free(run_done(folder, words)); /* the day after */
  folder_end(folder);
}

/* Nothing came between the two: the question says so, and the page in one line. */
Test(confirm, an_issue_of_what_is_unchanged_says_so) {
  char *folder = folder_begin();
  demo_into(folder);
  const asked_case again = {
      {"report", "--month", "2026-09", "--unit", "Suite South", "--issue", "--by", "KL"},
      {"Suite South: nothing changed since revision 1 of 2026-09, which KL issued",
       "would be issued as revision 2"}};
  run_result first = run_with(&(run_setting){.folder = folder}, again.words);
  cr_expect_eq(first.status, DONE, "%s", first.err);
  cr_expect_null(strstr(first.err, "nothing changed since"), "%s", first.err);
  run_free(&first);
  check_asked(folder, &again);
  char *text = pdf_words(folder, "reports/suite-south-2026-09-rev2.pdf", NULL);
  char *page = strstr(text, "Changed since revision 1");
  cr_assert_not_null(page);
  cr_expect_not_null(strstr(page, "Nothing changed: no entry since revision 1"), "%s", page);
  cr_expect_null(strstr(page, "Findings that differ"), "%s", page);
  cr_expect_null(strstr(text, "month up to"), "a whole month is called a part");
  free(text);
  free(RUN_DONE(folder, "event", "--unit", "Suite South", "--at", "2026-09-30", "service", "--by",
                "KL"));
  run_result changed = run_with(&(run_setting){.folder = folder}, again.words);
  cr_expect_eq(changed.status, DONE, "%s", changed.err);
  cr_expect_null(strstr(changed.err, "nothing changed since"), "%s", changed.err);
  run_free(&changed);
  folder_end(folder);
}

Test(confirm, a_conflict_and_a_second_reading_ask_too) {
  char *folder = folder_begin();
  file_put(folder, "first.csv",
           "date,time,unit,target_mj,energy_mj\n"
           "2026-04-13,07:30,Room 1,1.61,1.605\n"
           "2026-04-14,07:31,Room 1,1.61,1.612\n");
  file_put(folder, "other.csv",
           "date,time,unit,target_mj,energy_mj\n"
           "2026-04-14,07:31,Room 1,1.61,1.621\n");
  file_put(folder, "map.ini",
           "[columns]\ndate = date\ntime = time\nunit = unit\n"
           "target_mj = target_mj\nenergy_mj = energy_mj\n[units]\nenergy_mj = J\n");
  free(RUN_DONE(folder, "import", "first.csv"));
  free(RUN_DONE(folder, "import", "other.csv"));
  char *listed = RUN_DONE(folder, "conflicts");
  char *row = strstr(listed, "\n\n");
  cr_assert_not_null(row, "%s", listed);
  char *id = first_word(row + 2);
  const asked_case settled = {
      {"conflicts", id, "--keep", "new", "--by", "KL", "--why", "cut"},
      {"Room 1, 2026-04-14T07:31", "1.621",
       "the rows that came take the place of what stands, which is superseded"}};
  check_asked(folder, &settled);
  const asked_case again = {
      {"import", "--again", "--by", "KL", "--why", "in joules", "--map", "map.ini", "first.csv"},
      {"first.csv", "supersede the rows from it that stand"}};
  check_asked(folder, &again);
  free(id);
  free(listed);
  folder_end(folder);
}

/* The first settings supersede nothing, and settings that change nothing neither. */
Test(confirm, nothing_asks_without_need) {
  char *folder = folder_begin();
  file_put(folder, "new.ini", "[unit 1]\nname = Suite North\nbeam = flat_top\n");
  for (int i = 0; i < 2; i++) {
    run_result result = run_typed(
        folder, "no\n",
        (const char *const[]){"settings", "new.ini", "--by", "KL", "--why", "first", NULL});
    cr_expect_eq(result.status, DONE, "%s", result.err);
    cr_expect_null(strstr(result.err, "Go on?"), "%s", result.err);
    run_free(&result);
  }
  file_put(folder, "new.ini", "[unit 1]\nname = Suite North\nbeam = gaussian\n");
  run_result result = run_typed(
      folder, "no\n",
      (const char *const[]){"settings", "new.ini", "--by", "KL", "--why", "better", "--yes", NULL});
  cr_expect_eq(result.status, DONE, "%s", result.err);
  cr_expect_null(strstr(result.err, "Go on?"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* Of a section that stays, its name and the lines that differ, not the rest. */
Test(confirm, settings_show_only_what_changes) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-04-13,Room 1,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  static const char tolerance[] = "[clinic]\nname = C\n[tolerance 1]\nunit = Room 1\n"
                                  "characteristic = energy_ratio\nlow = %s\nhigh = 1.03\n"
                                  "source = policy\nfrom = %s\n"
                                  "[tolerance 2]\nunit = Room 1\n"
                                  "characteristic = energy_ratio\nlow = 0.9\nhigh = 1.03\n"
                                  "source = policy\nfrom = 2020-01-01\n";
  char text[512];
  (void)snprintf(text, sizeof text, tolerance, "0.97", "2026-01-01");
  file_put(folder, "new.ini", text);
  free(RUN_DONE(folder, "settings", "new.ini", "--by", "KL", "--why", "first"));
  (void)snprintf(text, sizeof text, tolerance, "0.96", "2026-01-01");
  file_put(folder, "new.ini", text);
  run_result result = run_typed(
      folder, "no\n",
      (const char *const[]){"settings", "new.ini", "--by", "KL", "--why", "second", NULL});
  cr_expect_not_null(strstr(result.err, "  [tolerance 1]\n  unit = Room 1\n"
                                        "  characteristic = energy_ratio\n- low = 0.97\n"
                                        "+ low = 0.96\nWhat stands behind"),
                     "%s", result.err);
  cr_expect_null(strstr(result.err, "high = 1.03"), "%s", result.err);
  cr_expect_null(strstr(result.err, "low = 0.9\n"), "%s", result.err);
  run_free(&result);
  folder_end(folder);
}

/* What status writes to a terminal in that environment; owned. */
static char *shown(const char *folder, const char *const *environment) {
  int master = posix_openpt(O_RDWR | O_NOCTTY);
  cr_assert_geq(master, 0);
  cr_assert_eq(grantpt(master), 0);
  cr_assert_eq(unlockpt(master), 0);
  run_setting setting = {.folder = folder, .output = ptsname(master), .environment = environment};
  int slave = open(setting.output, O_RDWR | O_NOCTTY); /* what was written waits for the reader */
  cr_assert_geq(slave, 0);
  run_result result = run_with(&setting, (const char *const[]){"status", NULL});
  cr_expect_eq(result.status, DONE, "%s", result.err);
  run_free(&result);
  char *text = calloc(1, 4097);
  cr_assert_not_null(text);
  cr_assert_gt(read(master, text, 4096), 0);
  (void)close(slave);
  (void)close(master);
  return text;
}

/* Takes out colours, and what a terminal adds to the end of a line. */
static void make_plain(char *text) {
  char *to = text;
  for (const char *at = text; *at != '\0'; at++)
    if (*at == '\033')
      at += strcspn(at, "m");
    else if (*at != '\r')
      *to++ = *at;
  *to = '\0';
}

/* Colour says nothing that the words don't. */
Test(confirm, colour_is_for_a_terminal_that_has_it) {
  static const struct {
    const char *environment[3];
    bool colour;
  } table[] = {{{"TERM=xterm", "NO_COLOR="}, true},
               {{"TERM=xterm", "NO_COLOR=1"}, false},
               {{"TERM=dumb", "NO_COLOR="}, false}};
  char *folder = folder_begin();
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-01-02,A,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  char *piped = RUN_DONE(folder, "status");
  cr_expect_null(strchr(piped, '\033'), "%s", piped);
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char *text = shown(folder, table[i].environment);
    cr_expect_not_null(strstr(text, "NO CURRENT CHECK"), "%s", text);
    cr_expect_eq(strchr(text, '\033') != NULL, table[i].colour, "%zu: %s", i, text);
    make_plain(text);
    cr_expect_str_eq(text, piped);
    free(text);
  }
  free(piped);
  folder_end(folder);
}

/* No command writes to standard output what goes to a file, and none makes one called "-". */
Test(confirm, a_dash_is_no_name_to_write_to) {
  char *folder = demo_folder(), *dash = path_in(folder, "-");
  file_put(folder, "log.csv", "date,unit,energy_mj\n2026-01-02,Suite North,x\n");
  static const char *const commands[][10] = {
      {"backup", "-"},
      {"export", "-o", "-"},
      {"columns", "--write", "-", "log.csv"},
      {"import", "--rejects", "-", "log.csv"},
      {"report", "--month", "2026-09", "-o", "-"},
      {"evidence", "--unit", "Suite North", "--from", "2026-02-01", "-o", "-"},
      {"chart", "--unit", "Suite North", "--characteristic", "energy_ratio", "-o", "-"}};
  for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
    run_result result = run_plain(folder, commands[i]);
    cr_expect_eq(result.status, USAGE, "%s: %d, %s", commands[i][0], result.status, result.err);
    cr_expect(!file_exists(dash), "%s made a file", commands[i][0]);
    run_free(&result);
  }
  free(dash);
  folder_end(folder);
}

/* No folder is made under the name of a file. */
Test(confirm, a_folder_is_not_called_like_a_file) {
  char *folder = demo_folder(), *file = path_in(folder, "case.pdf");
  MUST_BE(folder, USAGE,
          "-o names a new folder here, and \"case.pdf\" ends as a file does; name a "
          "folder: -o case",
          "evidence", "--unit", "Suite North", "--from", "2026-02-01", "-o", "case.pdf");
  cr_expect(!file_exists(file));
  MUST_BE(folder, USAGE, "name a folder: -o all", "export", "--format", "json", "-o", "all.JSON");
  free(file);
  folder_end(folder);
}
