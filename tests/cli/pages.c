/* Reports and charts of the demo as files: what stands in them, the same bytes each time, and
 * nothing left where they fail. */
#include "program.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static void must_say(const char *text, const char *words, const char *where) {
  cr_expect_not_null(strstr(text, words), "\"%s\" does not stand in %s", words, where);
}

/* ---- What stands in the report --------------------------------------------------------------- */

typedef struct unit_page {
  const char *unit, *file;
  size_t pages; /* the summary, one for each judged characteristic that varies, gas and drift,
                   self-test and room (where there is something to draw), signals and decisions (as
                   long as it has to be), data, method and its glossary */
} unit_page;

static const unit_page reports[] = {
    {"Suite North", "suite-north-2026-09.pdf", 1 + 7 + 2 + 1 + 1 + 1 + 3},
    {"Suite South", "suite-south-2026-09.pdf", 1 + 9 + 1 + 0 + 1 + 1 + 3}};

Test(pages, the_report_is_a_sound_pdf_with_its_pages_and_fonts) {
  char *folder = demo_folder();
  char *said = RUN_DONE(folder, "report", "--month", "2026-09", "-o", "out put");
  cr_expect_str_eq(said, "out put/suite-north-2026-09.pdf\nout put/suite-south-2026-09.pdf\n"
                         "out put/all-units-2026-09.pdf\n");
  free(said);
  for (size_t i = 0; i < 2; i++) {
    char *name = path_in("out put", reports[i].file), *path = path_in(folder, name);
    struct stat found;
    cr_assert_eq(stat(path, &found), 0);
    cr_expect(found.st_size > 10000 && found.st_size < 1000000, "%s: %lld bytes", name,
              (long long)found.st_size);
    char pages[32];
    (void)snprintf(pages, sizeof pages, "%zu\n", reports[i].pages);
    char *counted = TOOL(folder, "qpdf", "--show-npages", name);
    cr_expect_str_eq(counted, pages, "%s: %s pages", name, counted);
    free(counted);
    free(TOOL(folder, "qpdf", "--check", name)); /* warnings too end with another status */

    char *fonts = TOOL(folder, "pdffonts", name);
    size_t line_n = 0;
    for (char *line = strtok(fonts, "\n"); line != NULL; line = strtok(NULL, "\n"), line_n++)
      if (line_n >= 2) { /* name, type, encoding, then emb sub uni */
        cr_expect_not_null(strstr(line, "Inter"), "%s", line);
        cr_expect_not_null(strstr(line, " yes yes yes "), "%s", line);
      }
    cr_expect_gt(line_n, 2);
    free(fonts);
    free(name);
    free(path);
  }
  folder_end(folder);
}

/* As pages write it: with a minus of its own. */
static void number_must_stand(const char *text, const char *before, double value, int decimals,
                              const char *after, const char *what) {
  char words[96];
  (void)snprintf(words, sizeof words, "%s%s%.*f%s", before, value < 0 ? "\xE2\x88\x92" : "",
                 decimals, value < 0 ? -value : value, after);
  must_say(text, words, what);
}

/* Those beside the limits: of the baseline, of the moving range, of alarms and the CUSUM, and how
 * many checks were judged and points counted. */
static void other_numbers_must_stand(const char *text, const json_t *analysis, int decimals) {
  const json_t *limits = json_object_get(analysis, "individuals");
  const json_t *baseline = json_object_get(analysis, "baseline");
  const json_t *alarm = json_object_get(analysis, "alarm");
  const json_t *tolerance = json_object_get(analysis, "tolerance");
  const json_t *cusum = json_object_get(analysis, "cusum");
  number_must_stand(text, "alarm ", number_of(limits, "alarm_lcl"), decimals, "", "low alarm");
  number_must_stand(text, "alarm ", number_of(limits, "alarm_ucl"), decimals, "", "high alarm");
  number_must_stand(text, "UCL ", number_of(json_object_get(analysis, "moving_range"), "ucl"),
                    decimals, "", "moving range");
  number_must_stand(text, "± ", number_of(baseline, "sigma"), decimals, "", "sigma");
  number_must_stand(text, "the first ", number_of(baseline, "n"), 0, " points", "baseline");
  number_must_stand(text, "alarm ", number_of(cusum, "alarm_h"), 2, "", "h of alarms");
  number_must_stand(text, "CUSUM above ", number_of(alarm, "h"), 2, "", "h of alarms");
  number_must_stand(text, "(±", number_of(alarm, "limit"), 2, "σ", "alarm limit");
  number_must_stand(text, "this laser’s ", number_of(alarm, "charts"), 0,
                    " charts with alarm limits", "charts");
  number_must_stand(text, "+h ", number_of(cusum, "h"), 0, "", "h");
  number_must_stand(text, "L ", number_of(json_object_get(analysis, "ewma"), "limit"), 3, "",
                    "EWMA");
  number_must_stand(text, "", number_of(tolerance, "judged"), 0, " checks", "judged");
}

/* The numbers of a characteristic's page, as the page rounds them, taken from the JSON. */
static void numbers_must_stand(const char *folder, const char *pdf, const char *page,
                               const char *unit, const char *key, int decimals) {
  char *text = pdf_words(folder, pdf, page);
  json_t *analysis =
      analysis_of(folder, unit, key, (const char *const[]){"--until", "2026-09-30", NULL});
  const json_t *limits = json_object_get(analysis, "individuals");
  const json_t *tolerance = json_object_get(analysis, "tolerance");
  const struct {
    const char *word;
    double value;
    bool as_limit;
  } all[] = {{"centre", number_of(limits, "centre"), true},
             {"LCL", number_of(limits, "lcl"), true},
             {"UCL", number_of(limits, "ucl"), true},
             {"low tolerance", number_of(tolerance, "low"), false},
             {"high tolerance", number_of(tolerance, "high"), false}};
  for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
    char words[64];
    if (all[i].as_limit)
      (void)snprintf(words, sizeof words, "%s %.*f", all[i].word, decimals, all[i].value);
    else
      (void)snprintf(words, sizeof words, "%g", all[i].value);
    must_say(text, words, all[i].word);
  }
  must_say(text, text_of(tolerance, "source"), "the page's numbers");
  other_numbers_must_stand(text, analysis, decimals);
  json_decref(analysis);
  free(text);
}

Test(pages, limits_and_tolerances_stand_on_the_page_as_they_are) {
  char *folder = demo_folder();
  free(RUN_DONE(folder, "report", "--month", "2026-09", "-o", "."));
  char *summary = pdf_words(folder, "suite-north-2026-09.pdf", "1");
  must_say(summary, "0.96 \xE2\x80\x93 1.04", "the summary");
  must_say(summary, "1 outside, 11 Nov 2025", "the summary"); /* the misreading, in two lines */
  must_say(summary, "(0.9300); retest inside", "the summary");
  must_say(summary, "the 4 charts with alarm limits together", "the summary");
  free(summary);
  numbers_must_stand(folder, "suite-north-2026-09.pdf", "2", "Suite North", "energy_ratio", 4);
  numbers_must_stand(folder, "suite-north-2026-09.pdf", "3", "Suite North", "fluence", 2);
  numbers_must_stand(folder, "suite-south-2026-09.pdf", "2", "Suite South", "energy_ratio", 4);
  folder_end(folder);
}

/* "A b" and "A-b" give the same letters, and "A b 2" those that the second would get; "All units"
 * those of the comparison. */
Test(pages, units_of_like_names_keep_files_of_their_own) {
  static const char log[] = "date,unit,hv_kv\n2026-09-01,A b,20\n2026-09-01,A-b,21\n"
                            "2026-09-01,A b 2,22\n2026-09-01,All units,20\n";
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  file_write(path, log, sizeof log - 1);
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  char *said = RUN_DONE(folder, "report", "--month", "2026-09", "-o", ".");
  cr_expect_str_eq(said, "./a-b-2026-09.pdf\n./a-b-2-2026-09.pdf\n./a-b-2-2-2026-09.pdf\n"
                         "./all-units-2-2026-09.pdf\n./all-units-2026-09.pdf\n");
  free(said);
  said = RUN_DONE(folder, "report", "--month", "2026-09", "-o", ".", "--unit", "A b 2");
  cr_expect_str_eq(said, "./a-b-2-2-2026-09.pdf\n", "--unit changes no name");
  free(said);
  free(path);
  folder_end(folder);
}

/* -o names the PDF itself where it is one; no folder is made of that name. */
Test(pages, one_report_goes_into_the_file_that_is_named) {
  char *folder = demo_folder(), *path = path_in(folder, "r.pdf");
  struct stat there;
  char *said =
      RUN_DONE(folder, "report", "--month", "2026-09", "--unit", "Suite North", "-o", "r.pdf");
  cr_expect_str_eq(said, "r.pdf\n");
  cr_expect(stat(path, &there) == 0 && S_ISREG(there.st_mode));
  free(said);
  char *text = pdf_words(folder, "r.pdf", "1");
  must_say(text, "Suite North", "the file");
  free(text);
  run_result result = RUN(folder, "report", "--month", "2026-09", "-o", "both.pdf");
  cr_expect_eq(result.status, USAGE);
  cr_expect_not_null(strstr(result.err, "-o both.pdf names one file, and the report is one PDF a "
                                        "laser, of 2: name the laser with --unit"),
                     "%s", result.err);
  run_free(&result);
  result = RUN(folder, "report", "--month", "2026-09", "--unit", "Suite North", "-o", "r.pdf",
               "--issue", "--by", "KL");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "no issue goes over a file"), "%s", result.err);
  run_free(&result);
  result = RUN(folder, "report", "--month", "2026-09", "--unit", "Suite North", "-o", "no/r.pdf");
  cr_expect_eq(result.status, FAILED);
  cr_expect_not_null(strstr(result.err, "no/r.pdf"), "%s", result.err);
  run_free(&result);
  cr_assert_eq(unlink(path), 0);
  cr_assert_eq(mkdir(path, 0777), 0);
  said = RUN_DONE(folder, "report", "--month", "2026-09", "--unit", "Suite North", "-o", "r.pdf");
  cr_expect_str_eq(said, "r.pdf/suite-north-2026-09.pdf\n", "a folder that is there is one");
  free(said);
  free(path);
  folder_end(folder);
}

/* Six months are shown, or since the month in which a younger log began; never an empty half year.
 */
Test(pages, a_young_log_is_shown_from_its_first_month) {
  static const char log[] = "date,unit,hv_kv\n2026-08-14,A,20\n2026-09-01,A,21\n2026-09-02,A,22\n"
                            "2026-02-02,B,20\n2026-09-01,B,21\n2026-09-02,B,22\n";
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  file_write(path, log, sizeof log - 1);
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  free(RUN_DONE(folder, "report", "--month", "2026-09", "-o", "."));
  char *young = pdf_words(folder, "a-2026-09.pdf", "2"),
       *old = pdf_words(folder, "b-2026-09.pdf", "2");
  must_say(young, "1 Aug – 30 Sep 2026", "the young log");
  must_say(old, "1 Apr – 30 Sep 2026", "the other");
  free(young);
  free(old);
  free(path);
  folder_end(folder);
}

/* A name's Latin letters stay readable, and names that are written alike keep files of their own.
 */
Test(pages, letters_with_marks_are_written_plainly_in_file_names) {
  static const char log[] = "date,unit,hv_kv\n2026-09-01,Fünf,20\n2026-09-01,Fuenf,21\n"
                            "2026-09-01,Śruba Łódź Ñandú,22\n2026-09-01,Straße 1 æ,20\n"
                            "2026-09-01,光,20\n2026-09-01,A × B,20\n2026-09-01,Cafe\u0301 7,20\n";
  char *folder = folder_begin(), *path = path_in(folder, "log.csv");
  file_write(path, log, sizeof log - 1);
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  static const char *const names[] = {
      "fuenf", "fuenf-2", "sruba-lodz-nandu", "strasse-1-ae", "unit", "a-b", "cafe-7"};
  char *said = RUN_DONE(folder, "report", "--month", "2026-09", "-o", ".");
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    char line[64];
    (void)snprintf(line, sizeof line, "./%s-2026-09.pdf\n", names[i]);
    cr_expect_not_null(strstr(said, line), "%s in %s", line, said);
  }
  free(said);
  free(path);
  folder_end(folder);
}

/* A file system gives a name 255 bytes. */
Test(pages, a_long_name_of_a_unit_is_cut_in_file_names) {
  char log[1200], name[401], part[128];
  char *folder = folder_begin();
  memset(name, 'x', sizeof name - 1);
  name[sizeof name - 1] = '\0';
  (void)snprintf(log, sizeof log, "date,unit,hv_kv\n2026-09-01,%s,20\n2026-09-01,%s2,20\n", name,
                 name);
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "--new-unit", "log.csv"));
  char *said = RUN_DONE(folder, "report", "--month", "2026-09", "-o", ".");
  (void)snprintf(part, sizeof part, "%.100s", name);
  cr_expect_eq(strncmp(said + 2, part, 100), 0, "%s", said);
  cr_expect_not_null(strstr(said, "x-2026-09.pdf\n./x"), "%s", said);
  cr_expect_not_null(strstr(said, "x-2-2026-09.pdf\n"), "%s", said);
  free(said);
  folder_end(folder);
}

/* The line after the unit's name. */
static char *verdict_of(const char *status, const char *unit) {
  const char *line = strstr(status, unit);
  cr_assert_not_null(line);
  line = strchr(line, '\n');
  cr_assert_not_null(line);
  char *verdict = strdup(line + 1);
  cr_assert_not_null(verdict);
  verdict[strcspn(verdict, "\n")] = '\0';
  return verdict;
}

Test(pages, the_summary_has_the_verdict_of_status_and_the_cautions) {
  static const char *const cautions[] = {
      "no substitute for",    "interlocks",        "responsible clinician",
      "ultraviolet",          "high voltage",      "toxic fluorine gas",
      "laser safety officer", "commands no laser", "Ledger ",
  };
  char *folder = demo_folder();
  free(RUN_DONE(folder, "report", "--month", "2026-09", "-o", "."));
  for (size_t i = 0; i < 2; i++) {
    char *status = RUN_DONE(folder, "status", "--unit", reports[i].unit, "--until", "2026-09-30");
    char *verdict = verdict_of(status, reports[i].unit);
    char *page = pdf_words(folder, reports[i].file, "1");
    cr_expect_gt(strlen(verdict), 3);
    must_say(page, verdict, reports[i].file);
    for (size_t k = 0; k < sizeof cautions / sizeof *cautions; k++)
      must_say(page, cautions[k], reports[i].file);
    free(status);
    free(verdict);
    free(page);
  }
  folder_end(folder);
}

/* On the day of the misreading the last check is its good retest; on a day whose last check fails
 * status and the report say so in the same words, and both name the procedure. */
Test(pages, a_failed_tolerance_heads_status_and_report) {
  char *folder = demo_folder(), *log = path_in(folder, "late.csv");
  static const char late[] = "date,time,unit,target_mj,energy_mj\n"
                             "2026-10-01,07:40,Suite North,1.61,1.50\n";
  file_write(log, late, strlen(late));
  free(RUN_DONE(folder, "import", "late.csv"));
  free(RUN_DONE(folder, "report", "--month", "2026-10", "--unit", "suite north", "-o", "."));
  char *status = RUN_DONE(folder, "status", "--unit", "Suite North");
  char *page = pdf_words(folder, "suite-north-2026-10.pdf", "1");
  must_say(status, "OUT OF TOLERANCE", "status");
  must_say(page, "OUT OF TOLERANCE", "the summary");
  must_say(page, "failure procedure", "the summary");
  run_result strict = RUN(folder, "status", "--strict");
  cr_expect_eq(strict.status, 3);
  run_free(&strict);
  free(status);
  free(page);
  free(log);
  folder_end(folder);
}

/* ---- The other forms ------------------------------------------------------------------------- */

static unsigned big_endian(const char *bytes) {
  unsigned value = 0;
  for (int i = 0; i < 4; i++)
    value = value << 8 | (unsigned char)bytes[i];
  return value;
}

Test(pages, charts_are_png_svg_and_pdf) {
  static const char signature[] = "\x89PNG\r\n\x1a\n",
                    svg[] = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg ";
  char *folder = demo_folder();
  const char *const names[] = {"a b.png", "a b.svg", "a b.pdf"};
  for (size_t i = 0; i < 3; i++) {
    free(RUN_DONE(folder, "chart", "--unit", "Suite South", "--characteristic", "high_voltage",
                  "-o", names[i]));
    char *path = path_in(folder, names[i]);
    size_t n;
    char *bytes = file_read(path, &n);
    cr_assert_gt(n, 1000);
    if (i == 0) { /* A4, 150 dots an inch, landscape */
      cr_expect_eq(memcmp(bytes, signature, 8), 0);
      cr_expect_eq(big_endian(bytes + 16), 1754);
      cr_expect_eq(big_endian(bytes + 20), 1240);
    } else if (i == 1) {
      cr_expect_eq(strncmp(bytes, svg, strlen(svg)), 0, "%.80s", bytes);
      cr_expect_not_null(strstr(bytes + n - 10, "</svg>"));
    } else {
      cr_expect_eq(strncmp(bytes, "%PDF-1.", 7), 0);
      char *pages = TOOL(folder, "qpdf", "--show-npages", names[i]);
      cr_expect_str_eq(pages, "1\n");
      free(pages);
    }
    free(bytes);
    free(path);
  }
  folder_end(folder);
}

/* Each page says what the chart alone says. */
Test(pages, several_charts_are_pages_of_one_pdf) {
  static const char *const keys[] = {"energy_ratio", "tracker_vector", "high_voltage"};
  char *folder = demo_folder();
  free(RUN_DONE(folder, "chart", "--unit", "Suite South", "--characteristic",
                "energy_ratio,tracker_vector,high_voltage", "-o", "all.pdf"));
  char *pages = TOOL(folder, "qpdf", "--show-npages", "all.pdf");
  cr_expect_str_eq(pages, "3\n");
  free(pages);
  for (int i = 0; i < 3; i++) {
    char number[2] = {(char)('1' + i), '\0'};
    free(RUN_DONE(folder, "chart", "--unit", "Suite South", "--characteristic", keys[i], "-o",
                  "one.pdf"));
    char *all = TOOL(folder, "pdftotext", "-f", number, "-l", number, "all.pdf", "-");
    char *one = TOOL(folder, "pdftotext", "one.pdf", "-");
    char *end = strstr(one, "page 1 of 1"), *its_end = strstr(all, "of 3");
    cr_assert(end != NULL && its_end != NULL, "%s", keys[i]);
    cr_expect_eq(strncmp(all, one, (size_t)(end - one)), 0, "%s:\n%s\n%s", keys[i], all, one);
    free(all);
    free(one);
  }
  run_result png = RUN(folder, "chart", "--unit", "Suite South", "--characteristic",
                       "energy_ratio,tracker_x", "-o", "all.png");
  cr_expect_eq(png.status, 2);
  cr_expect_not_null(strstr(png.err, "give -o FILE.pdf"), "%s", png.err);
  run_free(&png);
  folder_end(folder);
}

/* Else the days that hold something would be a line at an edge, or none of them would be shown. */
Test(pages, a_chart_spans_no_days_before_the_log_and_none_to_come) {
  char *folder = demo_folder();
#define RATIO "chart", "--unit", "Suite South", "--characteristic", "energy_ratio", "-o", "a.pdf"
  free(RUN_DONE(folder, RATIO, "--from", "0001-01-01", "--to", "9999-12-31"));
  char *text = pdf_words(folder, "a.pdf", NULL);
  cr_expect_not_null(strstr(text, "1 Apr 2025 – 1 Oct 2026"), "%s", text);
  MUST_BE(folder, FAILED, "the log of Suite South begins on 2025-04-01", RATIO, "--to",
          "0001-01-01");
  free(text);
  folder_end(folder);
}

/* ---- The same bytes -------------------------------------------------------------------------- */

/* One report and one chart in each form, into `into`, from that working folder. */
static void make_all(const char *from, const char *ledger, const char *into,
                     const char *const *environment) {
  static const char *const names[] = {"a.png", "a.svg", "a.pdf"};
  run_setting setting = {.folder = from, .environment = environment};
  run_result result = run_with(&setting, (const char *const[]){"report", "--ledger", ledger,
                                                               "--unit", "Suite South", "--month",
                                                               "2026-09", "-o", into, NULL});
  cr_assert_eq(result.status, 0, "%s", result.err);
  run_free(&result);
  for (size_t i = 0; i < 3; i++) {
    char *path = path_in(into, names[i]);
    result = run_with(&setting, (const char *const[]){"chart", "--ledger", ledger, "--unit",
                                                      "Suite South", "--characteristic", "fluence",
                                                      "--to", "2026-08-31", "-o", path, NULL});
    cr_assert_eq(result.status, 0, "%s", result.err);
    run_free(&result);
    free(path);
  }
}

Test(pages, bytes_do_not_depend_on_time_zone_locale_or_folder) {
  static const char *const names[] = {"suite-south-2026-09.pdf", "a.png", "a.svg", "a.pdf"};
  char *folder = demo_folder(), *other = folder_begin();
  char *ledger = path_in(folder, "beamtally.sqlite");
  char *one = path_in(folder, "one"), *two = path_in(other, "two"),
       *three = path_in(other, "three");
  make_all(folder, "beamtally.sqlite", one, (const char *const[]){"LC_ALL=POSIX", "TZ=UTC", NULL});
  make_all(other, ledger, two, (const char *const[]){"LC_ALL=C.UTF-8", "TZ=Asia/Tokyo", NULL});
  make_all(folder, "beamtally.sqlite", three,
           (const char *const[]){"LC_ALL=POSIX", "TZ=UTC", NULL});
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    char *a = path_in(one, names[i]), *b = path_in(two, names[i]), *c = path_in(three, names[i]);
    files_must_be_same(a, b);
    files_must_be_same(a, c);
    free(a);
    free(b);
    free(c);
  }
  free(ledger);
  free(one);
  free(two);
  free(three);
  folder_end(folder);
  folder_end(other);
}

/* ---- Failing --------------------------------------------------------------------------------- */

static size_t files_in(const char *folder) {
  DIR *opened = opendir(folder);
  cr_assert_not_null(opened);
  size_t n = 0;
  for (const struct dirent *entry; (entry = readdir(opened)) != NULL;)
    n += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
  (void)closedir(opened);
  return n;
}

static void must_fail(const run_setting *setting, const char *folder, const char *const *words) {
  run_result result = run_with(setting, words);
  cr_expect_eq(result.status, 1, "%s: status %d", words[0], result.status);
  cr_expect_eq(strncmp(result.err, "beamtally: ", 11), 0, "%s", result.err);
  cr_expect_not_null(strstr(result.err, "cannot be written"), "%s", result.err);
  cr_expect_eq(files_in(folder), 0, "%s leaves a file", words[0]);
  run_free(&result);
}

static const char *const failing_report[] = {"report", "--month", "2026-09", "-o", "kept", NULL};
static const char *const failing_chart[] = {"chart",   "--unit", "Suite North", "--characteristic",
                                            "fluence", "-o",     "kept/a.png",  NULL};

Test(pages, a_folder_that_nobody_may_write_to_is_1_and_stays_empty) {
  char *folder = demo_folder(), *kept = path_in(folder, "kept");
  cr_assert_eq(mkdir(kept, 0555), 0);
  run_setting nobody = {.folder = folder, .as_nobody = true};
  must_fail(&nobody, kept, failing_report);
  must_fail(&nobody, kept, failing_chart);
  free(kept);
  folder_end(folder);
}

Test(pages, a_full_disk_is_1_and_leaves_no_file) {
  char *folder = demo_folder(), *kept = path_in(folder, "kept");
  cr_assert_eq(mkdir(kept, 0755), 0);
  static const rlim_t limits[] = {10000, 1000, 30000}; /* stderr is such a file as well */
  run_setting full = {.folder = folder, .file_limit = limits[0]};
  must_fail(&full, kept, failing_chart);
  for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
    full.file_limit = limits[i];
    must_fail(&full, kept, failing_report);
  }
  cr_assert_eq(rmdir(kept), 0); /* one that the command makes goes with what it could not write */
  run_result none = run_with(&full, failing_report);
  cr_expect(none.status == 1 && !file_exists(kept), "status %d: %s", none.status, none.err);
  run_free(&none);
  free(kept);
  folder_end(folder);
}
