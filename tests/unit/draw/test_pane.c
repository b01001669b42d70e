/* Panes, boxes and lines: each kind's colour at its place, nothing outside, odd input refused. */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

#include "canvas.h"

#define DOTS 20.0

static void free_page(bt_page *page) {
  bt_document document = {.pages = canvas_item(page, sizeof *page), .pages_n = 1};
  bt_document_free(&document);
}

/* Does a dot of the picture at a place of the pane (in mm from its lower left) have that ink? */
static bool shows(cairo_surface_t *picture, double x, double up, bt_ink ink) {
  return canvas_shows(picture, 10 + x, 50 - up, DOTS, ink);
}

static void set_polyline(bt_pane *pane, size_t n, const double *x, const double *y, bool filled) {
  bt_polyline line = {.n = n,
                      .x = canvas_values(n, x),
                      .y = canvas_values(n, y),
                      .ink = BT_INK_SERIES,
                      .width_mm = 0.5,
                      .filled = filled,
                      .base = 20,
                      .fill_ink = BT_INK_FALL_SOFT};
  pane->lines = canvas_item(&line, sizeof line);
  pane->lines_n = 1;
}

static void set_marks(bt_pane *pane, size_t n, const double *x, const double *y, bt_shape shape,
                      bt_ink ink) {
  bt_marks marks = {.n = n,
                    .x = canvas_values(n, x),
                    .y = canvas_values(n, y),
                    .shape = shape,
                    .ink = ink,
                    .size_mm = 4};
  pane->marks = canvas_item(&marks, sizeof marks);
  pane->marks_n = 1;
}

Test(pane, every_kind_of_item_shows_at_its_place) {
  bt_draw *draw = canvas_open();
  bt_page page = {0};
  bt_pane *pane = canvas_pane(&page);
  pane->framed = true;
  bt_span span = {70, 75, BT_INK_BASELINE};
  bt_band band = {5, 15, BT_INK_ZONE_B};
  bt_bar bar = {2, 6, 30, 38, BT_INK_FILL_ODD};
  bt_pane_level level = {20, BT_INK_LIMIT, BT_DASH_SOLID, 0.5};
  bt_pane_level vertical = {60, BT_INK_TOLERANCE, BT_DASH_SOLID, 0.5};
  double x[] = {10, 30, 50}, y[] = {20, 10, 10}, mark_x[] = {40}, mark_y[] = {35};
  double tick = 25, day = 66;
  pane->spans = canvas_item(&span, sizeof span);
  pane->bands = canvas_item(&band, sizeof band);
  pane->bars = canvas_item(&bar, sizeof bar);
  pane->levels = canvas_item(&level, sizeof level);
  pane->verticals = canvas_item(&vertical, sizeof vertical);
  pane->y_ticks = canvas_item(&tick, sizeof tick);
  pane->x_ticks = canvas_item(&day, sizeof day);
  pane->spans_n = pane->bands_n = pane->bars_n = pane->levels_n = pane->verticals_n = 1;
  pane->x_ticks_n = pane->y_ticks_n = 1;
  set_polyline(pane, 3, x, y, true);
  set_marks(pane, 1, mark_x, mark_y, BT_SHAPE_SQUARE, BT_INK_ALARM);
  canvas_box(&page, (bt_page_box){92, 10, 5, 5, BT_INK_NOTICE});
  canvas_line(&page, (bt_page_line){92, 20, 97, 20, 0.5, BT_INK_RAW, BT_DASH_SOLID});

  cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
  cr_assert(shows(picture, 72, 30, BT_INK_BASELINE));
  cr_assert(shows(picture, 67, 30, BT_INK_PAPER));
  cr_assert(shows(picture, 5, 7, BT_INK_ZONE_B));
  cr_assert(shows(picture, 5, 4, BT_INK_PAPER));
  cr_assert(shows(picture, 4, 34, BT_INK_FILL_ODD));
  cr_assert(shows(picture, 7, 34, BT_INK_PAPER));
  cr_assert(shows(picture, 55, 20, BT_INK_LIMIT));
  cr_assert(shows(picture, 60, 33, BT_INK_TOLERANCE));
  cr_assert(shows(picture, 20, 15, BT_INK_SERIES));
  cr_assert(shows(picture, 40, 10, BT_INK_SERIES));
  cr_assert(shows(picture, 40, 17, BT_INK_FALL_SOFT)); /* between line and base, over the band */
  cr_assert(shows(picture, 40, 35, BT_INK_ALARM));
  cr_assert(shows(picture, 1, 25, BT_INK_FAINT) && shows(picture, 79, 25, BT_INK_FAINT));
  cr_assert(shows(picture, 66, 0.6, BT_INK_FAINT));
  cr_assert(shows(picture, 50, 40, BT_INK_FAINT)); /* frame */
  cr_assert(canvas_shows(picture, 94, 12, DOTS, BT_INK_NOTICE));
  cr_assert(canvas_shows(picture, 94, 20, DOTS, BT_INK_RAW));
  cairo_surface_destroy(picture);
  free_page(&page);
  bt_draw_close(draw);
}

Test(pane, every_ink_shows_its_colour_in_fills_of_both_libraries) {
  bt_draw *draw = canvas_open();
  bt_page page = {0};
  bt_pane *pane = canvas_pane(&page);
  pane->bars = bt_new(BT_INK_COUNT, sizeof *pane->bars);
  for (int ink = 0; ink < BT_INK_COUNT; ink++) {
    pane->bars[pane->bars_n++] = (bt_bar){3 * ink, 3 * ink + 3, 0, 20, (bt_ink)ink};
    canvas_box(&page, (bt_page_box){10 + 3 * ink, 52, 3, 5, (bt_ink)ink});
  }
  cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
  for (int ink = 0; ink < BT_INK_COUNT; ink++) {
    cr_assert(shows(picture, 3 * ink + 1.5, 10, (bt_ink)ink), "bar of ink %d", ink);
    cr_assert(canvas_shows(picture, 11.5 + 3 * ink, 55, DOTS, (bt_ink)ink), "box of ink %d", ink);
  }
  cairo_surface_destroy(picture);
  free_page(&page);
  bt_draw_close(draw);
}

Test(pane, every_shape_of_mark_shows_its_form) {
  /* For each shape: a place inside of its ink and one outside, from its centre, in halves. */
  static const struct {
    bt_shape shape;
    double in[2], out[2];
  } forms[] = {
      {BT_SHAPE_DOT, {0, 0}, {0.85, 0.85}},       {BT_SHAPE_RING, {0.84, 0}, {0, 0}},
      {BT_SHAPE_UP, {0, -0.6}, {0.8, -0.6}},      {BT_SHAPE_DOWN, {0, 0.6}, {0.8, 0.6}},
      {BT_SHAPE_SQUARE, {0.75, 0.75}, {0.95, 0}}, {BT_SHAPE_DIAMOND, {0.85, 0}, {0.7, 0.7}},
      {BT_SHAPE_CROSS, {0.6, 0.6}, {0.6, 0}}};
  bt_draw *draw = canvas_open();
  for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
    bt_page page = {0};
    double x = 40, y = 20;
    set_marks(canvas_pane(&page), 1, &x, &y, forms[i].shape, BT_INK_ALARM);
    cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
    cr_assert(
        canvas_shows(picture, 50 + 2 * forms[i].in[0], 30 + 2 * forms[i].in[1], DOTS, BT_INK_ALARM),
        "shape %zu", i);
    cr_assert(canvas_shows(picture, 50 + 2 * forms[i].out[0], 30 + 2 * forms[i].out[1], DOTS,
                           BT_INK_PAPER),
              "shape %zu", i);
    draw_rectangle box;
    cr_assert(canvas_ink_box(picture, DOTS, &box));
    cr_assert(box.right - box.left > 3.2 && box.right - box.left < 4.2, "shape %zu: %g", i,
              box.right - box.left);
    cairo_surface_destroy(picture);
    free_page(&page);
  }
  bt_draw_close(draw);
}

Test(pane, marks_stay_whole_at_the_edge_and_shifted) {
  bt_draw *draw = canvas_open();
  bt_page page = {0};
  bt_pane *pane = canvas_pane(&page);
  /* On the edge, beyond it upwards, beyond it in x, not finite. */
  double x[] = {0, 40, 81, NAN, 20, INFINITY}, y[] = {20, 500, 20, 20, INFINITY, 5};
  set_marks(pane, 6, x, y, BT_SHAPE_DOT, BT_INK_ALARM);
  cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
  cr_assert(canvas_shows(picture, 8.5, 30, DOTS, BT_INK_ALARM));
  cr_assert(canvas_shows(picture, 50, 8.5, DOTS, BT_INK_ALARM));
  cr_assert(canvas_shows(picture, 90, 30, DOTS, BT_INK_PAPER));
  draw_rectangle box;
  cr_assert(canvas_ink_box(picture, DOTS, &box));
  cr_assert(box.left > 7.9 && box.right < 52.1 && box.low > 7.9 && box.high < 32.1);
  cairo_surface_destroy(picture);
  pane->marks[0].n = 1;
  pane->marks[0].shift_mm = 5;
  picture = canvas_picture(draw, &page, DOTS);
  cr_assert(canvas_shows(picture, 10, 35, DOTS, BT_INK_ALARM));
  cr_assert(canvas_shows(picture, 10, 30, DOTS, BT_INK_PAPER));
  cairo_surface_destroy(picture);
  free_page(&page);
  bt_draw_close(draw);
}

/* Width of what is drawn along a column of dots, mm: ink by its darkness, so that half-covered dots
 * count half. */
static double thickness(cairo_surface_t *picture, double x, double from, double to, bt_ink ink) {
  double full = 255.0 - draw_ink(ink).red, sum = 0;
  for (double y = from + 0.5 / DOTS; y < to; y += 1 / DOTS)
    sum += (255.0 - canvas_dot(picture, x, y, DOTS).red) / full;
  return sum / DOTS;
}

Test(pane, lines_are_as_wide_as_they_say) {
  static const double widths[] = {0.1, 0.2, 0.35, 1.0};
  bt_draw *draw = canvas_open();
  for (size_t i = 0; i < sizeof widths / sizeof *widths; i++) {
    bt_page page = {0};
    bt_pane *pane = canvas_pane(&page);
    bt_pane_level level = {30, BT_INK_LIMIT, BT_DASH_SOLID, widths[i]};
    pane->levels = canvas_item(&level, sizeof level);
    pane->levels_n = 1;
    double x[] = {0, 80}, y[] = {10, 10};
    set_polyline(pane, 2, x, y, false);
    pane->lines[0].width_mm = widths[i];
    canvas_line(&page, (bt_page_line){10, 55, 90, 55, widths[i], BT_INK_TEXT, BT_DASH_SOLID});
    cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
    cr_assert_float_eq(thickness(picture, 50, 15, 25, BT_INK_LIMIT), widths[i], 0.02, "%g: %g",
                       widths[i], thickness(picture, 50, 15, 25, BT_INK_LIMIT));
    cr_assert_float_eq(thickness(picture, 50, 35, 45, BT_INK_SERIES), widths[i], 0.02);
    cr_assert_float_eq(thickness(picture, 50, 52, 58, BT_INK_TEXT), widths[i], 0.02);
    cairo_surface_destroy(picture);
    free_page(&page);
  }
  bt_draw_close(draw);
}

Test(pane, dashes_leave_gaps) {
  bt_draw *draw = canvas_open();
  for (int dash = BT_DASH_SOLID; dash <= BT_DASH_DOTTED; dash++) {
    bt_page page = {0};
    bt_pane *pane = canvas_pane(&page);
    bt_pane_level level = {20, BT_INK_LIMIT, (bt_dash)dash, 0.4};
    pane->levels = canvas_item(&level, sizeof level);
    pane->levels_n = 1;
    canvas_line(&page, (bt_page_line){10, 55, 90, 55, 0.4, BT_INK_LIMIT, (bt_dash)dash});
    cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
    double on = 0, off = 0;
    draw_dash((bt_dash)dash, 0.4, &on, &off);
    double part = dash == BT_DASH_SOLID ? 1 : on / (on + off), inked[2] = {0, 0};
    for (double x = 10 + 0.5 / DOTS; x < 90; x += 1 / DOTS) {
      inked[0] += canvas_shows(picture, x, 30, DOTS, BT_INK_LIMIT);
      inked[1] += canvas_shows(picture, x, 55, DOTS, BT_INK_LIMIT);
    }
    for (int i = 0; i < 2; i++)
      cr_assert_float_eq(inked[i] / (80 * DOTS), part, 0.12, "dash %d: %g of %g", dash,
                         inked[i] / (80 * DOTS), part);
    cairo_surface_destroy(picture);
    free_page(&page);
  }
  bt_draw_close(draw);
}

Test(pane, nothing_leaves_the_pane) {
  bt_draw *draw = canvas_open();
  bt_page page = {0};
  bt_pane *pane = canvas_pane(&page);
  double x[] = {-1e300, 10, 20, 30, 1e17, 50, 60}, y[] = {5, 1e300, -1e300, 1e9, -7e8, 20, 1e308};
  set_polyline(pane, 7, x, y, true);
  bt_span span = {-50, 500, BT_INK_BASELINE};
  bt_band band = {-1e300, 1e300, BT_INK_ZONE_C};
  bt_bar bar = {-9, 900, 35, 1e9, BT_INK_FILL_ODD};
  bt_pane_level levels[] = {{41, BT_INK_LIMIT, BT_DASH_SOLID, 0.5},
                            {NAN, BT_INK_LIMIT, BT_DASH_SOLID, 1}};
  double ticks[] = {-5, 500, INFINITY};
  pane->spans = canvas_item(&span, sizeof span);
  pane->bands = canvas_item(&band, sizeof band);
  pane->bars = canvas_item(&bar, sizeof bar);
  pane->levels = canvas_item(levels, sizeof levels);
  pane->verticals = canvas_item(levels, sizeof levels);
  pane->verticals[0].at = 80.5;
  pane->y_ticks = canvas_values(3, ticks);
  pane->x_ticks = canvas_values(3, ticks);
  pane->spans_n = pane->bands_n = pane->bars_n = 1;
  pane->levels_n = pane->verticals_n = 2;
  pane->x_ticks_n = pane->y_ticks_n = 3;
  cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
  draw_rectangle box;
  cr_assert(canvas_ink_box(picture, DOTS, &box));
  cr_assert_float_eq(box.left, 10, 1e-9);
  cr_assert_float_eq(box.right, 90, 1e-9);
  cr_assert_float_eq(box.low, 10, 1e-9);
  cr_assert_float_eq(box.high, 50, 1e-9);
  cr_assert(shows(picture, 1, 10, BT_INK_ZONE_C)); /* the band is cut, not lost */
  cairo_surface_destroy(picture);
  free_page(&page);
  bt_draw_close(draw);
}

Test(pane, positions_that_are_not_finite_break_the_line) {
  bt_draw *draw = canvas_open();
  bt_page page = {0};
  double x[] = {NAN, 5, 20, NAN, 40, 60, 65, INFINITY, 70},
         y[] = {1, 20, 20, 20, 20, 20, NAN, 3, 9};
  set_polyline(canvas_pane(&page), 9, x, y, false);
  cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
  cr_assert(shows(picture, 10, 20, BT_INK_SERIES) && shows(picture, 50, 20, BT_INK_SERIES));
  cr_assert(shows(picture, 30, 20, BT_INK_PAPER) && shows(picture, 68, 13, BT_INK_PAPER));
  cairo_surface_destroy(picture);
  free_page(&page);
  bt_draw_close(draw);
}

Test(pane, few_and_many_points_are_drawn) {
  static const size_t counts[] = {0, 1, 2, 100000};
  bt_draw *draw = canvas_open();
  for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
    size_t n = counts[i];
    double *x = bt_new(n, sizeof *x), *y = bt_new(n, sizeof *y);
    for (size_t j = 0; j < n; j++) {
      x[j] = 80.0 * (double)j / (double)n;
      y[j] = j == n / 2 ? 38 : 10 + 5 * sin((double)j);
    }
    bt_page page = {0};
    bt_pane *pane = canvas_pane(&page);
    set_polyline(pane, n, x, y, true);
    set_marks(pane, n, x, y, BT_SHAPE_DOT, BT_INK_ALARM);
    pane->marks[0].size_mm = 1;
    cairo_surface_t *picture = canvas_picture(draw, &page, DOTS);
    draw_rectangle box;
    cr_assert_eq(canvas_ink_box(picture, DOTS, &box), n > 0);
    if (n > 0) /* the one mark apart from the others is there */
      cr_assert(shows(picture, x[n / 2], 38, BT_INK_ALARM), "%zu points", n);
    cairo_surface_destroy(picture);
    free(x);
    free(y);
    free_page(&page);
  }
  bt_draw_close(draw);
}

static bt_status draw_it(bt_draw *draw, const bt_page *page, bt_error *error) {
  cairo_surface_t *picture = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 100, 60);
  cairo_t *cr = cairo_create(picture);
  bt_status status = draw_page(draw, cr, page, error);
  cr_assert_eq(cairo_status(cr), CAIRO_STATUS_SUCCESS);
  cairo_destroy(cr);
  cairo_surface_destroy(picture);
  return status;
}

Test(pane, ranges_without_width_are_refused, .timeout = 20) {
  static const double ranges[][2] = {{1, 0},   {1, 1},        {1, 1 + 5e-16},    {1, 1 + 9e-10},
                                     {NAN, 1}, {0, INFINITY}, {-1e308, 1.7e308}, {0, 1e-320}};
  bt_draw *draw = canvas_open();
  for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++) {
    for (int way = 0; way < 2; way++) {
      bt_page page = {.title = bt_copy("Fluence")};
      bt_pane *pane = canvas_pane(&page);
      *(way ? &pane->x_low : &pane->y_low) = ranges[i][0];
      *(way ? &pane->x_high : &pane->y_high) = ranges[i][1];
      bt_error error = {0};
      cr_assert_eq(draw_it(draw, &page, &error), BT_USAGE, "range %zu", i);
      cr_assert_not_null(strstr(error.text, "Fluence"), "%s", error.text);
      cr_assert_not_null(strstr(error.text, "wider range"), "%s", error.text);
      free_page(&page);
    }
  }
  bt_page narrow = {0};
  bt_pane *pane = canvas_pane(&narrow);
  pane->y_low = 1;
  pane->y_high = 1 + 1e-8;
  cr_assert_eq(draw_it(draw, &narrow, NULL), BT_OK);
  free_page(&narrow);
  bt_draw_close(draw);
}

Test(pane, places_that_are_no_places_are_refused) {
  bt_draw *draw = canvas_open();
  bt_error error = {0};
  bt_page page = {0};
  canvas_pane(&page)->width = 0;
  cr_assert_eq(draw_it(draw, &page, &error), BT_USAGE);
  page.panes[0].width = 80;
  page.panes[0].x = NAN;
  cr_assert_eq(draw_it(draw, &page, &error), BT_USAGE);
  page.panes[0].x = 10;
  cr_assert_eq(draw_it(draw, &page, &error), BT_OK);
  bt_page_text *text = canvas_text(&page, NAN, 0, "a");
  cr_assert_eq(draw_it(draw, &page, &error), BT_USAGE);
  text->x = 0;
  bt_page_box *box = canvas_box(&page, (bt_page_box){0, 0, INFINITY, 1, BT_INK_TEXT});
  cr_assert_eq(draw_it(draw, &page, &error), BT_USAGE);
  box->width = 1;
  canvas_line(&page, (bt_page_line){0, 0, 1, NAN, 1, BT_INK_TEXT, BT_DASH_SOLID});
  cr_assert_eq(draw_it(draw, &page, &error), BT_USAGE);
  free_page(&page);
  bt_draw_close(draw);
}
