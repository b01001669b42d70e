/* Faults inside the chart library: each becomes a sentence, and the next chart is right. */
#include <criterion/criterion.h>
#include <plplot/plplot.h>
#include <string.h>

#include "canvas.h"

/* A spacing of ticks that the library takes for a reason to end the process. */
static bt_status grave(void *context, bt_error *error) {
  (void)context;
  (void)error;
  plwind(0, 10, 0, 10);
  plbox("bct", 1e-5, 0, "bc", 0, 0);
  return BT_OK;
}

/* A call that it answers with a message and ignores. */
static bt_status slight(void *context, bt_error *error) {
  (void)context;
  (void)error;
  plvpor(0.9, 0.1, 0.9, 0.1);
  return BT_OK;
}

static bt_status ours(void *context, bt_error *error) {
  (void)context;
  return bt_fail(error, BT_USAGE, "ours");
}

static bt_status square(void *context, bt_error *error) {
  (void)context;
  (void)error;
  draw_plot_fill(4, (double[]){10, 20, 20, 10}, (double[]){10, 10, 20, 20}, BT_INK_ALARM);
  return BT_OK;
}

static bt_status run(draw_plot_body *body, cairo_surface_t *picture, bt_error *error) {
  cairo_t *cr = cairo_create(picture);
  bt_status status = draw_plot(cr, 80, 40, body, NULL, error);
  cr_assert_eq(cairo_status(cr), CAIRO_STATUS_SUCCESS);
  cairo_destroy(cr);
  return status;
}

Test(plot, faults_are_sentences_and_the_next_chart_is_right) {
  static draw_plot_body *const faults[] = {grave, slight, grave, ours};
  static const bt_status expected[] = {BT_SYSTEM, BT_SYSTEM, BT_SYSTEM, BT_USAGE};
  static const char *const words[] = {"magnitude of specified tick spacing", "Invalid limits",
                                      "magnitude of specified tick spacing", "ours"};
  bt_draw *draw = canvas_open();
  for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
    cairo_surface_t *picture = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 80, 40);
    bt_error error = {0};
    cr_assert_eq(run(faults[i], picture, &error), expected[i], "fault %zu: %s", i, error.text);
    cr_assert_not_null(strstr(error.text, words[i]), "%s", error.text);
    cairo_surface_destroy(picture);
    picture = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 80, 40);
    cr_assert_eq(run(square, picture, &error), BT_OK, "%s", error.text);
    cairo_surface_flush(picture);
    cr_assert(canvas_shows(picture, 15, 25, 1, BT_INK_ALARM), "after fault %zu", i);
    cr_assert_not(canvas_shows(picture, 25, 25, 1, BT_INK_ALARM), "after fault %zu", i);
    cairo_surface_destroy(picture);
  }
  bt_draw_close(draw);
}
