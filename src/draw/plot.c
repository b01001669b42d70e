/* The chart library behind one file. It draws lines and fills of a pane on our own cairo context,
 * and no text.
 *
 * 1. It ends the process on a grave error: our handler jumps back out instead.
 * 2. Its window is millimetres of the pane, never the pane's own values: a range of few units in
 *    the last place would keep it in a loop for ever.
 * 3. It strokes the outline of a fill as well: the pen is made as thin as nothing before each. */
#include <math.h>
#include <plplot/plplot.h>
#include <setjmp.h>
#include <string.h>

#include "draw_room.h"

#define DEVICE          "extcairo"
#define UNITS_PER_MM    10.0 /* the device's page has a whole number of units */
#define NO_OUTLINE      0.001
#define DEVICES_AT_MOST 64

static jmp_buf way_out;
static char why[256];

static int leave(const char *reason) {
  (void)snprintf(why, sizeof why, "%s", reason);
  longjmp(way_out, 1);
}

static void remember(const char *reason) {
  (void)snprintf(why, sizeof why, "%s", reason);
}

bt_status draw_plot_probe(bt_error *error) {
  const char *menus[DEVICES_AT_MOST], *devices[DEVICES_AT_MOST];
  const char **menu = menus, **device = devices;
  int n = DEVICES_AT_MOST;
  if (setjmp(way_out) != 0) {
    plsexit(NULL);
    return bt_fail(error, BT_SYSTEM,
                   "charts cannot be drawn (%s): install the Debian package plplot-driver-cairo, "
                   "and see that the temporary folder can be written",
                   why);
  }
  plsexit(leave);
  plgDevs(&menu, &device, &n);
  plsexit(NULL);
  for (int i = 0; i < n; i++) {
    if (strcmp(devices[i], DEVICE) == 0)
      return BT_OK;
  }
  return bt_fail(error, BT_SYSTEM,
                 "charts cannot be drawn: install the Debian package plplot-driver-cairo");
}

void draw_plot_end(void) {
  plend();
}

/* Opens the device so that its viewport is the pane, to a fraction of a unit. */
static void open_chart(cairo_t *cr, double width, double height) {
  static PLINT code;
  static char text[1024]; /* the library writes into it unasked for its size: its texts are short */
  double across = width * UNITS_PER_MM, down = height * UNITS_PER_MM;
  double whole_across = ceil(across), whole_down = ceil(down);

  plsdev(DEVICE);
  plspage(0.0, 0.0, (PLINT)whole_across, (PLINT)whole_down, 0, 0);
  plinit();
  plsError(&code, text); /* after plinit, for every chart: plend1 forgets it */
  pl_cmd(PLESC_DEVINIT, cr);
  pladv(0);
  plvpor(0.0, across / whole_across, 1.0 - down / whole_down, 1.0);
  plwind(0.0, width, 0.0, height);
}

bt_status draw_plot(cairo_t *cr, double width, double height, draw_plot_body *body, void *context,
                    bt_error *error) {
  why[0] = '\0';
  cairo_save(cr);
  cairo_scale(cr, 1.0 / UNITS_PER_MM, 1.0 / UNITS_PER_MM);
  if (setjmp(way_out) != 0) {
    plsexit(NULL);
    plsabort(NULL);
    plend();
    cairo_restore(cr);
    return bt_fail(error, BT_SYSTEM, "a chart cannot be drawn: %s", why);
  }
  plsexit(leave);
  plsabort(remember);
  open_chart(cr, width, height);
  bt_status status = body(context, error);
  plend1();
  plsexit(NULL);
  plsabort(NULL);
  cairo_restore(cr);
  if (status == BT_OK && why[0] != '\0')
    return bt_fail(error, BT_SYSTEM, "a chart cannot be drawn: %s", why);
  return status;
}

static void set_ink(bt_ink ink) {
  draw_colour colour = draw_ink(ink);
  plscol0(1, colour.red, colour.green, colour.blue);
  plcol0(1);
}

void draw_plot_line(size_t n, const double *x, const double *y, bt_ink ink, double width) {
  if (n < 2)
    return;
  set_ink(ink);
  plwidth(width * UNITS_PER_MM);
  plline((PLINT)n, x, y);
}

void draw_plot_fill(size_t n, const double *x, const double *y, bt_ink ink) {
  if (n < 3)
    return;
  set_ink(ink);
  plwidth(NO_OUTLINE);
  plpsty(0);
  plfill((PLINT)n, x, y);
}
