/* A further typeface in the settings: what pages are set in, what is counted as missing, and what
 * is said where its file is none. DejaVu Sans has the snowman and Armenian letters that Inter
 * lacks; neither has Chinese ones. */
#include "program.h"

#include <criterion/criterion.h>
#include <string.h>
#include <unistd.h>

static const char log_text[] = "date,time,unit,energy_mj,target_mj\n2026-01-05,08:00,A,1.6,1.6\n";

static char *begin(void) {
  size_t n = 0;
  char *folder = folder_begin(), *face = path_in(folder, "face.ttf");
  char *bytes = file_read("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf", &n);
  file_write(face, bytes, n);
  file_put(folder, "log.csv", log_text);
  file_put(folder, "clinic.ini", "[clinic]\nname = Երևան ☃ 漢字\nfont = face.ttf\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "settings", "clinic.ini", "--by", "KL", "--why", "a typeface"));
  free(bytes);
  free(face);
  return folder;
}

/* Makes the report of the month; all that stands on standard error, owned. */
static char *report(const char *folder, const char *into) {
  run_result result = RUN(folder, "report", "--month", "2026-01", "-o", into);
  cr_assert_eq(result.status, 0, "%s", result.err);
  free(result.out);
  return result.err;
}

Test(typeface, sets_what_inter_lacks_and_gives_the_same_bytes_each_time) {
  char *folder = begin(), *said = report(folder, "one"), *again = report(folder, "two");
  cr_expect_not_null(strstr(said, "font = FILE under [clinic]"), "%s", said);
  cr_expect_not_null(strstr(said, "2 characters in names or notes could not be set"), "%s", said);
  char *fonts = TOOL(folder, "pdffonts", "one/a-2026-01.pdf");
  char *text = TOOL(folder, "pdftotext", "one/a-2026-01.pdf", "-");
  cr_expect_not_null(strstr(fonts, "DejaVuSans"), "%s", fonts);
  cr_expect_not_null(strstr(fonts, "Inter"), "%s", fonts);
  cr_expect_not_null(strstr(text, "Երևան ☃"), "%s", text);
  cr_expect_not_null(strstr(text, "2 characters have no sign"), "%s", text);
  char *one = path_in(folder, "one/a-2026-01.pdf"), *two = path_in(folder, "two/a-2026-01.pdf");
  files_must_be_same(one, two);
  char *const all[] = {said, again, fonts, text, one, two};
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    free(all[i]);
  folder_end(folder);
}

Test(typeface, a_file_that_is_gone_is_a_warning_and_its_characters_are_counted) {
  char *folder = begin(), *face = path_in(folder, "face.ttf");
  cr_assert_eq(unlink(face), 0);
  char *said = report(folder, "one");
  cr_expect_not_null(strstr(said, "the typeface face.ttf cannot be read: No such file"), "%s",
                     said);
  cr_expect_not_null(strstr(said, "8 characters in names or notes could not be set"), "%s", said);
  char *text = TOOL(folder, "pdftotext", "one/a-2026-01.pdf", "-");
  cr_expect_not_null(strstr(text, "8 characters have no sign"), "%s", text);
  run_result chart =
      RUN(folder, "chart", "--unit", "A", "--characteristic", "energy_ratio", "-o", "a.png");
  cr_expect_eq(chart.status, 0);
  cr_expect_not_null(strstr(chart.err, "the typeface face.ttf cannot be read"), "%s", chart.err);
  run_free(&chart);
  free(said);
  free(text);
  free(face);
  folder_end(folder);
}

/* Every document that a person may be handed says so, not only the terminal. */
Test(typeface, charts_and_evidence_count_what_is_missing_in_their_footers) {
  char *folder = folder_begin();
  file_put(folder, "log.csv",
           "date,time,unit,energy_mj,target_mj\n2026-01-05,08:00,漢字,1.6,1.6\n");
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "chart", "--unit", "漢字", "--characteristic", "energy_ratio", "-o",
                "a.pdf"));
  free(RUN_DONE(folder, "evidence", "--unit", "漢字", "--from", "2026-01-01", "-o", "case"));
  char *chart = TOOL(folder, "pdftotext", "a.pdf", "-");
  char *evidence = TOOL(folder, "pdftotext", "case/evidence.pdf", "-");
  cr_expect_not_null(strstr(chart, " characters have no sign in the font."), "%s", chart);
  cr_expect_not_null(strstr(evidence, " characters have no sign in the font."), "%s", evidence);
  free(RUN_DONE(folder, "verify", "case"));
  free(chart);
  free(evidence);
  folder_end(folder);
}

Test(typeface, settings_that_name_no_face_are_refused_and_nothing_is_stored) {
  static const struct {
    const char *settings, *words;
  } cases[] = {
      {"[clinic]\nfont = gone.ttf\n", "clinic.ini, font: the typeface gone.ttf cannot be read"},
      {"[clinic]\nfont = log.csv\n", "log.csv is no typeface"},
      {"[clinic]\nfont = .\n", "the typeface . is no file"},
  };
  char *folder = begin(), *before = RUN_DONE(folder, "settings", "--show");
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    file_put(folder, "clinic.ini", cases[i].settings);
    run_result result = RUN(folder, "settings", "clinic.ini", "--by", "KL", "--why", "other");
    cr_expect_eq(result.status, 1, "%s", cases[i].settings);
    cr_expect_not_null(strstr(result.err, cases[i].words), "%s", result.err);
    run_free(&result);
  }
  char *after = RUN_DONE(folder, "settings", "--show");
  cr_expect_str_eq(after, before);
  cr_expect_not_null(strstr(after, "\nfont = face.ttf\n"), "%s", after);
  free(before);
  free(after);
  folder_end(folder);
}

Test(typeface, an_export_keeps_it) {
  char *folder = begin();
  free(RUN_DONE(folder, "export", "-o", "csv"));
  free(RUN_DONE(folder, "export", "--format", "json", "-o", "json"));
  char *shown = RUN_DONE(folder, "settings", "--show");
  free(RUN_DONE(folder, "settings", "csv/settings.ini", "--by", "KL", "--why", "moved", "--ledger",
                "other"));
  char *moved = RUN_DONE(folder, "settings", "--show", "--ledger", "other");
  cr_expect_str_eq(moved, shown);
  char *table = path_in(folder, "csv/settings.csv"), *rows = file_read(table, NULL);
  cr_expect_not_null(strstr(rows, ",clinic,font,"), "%s", rows);
  cr_expect_not_null(strstr(rows, ",face.ttf,"), "%s", rows);
  char *document = path_in(folder, "json/export.json"), *json = file_read(document, NULL);
  cr_expect_not_null(strstr(json, "\"font\":\"face.ttf\""));
  char *const all[] = {shown, moved, table, rows, document, json};
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    free(all[i]);
  folder_end(folder);
}
