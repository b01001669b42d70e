/* Files: what is in them, the same bytes each time, and nothing left behind after a failure. */
#include <criterion/criterion.h>
#include <locale.h>
#include <math.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "canvas.h"

/* Two pages with one of everything. */
static bt_document everything(void) {
  bt_document document = canvas_document(2);
  document.title = bt_copy("Suite North");
  document.author = bt_copy("Beamtally");
  document.subject = bt_copy("August 2026\x07");
  bt_page *page = &document.pages[0];
  page->title = bt_copy("Pulse-energy ratio");
  page->name = bt_copy("energy_ratio");
  document.pages[1].title = bt_copy("Sources");
  document.pages[1].name = bt_copy("sources");
  canvas_box(page, (bt_page_box){60, 2, 30, 6, BT_INK_ALARM});
  canvas_line(page, (bt_page_line){5, 58, 95, 58, 0.2, BT_INK_FAINT, BT_DASH_DOTTED});
  canvas_text(page, 5, 2, "Suite North µ ± σ 漢")->link = bt_copy("sources");
  canvas_text(page, 6, 40, "CUSUM")->turn = 90;
  bt_page_text *wrapped = canvas_text(page, 62, 3, "bold and plain");
  wrapped->wrap = true;
  wrapped->width = 26;
  wrapped->strong_n = 1;
  wrapped->strong[0] = (bt_strong){0, 4};
  bt_pane *pane = canvas_pane(page);
  pane->framed = true;
  double x[] = {1, 20, 40, 79}, y[] = {5, 35, 10, 30};
  bt_polyline line = {.n = 4,
                      .x = canvas_values(4, x),
                      .y = canvas_values(4, y),
                      .width_mm = 0.3,
                      .ink = BT_INK_SERIES,
                      .filled = true,
                      .base = 20,
                      .fill_ink = BT_INK_RISE_SOFT};
  bt_marks marks = {.n = 4,
                    .x = canvas_values(4, x),
                    .y = canvas_values(4, y),
                    .shape = BT_SHAPE_DOWN,
                    .ink = BT_INK_ALARM,
                    .size_mm = 2};
  bt_pane_level level = {20, BT_INK_LIMIT, BT_DASH_DASHED, 0.3};
  pane->lines = canvas_item(&line, sizeof line);
  pane->marks = canvas_item(&marks, sizeof marks);
  pane->levels = canvas_item(&level, sizeof level);
  pane->lines_n = pane->marks_n = pane->levels_n = 1;
  canvas_text(&document.pages[1], 5, 5, "back")->link = bt_copy("energy_ratio");
  return document;
}

static char *written(bt_draw *draw, const bt_document *document, bt_format format,
                     const char *folder, const char *name, size_t *length) {
  char *path = canvas_path(folder, name);
  bt_error error = {0};
  cr_assert_eq(bt_draw_file(draw, document, format, path, &error), BT_OK, "%s", error.text);
  char *bytes = canvas_read(path, length);
  free(path);
  return bytes;
}

static size_t count(const char *bytes, size_t length, const char *word) {
  size_t n = 0, size = strlen(word);
  for (size_t i = 0; i + size <= length; i++)
    n += memcmp(bytes + i, word, size) == 0;
  return n;
}

Test(files, pdf_has_pages_bookmarks_links_and_the_data_s_date) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder();
  bt_document document = everything();
  size_t length;
  char *pdf = written(draw, &document, BT_FORMAT_PDF, folder, "a.pdf", &length);
  cr_assert_eq(memcmp(pdf, "%PDF-1.5", 8), 0);
  cr_assert_eq(count(pdf, length, "/Type /Page %"), 2);
  cr_assert_eq(count(pdf, length, "/Title (Suite North)"), 1);
  cr_assert_eq(count(pdf, length, "/Creator (Beamtally)"), 1);
  cr_assert_eq(count(pdf, length, "/Subject (August 2026 )"), 1);
  cr_assert_eq(count(pdf, length, "/Title (Pulse-energy ratio)"), 1);
  cr_assert_eq(count(pdf, length, "/Title (Sources)"), 1);
  cr_assert_eq(count(pdf, length, "/Subtype /Link"), 2);
  cr_assert_geq(count(pdf, length, "(sources)"), 2); /* the destination, and what leads to it */
  cr_assert_geq(count(pdf, length, "(energy_ratio)"), 2);
  cr_assert_eq(count(pdf, length, "/PageLabels"), 1);
  cr_assert_eq(count(pdf, length, "/CreationDate (20260928080000"), 1); /* 1790582400 */
  cr_assert_geq(count(pdf, length, "/FontFile3"), 2);                   /* embedded */
  cr_assert_eq(canvas_folder_count(folder), 1);
  free(pdf);
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

/* Each object is where the table at the file's end says: what a strict reader checks first. */
Test(files, pdf_holds_every_object_that_it_lists) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder();
  bt_document document = everything();
  size_t length;
  char *pdf = written(draw, &document, BT_FORMAT_PDF, folder, "a.pdf", &length);
  const char *start = NULL;
  for (size_t i = 0; i + 10 < length; i++)
    if (memcmp(pdf + i, "startxref\n", 10) == 0)
      start = pdf + i + 10;
  cr_assert_not_null(start);
  char *at = pdf + strtoul(start, NULL, 10);
  cr_assert_eq(memcmp(at, "xref\n0 ", 7), 0);
  unsigned long objects = strtoul(at + 7, &at, 10);
  cr_assert_gt(objects, 20);
  at += 1 + 20; /* past the line, and the first entry, which is free by rule */
  for (unsigned long number = 1; number < objects; number++, at += 20) {
    size_t offset = strtoul(at, NULL, 10);
    cr_assert(offset > 0 && offset < length && at[17] == 'n');
    char head[32];
    int size = snprintf(head, sizeof head, "%lu 0 obj\n", number);
    cr_assert_eq(memcmp(pdf + offset, head, (size_t)size), 0, "object %lu is not in its place",
                 number);
  }
  free(pdf);
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

Test(files, png_has_150_dots_an_inch_on_white) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder(), *path = canvas_path(folder, "a.png");
  bt_document document = everything();
  bt_error error = {0};
  cr_assert_eq(bt_draw_file(draw, &document, BT_FORMAT_PNG, path, &error), BT_OK, "%s", error.text);
  cairo_surface_t *picture = cairo_image_surface_create_from_png(path);
  cr_assert_eq(cairo_surface_status(picture), CAIRO_STATUS_SUCCESS);
  cr_assert_eq(cairo_image_surface_get_width(picture), 591); /* 100 mm: 590.55 */
  cr_assert_eq(cairo_image_surface_get_height(picture), 354);
  double dots = 150 / 25.4;
  cr_assert(canvas_shows(picture, 3, 3, dots, BT_INK_PAPER));
  cr_assert(canvas_shows(picture, 89, 7, dots, BT_INK_ALARM));
  cr_assert(canvas_shows(picture, 30, 15.2, dots, BT_INK_ALARM)); /* the mark at 20, 35 */
  cairo_surface_destroy(picture);
  free(path);
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

Test(files, same_document_gives_same_bytes_whatever_the_environment) {
  static const char *const names[] = {"a.pdf", "a.png", "a.svg"};
  char *folder = canvas_folder();
  for (int format = BT_FORMAT_PDF; format <= BT_FORMAT_SVG; format++) {
    char *first = NULL;
    size_t first_length = 0;
    for (int run = 0; run < 4; run++) {
      if (run == 2) {
        cr_assert_eq(setenv("TZ", "Pacific/Kiritimati", 1), 0);
        cr_assert_eq(setenv("LC_ALL", "C.UTF-8", 1), 0);
        cr_assert_eq(setenv("LANG", "ja_JP.UTF-8", 1), 0);
        cr_assert_eq(setenv("LANGUAGE", "ja", 1), 0);
        cr_assert_eq(setenv("FONTCONFIG_FILE", "/nonexistent", 1), 0);
        cr_assert_eq(setenv("SOURCE_DATE_EPOCH", "1", 1), 0);
        cr_assert_not_null(setlocale(LC_ALL, ""));
        cr_assert_not_null(setlocale(LC_NUMERIC, "C"));
        tzset();
      }
      bt_draw *draw = canvas_open();
      bt_document document = everything();
      size_t length;
      char *bytes = written(draw, &document, (bt_format)format, folder, names[format], &length);
      if (first == NULL) {
        first = bytes;
        first_length = length;
      } else {
        cr_assert(length == first_length && memcmp(bytes, first, length) == 0, "%s, run %d",
                  names[format], run);
        free(bytes);
      }
      bt_document_free(&document);
      bt_draw_close(draw);
    }
    free(first);
  }
  canvas_folder_remove(folder);
}

Test(files, svg_is_one_drawing_with_one_group_name) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder();
  bt_document document = everything();
  size_t length;
  char *svg = written(draw, &document, BT_FORMAT_SVG, folder, "a.svg", &length);
  cr_assert_eq(count(svg, length, "<svg "), 1);
  cr_assert_eq(count(svg, length, "<g id=\"surface\">"), 1);
  cr_assert_eq(count(svg, length, "id=\"surface"), 1);
  cr_assert_eq(count(svg, length, "</svg>"), 1);
  free(svg);
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

/* That the file cannot be written, with a sentence that has the word, and that nothing is left. */
static void fails(bt_draw *draw, const bt_document *document, const char *folder, const char *name,
                  bt_status expected, const char *word) {
  size_t before = canvas_folder_count(folder);
  for (int format = BT_FORMAT_PDF; format <= BT_FORMAT_SVG; format++) {
    char *path = canvas_path(folder, name);
    bt_error error = {0};
    cr_assert_eq(bt_draw_file(draw, document, (bt_format)format, path, &error), expected, "%s: %s",
                 name, error.text);
    cr_assert_eq(error.status, expected);
    cr_assert_not_null(strstr(error.text, word), "%s", error.text);
    cr_assert_eq(canvas_folder_count(folder), before, "%s", error.text);
    free(path);
  }
}

Test(files, places_that_cannot_be_written_are_named) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder(), *inside = canvas_path(folder, "sub");
  bt_document document = everything();
  fails(draw, &document, folder, "none/a.pdf", BT_SYSTEM, "none/a.pdf cannot be written");
  char name[260];
  memset(name, 'x', sizeof name - 1);
  name[sizeof name - 1] = '\0';
  fails(draw, &document, folder, name, BT_SYSTEM, "give a shorter name");
  cr_assert_eq(mkdir(inside, 0777), 0);
  fails(draw, &document, folder, "sub", BT_SYSTEM, "is a folder");
  cr_assert_eq(rmdir(inside), 0);
  cr_assert_eq(mkfifo(inside, 0666), 0);
  fails(draw, &document, folder, "sub", BT_SYSTEM, "not a plain file");
  free(inside);
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

Test(files, a_read_only_folder_is_named) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder();
  bt_document document = everything();
  cr_assert_eq(chmod(folder, 0555), 0);
  bool root = geteuid() == 0; /* root writes anywhere: the test goes on as nobody */
  if (root)
    cr_assert_eq(seteuid(65534), 0);
  fails(draw, &document, folder, "a.pdf", BT_SYSTEM, "Permission denied");
  if (root)
    cr_assert_eq(seteuid(0), 0);
  cr_assert_eq(chmod(folder, 0755), 0);
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

Test(files, a_full_disk_leaves_the_old_file_and_no_other) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder(), *path = canvas_path(folder, "a.pdf");
  FILE *old = fopen(path, "wb");
  cr_assert(old != NULL && fputs("old", old) >= 0 && fclose(old) == 0);
  bt_document document = everything();
  struct rlimit whole, little;
  cr_assert_eq(getrlimit(RLIMIT_FSIZE, &whole), 0);
  cr_assert(signal(SIGXFSZ, SIG_IGN) != SIG_ERR);
  for (rlim_t size = 0; size <= 4000; size += 1000) {
    little = whole;
    little.rlim_cur = size;
    cr_assert_eq(setrlimit(RLIMIT_FSIZE, &little), 0);
    fails(draw, &document, folder, "a.pdf", BT_SYSTEM, "cannot be written");
    cr_assert_eq(setrlimit(RLIMIT_FSIZE, &whole), 0);
  }
  size_t length;
  char *kept = canvas_read(path, &length);
  cr_assert_str_eq(kept, "old");
  free(kept);
  free(path);
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

Test(files, a_new_file_goes_over_none) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder(), *path = canvas_path(folder, "a.pdf");
  bt_document document = everything();
  bt_error error = {0};
  FILE *old = fopen(path, "wb");
  cr_assert(old != NULL && fputs("old", old) >= 0 && fclose(old) == 0);
  cr_expect_eq(bt_draw_new_file(draw, &document, BT_FORMAT_PDF, path, &error), BT_REFUSED);
  cr_expect_not_null(strstr(error.text, "not written over"), "%s", error.text);
  size_t length;
  char *kept = canvas_read(path, &length);
  cr_expect_str_eq(kept, "old");
  cr_assert_eq(unlink(path), 0);
  cr_expect_eq(bt_draw_new_file(draw, &document, BT_FORMAT_PDF, path, &error), BT_OK, "%s",
               error.text);
  cr_expect_eq(canvas_folder_count(folder), 1, "another file was left");
  free(kept);
  free(path);
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

Test(files, documents_that_are_none_are_refused) {
  bt_draw *draw = canvas_open();
  char *folder = canvas_folder();
  bt_document document = everything();
  document.pages[0].texts[0].link[0] = 'x';
  fails(draw, &document, folder, "a", BT_USAGE, "no page has this name");
  document.pages[0].texts[0].link[0] = '\'';
  fails(draw, &document, folder, "a", BT_USAGE, "no page has this name");
  document.pages[0].texts[0].link[0] = 's';
  document.pages[1].name[0] = '\'';
  fails(draw, &document, folder, "a", BT_USAGE, "no name for a page");
  document.pages[1].name[0] = 's';
  document.width_mm = NAN;
  fails(draw, &document, folder, "a", BT_USAGE, "a page cannot be");
  document.width_mm = 100;
  document.pages[0].panes[0].y_high = -1;
  fails(draw, &document, folder, "a", BT_USAGE, "wider range");
  fails(draw, &document, folder, "", BT_SYSTEM, "is a folder");
  bt_document empty = {.width_mm = 100, .height_mm = 60};
  fails(draw, &empty, folder, "a", BT_USAGE, "no page");
  bt_document_free(&document);
  canvas_folder_remove(folder);
  bt_draw_close(draw);
}

Test(files, a_missing_typeface_names_its_package) {
  char *folder = canvas_folder();
  PangoFontMap *fonts = NULL;
  bt_error error = {0};
  cr_assert_eq(draw_fonts_open(folder, &fonts, &error), BT_SYSTEM);
  cr_assert_not_null(strstr(error.text, "install the Debian package fonts-inter"), "%s",
                     error.text);
  cr_assert_null(fonts);
  canvas_folder_remove(folder);
}

Test(files, a_missing_chart_device_names_its_package) {
  char *folder = canvas_folder();
  bt_error error = {0};
  cr_assert_eq(setenv("PLPLOT_DRV_DIR", folder, 1), 0); /* a folder without drivers */
  cr_assert_eq(draw_plot_probe(&error), BT_SYSTEM);
  cr_assert_not_null(strstr(error.text, "install the Debian package plplot-driver-cairo"), "%s",
                     error.text);
  canvas_folder_remove(folder);
}
