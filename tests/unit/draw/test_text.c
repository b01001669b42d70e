/* Cleaning, measuring and drawing of texts. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "canvas.h"

#define DOTS 20.0

static void assert_clean(const char *text, bool lines, const char *expected) {
  char *clean = draw_clean(text, lines, NULL, 0);
  cr_assert_not_null(clean);
  cr_assert_str_eq(clean, expected);
  cr_assert(bt_utf8_valid(clean, strlen(clean)));
  free(clean);
}

Test(clean, replaces_what_cannot_be_set) {
  assert_clean("", true, "");
  assert_clean("µ ² ± <b>&amp;#", true, "µ ² ± <b>&amp;#");
  assert_clean("a\tb\rc\x1b[31md\x7f", true, "a b c [31md ");
  assert_clean("a\nb", true, "a\nb");
  assert_clean("a\nb", false, "a b");
  assert_clean("\xff\xc3(", true, "\xEF\xBF\xBD\xEF\xBF\xBD(");
  assert_clean("cut \xe2\x82", true, "cut \xEF\xBF\xBD\xEF\xBF\xBD");
  assert_clean("\xed\xa0\x80", true, "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"); /* a surrogate */
  assert_clean("\xc2\x85|\xe2\x80\xa8|\xe2\x80\xae", true,
               "\xEF\xBF\xBD| |\xEF\xBF\xBD"); /* C1, line separator, override */
}

Test(clean, moves_bold_ranges_with_their_letters) {
  bt_strong ranges[] = {{0, 1}, {1, 4}, {2, 99}, {4, 5}};
  char *clean = draw_clean("\xff"
                           "abc"
                           "d",
                           false, ranges, 4); /* the first letter grows to 3 */
  cr_assert_str_eq(clean, "\xEF\xBF\xBD"
                          "abcd");
  cr_assert(ranges[0].from == 0 && ranges[0].to == 3);
  cr_assert(ranges[1].from == 3 && ranges[1].to == 6);
  cr_assert(ranges[2].from == 4 && ranges[2].to == 7);
  cr_assert(ranges[3].from == 6 && ranges[3].to == 7);
  free(clean);
  bt_strong split[] = {{1, 3}}; /* from the middle of a letter: from the next one on */
  clean = draw_clean("µab", false, split, 1);
  cr_assert(split[0].from == 2 && split[0].to == 3);
  free(clean);
}

static void measured(bt_draw *draw, bt_style style, const char *text, double wrap, double *width,
                     double *height) {
  bt_measure measure = bt_draw_measure(draw);
  bt_error error = {0};
  cr_assert_eq(measure.measure(measure.context, style, text, wrap, width, height, &error), BT_OK,
               "%s", error.text);
}

Test(measure, agrees_with_what_is_drawn) {
  bt_draw *draw = canvas_open();
  for (int style = 0; style < BT_STYLE_COUNT; style++) {
    /* Of H the ink begins one side bearing after the left end; of HH's distance and of HHH's the
     * bearings are the same, so their difference is one letter's width. */
    double two, three, high;
    measured(draw, (bt_style)style, "HH", 0, &two, &high);
    measured(draw, (bt_style)style, "HHHHHHHHHHHH", 0, &three, &high);
    draw_rectangle box[2];
    for (int i = 0; i < 2; i++) {
      bt_page page = {0};
      canvas_text(&page, 10, 10, i == 0 ? "HH" : "HHHHHHHHHHHH")->style = (bt_style)style;
      cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
      cr_assert(canvas_ink_box(picture, DOTS, &box[i]));
      cairo_surface_destroy(picture);
      bt_document document = {.pages = canvas_item(&page, sizeof page), .pages_n = 1};
      bt_document_free(&document);
    }
    double drawn = (box[1].right - box[1].left) - (box[0].right - box[0].left);
    cr_assert_float_eq(drawn, three - two, 0.1, "style %d: drawn %g, measured %g", style, drawn,
                       three - two);
    cr_assert(box[1].left >= 10 && box[1].right <= 10 + three + 0.05);
    cr_assert(box[1].low >= 10 && box[1].high <= 10 + high + 0.05);
  }
  bt_draw_close(draw);
}

Test(measure, type_is_as_large_as_it_says) {
  /* Capitals of the typeface are 0.727 of its size (its own metrics, OS/2 sCapHeight 1490 / 2048).
   */
  bt_draw *draw = canvas_open();
  bt_page page = {0};
  canvas_text(&page, 10, 10, "H")->style = BT_STYLE_TITLE;
  cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
  draw_rectangle box;
  cr_assert(canvas_ink_box(picture, DOTS, &box));
  double expected = 0.727 * bt_style_points(BT_STYLE_TITLE) * 25.4 / 72.0;
  cr_assert_float_eq(box.high - box.low, expected, 0.12, "%g, not %g", box.high - box.low,
                     expected);
  cairo_surface_destroy(picture);
  bt_document document = {.pages = canvas_item(&page, sizeof page), .pages_n = 1};
  bt_document_free(&document);
  bt_draw_close(draw);
}

Test(measure, wraps_within_its_width_and_grows_downwards) {
  bt_draw *draw = canvas_open();
  const char *text =
      "Every check is inside tolerance. The ratio has been falling since a day in July.";
  double width, height, line_width, line_height;
  measured(draw, BT_STYLE_BODY, text, 0, &line_width, &line_height);
  measured(draw, BT_STYLE_BODY, text, 50, &width, &height);
  cr_assert_leq(width, 50.01);
  cr_assert_gt(line_width, 100);
  double lines = height / line_height;
  cr_assert(lines > 2.9 && lines < 4.1, "%g lines", lines);
  /* A word longer than the width is broken, not cut. */
  measured(draw, BT_STYLE_BODY, "mmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmm", 30, &width,
           &height);
  cr_assert(width <= 30.01 && height > 2 * line_height);
  /* Bold is wider. */
  bt_measure measure = bt_draw_measure(draw);
  bt_strong all = {0, strlen(text)};
  double bold;
  cr_assert_eq(measure.measure_strong(measure.context, BT_STYLE_BODY, text, &all, 1, 0, &bold,
                                      &height, NULL),
               BT_OK);
  cr_assert(bold > 1.02 * line_width, "%g of %g", bold, line_width);
  cr_assert_eq(measure.measure(measure.context, BT_STYLE_BODY, text, NAN, &width, &height, NULL),
               BT_USAGE);
  bt_draw_close(draw);
}

/* Bytes at which the lines of a wrapped text begin are never inside these. */
static void stays_whole(bt_draw *draw, const char *text, const char *whole, double wrap) {
  const char *from = strstr(text, whole);
  cr_assert_not_null(from);
  PangoLayout *layout = NULL;
  draw_words words = {.text = text, .style = BT_STYLE_BODY, .wrap = wrap};
  cr_assert_eq(draw_layout(draw, &words, &layout, NULL), BT_OK);
  for (int i = 0; i < pango_layout_get_line_count(layout); i++) {
    size_t begins = (size_t)pango_layout_get_line_readonly(layout, i)->start_index;
    cr_expect(begins <= (size_t)(from - text) || begins >= (size_t)(from - text) + strlen(whole),
              "%s at %g mm", text, wrap);
  }
  double width, height;
  draw_layout_size(layout, &width, &height);
  cr_expect_leq(width, wrap + 0.01, "%s at %g mm: %g", text, wrap, width);
  g_object_unref(layout);
}

Test(measure, units_and_numbers_with_their_unit_are_not_parted) {
  static const char *const texts[][2] = {
      {"It goes by −0.415 mJ/cm² a month, so it is", "−0.415 mJ/cm²"},
      {"It goes by −0.415\xC2\xA0mJ/cm² a month, so it is", "−0.415\xC2\xA0mJ/cm²"},
      {"a loss of (mJ/cm²), about as much", "(mJ/cm²),"},
      {"variance 1/(9n) + C²/(2ν) for the others", "C²/(2ν)"},
      {"becomes possible (5 %) by December", "(5 %)"},
      {"the voltage of 27.4 kV; its ceiling", "27.4 kV;"},
      {"the offset was 3.5 µm and more", "3.5 µm"},
      {"limits of alarms, 3.9 σ from the centre", "3.9 σ"},
      {"write “beamtally resolve 192826de --cause TEXT --action TEXT” down", "--action TEXT”"},
      {"write “beamtally resolve 192826de --cause TEXT --by NAME”. More", "--by NAME”."},
      {"a check below 0.96 at a fill’s end: 1 in 20 by October", "1 in 20"},
      {"see “beamtally signals --characteristic energy_ratio”", "--c"}};
  bt_draw *draw = canvas_open();
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
    for (double wrap = 28; wrap < 90; wrap += 0.5)
      stays_whole(draw, texts[i][0], texts[i][1], wrap);
  /* What is long breaks all the same, and words that are no units may. */
  double width, height, line, one;
  measured(draw, BT_STYLE_BODY, "x", 0, &line, &one);
  measured(draw, BT_STYLE_BODY, "a/very/long/path/that/no/column/holds/on/one/line", 40, &width,
           &height);
  cr_expect(width <= 40.01 && height > 1.5 * one);
  bt_draw_close(draw);
}

static draw_rectangle drawn(bt_draw *draw, bt_page *page) {
  cairo_surface_t *picture = canvas_picture(draw, page, DOTS);
  draw_rectangle box;
  cr_assert(canvas_ink_box(picture, DOTS, &box));
  cairo_surface_destroy(picture);
  bt_document document = {.pages = canvas_item(page, sizeof *page), .pages_n = 1};
  bt_document_free(&document);
  return box;
}

Test(text, stands_where_its_alignment_says) {
  bt_draw *draw = canvas_open();
  double width, height;
  measured(draw, BT_STYLE_BODY, "HHHHHHHH", 0, &width, &height);
  for (int align = BT_ALIGN_LEFT; align <= BT_ALIGN_RIGHT; align++) {
    bt_page page = {0};
    canvas_text(&page, 50, 30, "HHHHHHHH")->align = (bt_align)align;
    draw_rectangle box = drawn(draw, &page);
    double middle = 50 + width * (align == BT_ALIGN_LEFT     ? 0.5
                                  : align == BT_ALIGN_CENTRE ? 0
                                                             : -0.5);
    cr_assert_float_eq((box.left + box.right) / 2, middle, 0.1);
    cr_assert(box.low > 30 && box.high < 30 + height);

    /* Wrapped, the anchor is the same part of the wrap width. */
    bt_page wrapped = {0};
    bt_page_text *text = canvas_text(&wrapped, 50, 30, "HHHHHHHH");
    text->align = (bt_align)align;
    text->wrap = true;
    text->width = 40;
    box = drawn(draw, &wrapped);
    cr_assert_float_eq((box.left + box.right) / 2, middle, 0.1, "align %d: %g", align, box.left);
  }
  /* Turned by 90 degrees it reads upwards from its anchor. */
  bt_page turned = {0};
  canvas_text(&turned, 50, 50, "HHHHHHHH")->turn = 90;
  draw_rectangle box = drawn(draw, &turned);
  cr_assert(box.left > 50 && box.right < 50 + height && box.high <= 50);
  cr_assert_float_eq((box.low + box.high) / 2, 50 - width / 2, 0.1);
  bt_draw_close(draw);
}

Test(text, bold_ranges_are_bold) {
  bt_draw *draw = canvas_open();
  bt_page plain = {0}, bold = {0};
  canvas_text(&plain, 10, 10, "IIIIIIIIII");
  bt_page_text *text = canvas_text(&bold, 10, 10, "IIIIIIIIII");
  text->strong_n = 1;
  text->strong[0] = (bt_strong){5, 10};
  cr_assert_gt(drawn(draw, &bold).right, drawn(draw, &plain).right + 0.3);
  bt_draw_close(draw);
}

Test(text, hostile_texts_are_set_and_missing_letters_counted) {
  bt_draw *draw = canvas_open();
  char *many = bt_new(10001, 1);
  memset(many, 'm', 10000);
  const char *texts[] = {"",
                         "<b>&#",
                         "#1 %s %n",
                         "\x01\x02\x1b[0m",
                         "\n\n\n",
                         "\xff\xfe",
                         "\xe2\x80\xae"
                         "abc",
                         many,
                         "a\xcc\x81\xcc\x81\xcc\x81"};
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
    for (int wrap = 0; wrap < 2; wrap++) {
      bt_page page = {0};
      bt_page_text *text = canvas_text(&page, 10, 10, texts[i]);
      text->wrap = wrap;
      text->width = 50;
      text->strong_n = 2;
      text->strong[0] = (bt_strong){1, 999999};
      text->strong[1] = (bt_strong){5, 2};
      cairo_surface_destroy(canvas_picture(draw, &page, 4));
      bt_document document = {.pages = canvas_item(&page, sizeof page), .pages_n = 1};
      bt_document_free(&document);
    }
  free(many);
  size_t before = bt_draw_missing_glyphs(draw);
  bt_page page = {0};
  canvas_text(&page, 10, 10, "漢字"); /* two letters that the typeface lacks */
  (void)drawn(draw, &page);
  cr_assert_eq(bt_draw_missing_glyphs(draw), before + 2);
  bt_page known = {0};
  canvas_text(&known, 10, 10, "µ ² ± σ Σ Δ ≤ ≥ → × · √ ∞ ▲ △ ▼ ▽ ● ○ ■ □ ◆ ◇ ÷ – − … ’ “ ”");
  (void)drawn(draw, &known);
  cr_assert_eq(bt_draw_missing_glyphs(draw), before + 2);
  bt_draw_close(draw);
}

/* DejaVu Sans, which fontconfig brings along, has the snowman and Armenian letters that Inter
 * lacks; neither has Chinese ones. */
#define FURTHER_FACE "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"

static cairo_surface_t *picture_of(bt_draw *draw, const char *words) {
  bt_page page = {0};
  canvas_text(&page, 10, 10, words);
  cairo_surface_t *picture = canvas_picture(draw, &page, 4);
  bt_document document = {.pages = canvas_item(&page, sizeof page), .pages_n = 1};
  bt_document_free(&document);
  return picture;
}

static bool same_picture(cairo_surface_t *a, cairo_surface_t *b) {
  size_t n = (size_t)cairo_image_surface_get_stride(a) * (size_t)cairo_image_surface_get_height(a);
  return memcmp(cairo_image_surface_get_data(a), cairo_image_surface_get_data(b), n) == 0;
}

Test(text, a_further_face_sets_what_the_own_one_lacks_and_nothing_else) {
  static const char ours[] = "Suite North, 1.6 mJ, µ², Ünal ≥ 3", theirs[] = "Երևան ☃ 漢字";
  bt_draw *draw = canvas_open();
  bt_error error = {0};
  cairo_surface_t *ours_before = picture_of(draw, ours), *boxes = picture_of(draw, theirs);
  cr_assert_eq(bt_draw_missing_glyphs(draw), 8);
  cr_expect_eq(bt_draw_add_face(draw, "/nowhere/face.otf", &error), BT_SYSTEM);
  cr_assert_eq(bt_draw_add_face(draw, FURTHER_FACE, &error), BT_OK, "%s", error.text);
  cairo_surface_t *ours_after = picture_of(draw, ours), *letters = picture_of(draw, theirs);
  cr_expect_eq(bt_draw_missing_glyphs(draw), 8 + 2);
  cr_expect(same_picture(ours_before, ours_after));
  cr_expect_not(same_picture(boxes, letters));
  cr_expect_eq(cairo_surface_status(letters), CAIRO_STATUS_SUCCESS);
  cairo_surface_t *const all[] = {ours_before, boxes, ours_after, letters};
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    cairo_surface_destroy(all[i]);
  bt_draw_close(draw);
}

Test(text, what_is_no_face_is_refused_with_the_reason) {
  static const struct {
    const char *file, *words;
  } cases[] = {{"/nowhere/face.otf", "/nowhere/face.otf cannot be read: No such file"},
               {"/usr/share/fonts", "/usr/share/fonts is no file"},
               {"/dev/null", "/dev/null is no file"},
               {"/etc/passwd", "/etc/passwd is no typeface"},
               {"", "cannot be read"}};
  bt_error error = {0};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    cr_expect_eq(bt_face_check(cases[i].file, &error), BT_SYSTEM, "%s", cases[i].file);
    cr_expect_not_null(strstr(error.text, cases[i].words), "%s", error.text);
  }
  cr_expect_eq(bt_face_check(FURTHER_FACE, &error), BT_OK, "%s", error.text);
}
