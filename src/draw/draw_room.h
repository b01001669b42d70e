/* What the files of the draw room share. All lengths are millimetres unless a name says points.
 *
 * A cairo context that is passed here has one unit a millimetre, origin at the page's upper left
 * corner, y down. Ownership as in the public header. */
#ifndef BEAMTALLY_DRAW_ROOM_H
#define BEAMTALLY_DRAW_ROOM_H

#include <cairo.h>
#include <pango/pango.h>
#include <stdio.h>

#include "beamtally/draw.h"

#define DRAW_POINTS_PER_MM (72.0 / 25.4)

/* ---- Inks ------------------------------------------------------------------------------------ */

typedef struct draw_colour {
  unsigned char red, green, blue; /* sRGB */
} draw_colour;

draw_colour draw_ink(bt_ink ink);
void draw_set_ink(cairo_t *cr, bt_ink ink);

/* ---- Text ------------------------------------------------------------------------------------ */

/* The fonts of that folder alone, owned; BT_SYSTEM when a face is missing there. */
bt_status draw_fonts_open(const char *folder, PangoFontMap **fonts, bt_error *error) BT_MUST_CHECK;

/* Adds the faces of one file, for characters that the others lack; BT_SYSTEM says why it can't. */
bt_status draw_fonts_add(PangoFontMap *fonts, const char *file, bt_error *error) BT_MUST_CHECK;

/* A context in which text is laid out alike on every surface and in every environment, owned. */
PangoContext *draw_fonts_context(PangoFontMap *fonts) BT_MUST_CHECK;

/* A copy of text that is well-formed UTF-8 without control characters, owned; NULL without memory.
 * Line breaks stay where keep_lines says so. ranges (n of them) are moved along with the bytes. */
char *draw_clean(const char *text, bool keep_lines, bt_strong *ranges, size_t n) BT_MUST_CHECK;

/* Keeps lines from ending inside a unit, or between a number and its unit. */
void draw_join(PangoAttrList *attributes, const char *text);

/* What a layout is made of. */
typedef struct draw_words {
  const char *text;
  bt_style style;
  bt_align align;
  double wrap; /* 0: one line */
  const bt_strong *strong;
  size_t strong_n;
} draw_words;

/* The one way from words to a layout, for measuring and for drawing; owned (g_object_unref). */
bt_status draw_layout(bt_draw *draw, const draw_words *words, PangoLayout **layout,
                      bt_error *error) BT_MUST_CHECK;
void draw_layout_size(PangoLayout *layout, double *width, double *height);

/* Draws one text and counts the characters that no font has. */
bt_status draw_text(bt_draw *draw, cairo_t *cr, const bt_page_text *text,
                    bt_error *error) BT_MUST_CHECK;

/* ---- Polylines ------------------------------------------------------------------------------- */

/* Points in the making; both arrays hold `room` items. Owned: draw_points_free. */
typedef struct draw_points {
  double *x, *y;
  size_t n, room_x, room_y;
} draw_points;

bool draw_points_reserve(draw_points *points, size_t needed) BT_MUST_CHECK;
void draw_points_free(draw_points *points);

/* Thins n points in place to first, lowest, highest and last of each run of points in a column of
 * that width; returns how many are left. Runs of four or fewer stay as they are. */
size_t draw_thin(double *x, double *y, size_t n, double column);

typedef struct draw_rectangle {
  double left, right, low, high;
} draw_rectangle;

/* Cuts a segment to the rectangle; false when nothing of it is inside. */
bool draw_clip_segment(const draw_rectangle *inside, double *x1, double *y1, double *x2,
                       double *y2);

/* Cuts the polygon to the rectangle; other is scratch room. False without memory. */
bool draw_clip_polygon(const draw_rectangle *inside, draw_points *polygon,
                       draw_points *other) BT_MUST_CHECK;

/* ---- The chart device ------------------------------------------------------------------------ */

/* BT_SYSTEM, with the package's name, when the chart library lacks its cairo device. */
bt_status draw_plot_probe(bt_error *error) BT_MUST_CHECK;
void draw_plot_end(void);

/* Runs body between the opening and closing of a chart of that size whose upper left corner is the
 * origin of cr. In it: x from the left, y from the lower edge, cut at the edges. Body must own
 * nothing that it frees itself: the chart library may leave it by a jump. */
typedef bt_status draw_plot_body(void *context, bt_error *error);
bt_status draw_plot(cairo_t *cr, double width, double height, draw_plot_body *body, void *context,
                    bt_error *error) BT_MUST_CHECK;

/* Only within a body. Positions must be finite and near the chart. */
void draw_plot_line(size_t n, const double *x, const double *y, bt_ink ink, double width);
void draw_plot_fill(size_t n, const double *x, const double *y, bt_ink ink);

/* ---- Pages ----------------------------------------------------------------------------------- */

/* Dash lengths of a line that wide: *on and *off; both 0 for a solid one. */
void draw_dash(bt_dash dash, double width, double *on, double *off);

bt_status draw_pane(bt_draw *draw, cairo_t *cr, const bt_pane *pane, bt_error *error) BT_MUST_CHECK;
void draw_marks(cairo_t *cr, const bt_pane *pane, const bt_marks *marks);
bt_status draw_page(bt_draw *draw, cairo_t *cr, const bt_page *page, bt_error *error) BT_MUST_CHECK;

/* ---- Files ----------------------------------------------------------------------------------- */

/* A file in the making, beside the one that it will replace. */
typedef struct draw_output {
  FILE *file;
  const char *path; /* borrowed */
  char *temporary;  /* its name until it is whole; NULL when there is none to remove */
  char *folder;     /* that it is in: found before there is anything that could be half done */
  int failure;      /* errno of the first write that failed; 0: none */
  bool fresh;       /* it must not go over a file, not even over one that comes meanwhile */
} draw_output;

bt_status draw_output_open(draw_output *output, const char *path, bt_error *error) BT_MUST_CHECK;
cairo_status_t draw_output_write(void *output, const unsigned char *bytes, unsigned int length);

/* Sync and rename; the file is there under its name only when this returns BT_OK. */
bt_status draw_output_keep(draw_output *output, bt_error *error) BT_MUST_CHECK;

/* Removes what is not kept; harmless after draw_output_keep. */
void draw_output_close(draw_output *output);

/* BT_OK, or the sentence for a surface or context that failed while writing output. */
bt_status draw_output_check(const draw_output *output, cairo_status_t status,
                            bt_error *error) BT_MUST_CHECK;

bt_status draw_pdf(bt_draw *draw, const bt_document *document, draw_output *output,
                   bt_error *error) BT_MUST_CHECK;
bt_status draw_png(bt_draw *draw, const bt_document *document, draw_output *output,
                   bt_error *error) BT_MUST_CHECK;
bt_status draw_svg(bt_draw *draw, const bt_document *document, draw_output *output,
                   bt_error *error) BT_MUST_CHECK;

struct bt_draw {
  PangoFontMap *fonts;
  PangoContext *context;
  size_t missing;
  bool links;                  /* the surface at hand takes links */
  draw_points line, cut, fill; /* scratch of the panes, kept here so that a jump loses none */
};

#endif
