/* Pages: boxes in millimetres. `report` composes them, `draw` turns them into files.
 *
 * Coordinates: the origin is the page's upper left corner, x to the right, y down, all in mm.
 * Every word on a page is a text item, chart labels too; a pane holds only lines, fills and marks.
 * Ownership: a document owns its pages and all that they hold. */
#ifndef BEAMTALLY_PAGE_H
#define BEAMTALLY_PAGE_H

#include "beamtally/base.h"

/* ---- Looks ----------------------------------------------------------------------------------- */

/* Inks by what they mean; `draw` knows their colours. */
typedef enum bt_ink {
  BT_INK_TEXT,      /* words */
  BT_INK_SOFT,      /* lesser words */
  BT_INK_FAINT,     /* axes, ticks, hairlines */
  BT_INK_PAPER,     /* white */
  BT_INK_PANEL,     /* ground of the side panel and of table heads */
  BT_INK_SERIES,    /* the charted points and their line */
  BT_INK_RAW,       /* raw readings behind an adjusted series */
  BT_INK_ALARM,     /* alarms, out of tolerance */
  BT_INK_NOTICE,    /* notices: calmer */
  BT_INK_NEUTRAL,   /* banner when there is nothing to flag */
  BT_INK_CENTRE,    /* centre line */
  BT_INK_LIMIT,     /* control limits */
  BT_INK_TOLERANCE, /* tolerance limits */
  BT_INK_ZONE_A,    /* soft band between 2 and 3 sigma */
  BT_INK_ZONE_B,    /* between 1 and 2 */
  BT_INK_ZONE_C,    /* within 1 */
  BT_INK_FILL_ODD,  /* gas fills as alternating bars */
  BT_INK_FILL_EVEN,
  BT_INK_EVENT, /* event flags */
  BT_INK_RISE,  /* CUSUM, high side, and its soft ground */
  BT_INK_RISE_SOFT,
  BT_INK_FALL, /* CUSUM, low side */
  BT_INK_FALL_SOFT,
  BT_INK_BASELINE, /* soft ground of the baseline period */
  BT_INK_COUNT
} bt_ink;

/* Type by its use: size in points and weight. */
#define BT_STYLES(X)                                                                               \
  X(TITLE, 20.0, SEMIBOLD)                                                                         \
  X(HEADING, 11.5, SEMIBOLD)                                                                       \
  X(SUBTITLE, 10.5, REGULAR)                                                                       \
  X(BODY, 11.0, REGULAR)                                                                           \
  X(BANNER, 11.5, BOLD)                                                                            \
  X(VALUE, 10.5, REGULAR)                                                                          \
  X(CAPTION, 8.5, REGULAR)                                                                         \
  X(TABLE, 9.0, REGULAR)                                                                           \
  X(TABLE_HEAD, 8.5, SEMIBOLD)                                                                     \
  X(TICK, 8.0, REGULAR)                                                                            \
  X(NOTE, 8.0, REGULAR)                                                                            \
  X(FINE, 7.0, REGULAR)

typedef enum bt_style {
#define X(ID, points, weight) BT_STYLE_##ID,
  BT_STYLES(X)
#undef X
      BT_STYLE_COUNT
} bt_style;

typedef enum bt_weight { BT_WEIGHT_REGULAR, BT_WEIGHT_SEMIBOLD, BT_WEIGHT_BOLD } bt_weight;

double bt_style_points(bt_style style);
bt_weight bt_style_weight(bt_style style);

typedef enum bt_align { BT_ALIGN_LEFT, BT_ALIGN_CENTRE, BT_ALIGN_RIGHT } bt_align;

typedef enum bt_dash { BT_DASH_SOLID, BT_DASH_DASHED, BT_DASH_DOTTED } bt_dash;

typedef enum bt_shape {
  BT_SHAPE_DOT,
  BT_SHAPE_RING, /* hollow: a retest, an unknown fill age */
  BT_SHAPE_UP,   /* filled triangles: a point beyond a limit */
  BT_SHAPE_DOWN,
  BT_SHAPE_SQUARE,
  BT_SHAPE_DIAMOND,
  BT_SHAPE_CROSS /* screened out of the baseline */
} bt_shape;

/* ---- Text ------------------------------------------------------------------------------------ */

/* Bytes [from, to) of a text are set in bold. */
typedef struct bt_strong {
  size_t from, to;
} bt_strong;

enum { BT_STRONG_MOST = 6 }; /* of one text */

/* Measures text as it will be drawn. wrap_mm 0: one line. Sizes come back in mm. */
typedef bt_status (*bt_measure_function)(void *context, bt_style style, const char *text,
                                         double wrap_mm, double *width_mm, double *height_mm,
                                         bt_error *error);
/* The same for a text with bold ranges, which are wider and may wrap otherwise. */
typedef bt_status (*bt_measure_strong_function)(void *context, bt_style style, const char *text,
                                                const bt_strong *strong, size_t strong_n,
                                                double wrap_mm, double *width_mm, double *height_mm,
                                                bt_error *error);

typedef struct bt_measure {
  bt_measure_function measure;
  void *context;
  bt_measure_strong_function measure_strong;
} bt_measure;

typedef struct bt_page_text {
  char *text;           /* UTF-8, owned */
  double x, y;          /* upper left corner of its box; for CENTRE and RIGHT the anchor in x */
  double width, height; /* measured box, mm; width is the wrap width where wrapped */
  bool wrap;
  double turn; /* degrees counter-clockwise about (x, y); 0 or 90 */
  bt_style style;
  bt_ink ink;
  bt_align align;
  size_t strong_n;
  bt_strong strong[BT_STRONG_MOST];
  char *link; /* named destination that it leads to, [a-z0-9_-]; NULL: none */
} bt_page_text;

/* ---- Shapes ---------------------------------------------------------------------------------- */

typedef struct bt_page_box {
  double x, y, width, height;
  bt_ink ink;
} bt_page_box;

typedef struct bt_page_line {
  double x1, y1, x2, y2, width_mm;
  bt_ink ink;
  bt_dash dash;
} bt_page_line;

/* ---- Panes: one coordinate system of a chart ------------------------------------------------- */

typedef struct bt_band {
  double low, high; /* in y */
  bt_ink ink;
} bt_band;

typedef struct bt_span {
  double from, to; /* in x, over the pane's height */
  bt_ink ink;
} bt_span;

typedef struct bt_pane_level {
  double at; /* y of a horizontal, x of a vertical line */
  bt_ink ink;
  bt_dash dash;
  double width_mm;
} bt_pane_level;

/* Positions that are not finite are left out, in every kind; they break a polyline in two. */
typedef struct bt_polyline {
  size_t n;
  double *x, *y; /* owned */
  bt_ink ink;
  double width_mm;
  bool filled; /* the ground between the line and y = base is filled */
  double base;
  bt_ink fill_ink;
} bt_polyline;

/* A mark above or below the pane stands at the edge, so that none is lost; one left or right of it
 * is left out. */
typedef struct bt_marks {
  size_t n;
  double *x, *y; /* owned */
  bt_shape shape;
  bt_ink ink;
  double size_mm;  /* across */
  double shift_mm; /* moved so far down (up where negative): a signal's mark beside its point */
} bt_marks;

typedef struct bt_bar {
  double x1, x2, y1, y2;
  bt_ink ink;
} bt_bar;

typedef struct bt_pane {
  double x, y, width, height; /* where on the page, mm */
  double x_low, x_high;       /* what the edges stand for; x_low < x_high */
  double y_low, y_high;
  bool framed;
  size_t bands_n, spans_n, levels_n, verticals_n, lines_n, marks_n, bars_n, x_ticks_n, y_ticks_n;
  bt_span *spans; /* drawn in this order: spans, bands, bars, ticks, levels, verticals, lines, */
  bt_band *bands; /* frame, marks; all but frame and marks is cut at the edges */
  bt_bar *bars;
  bt_pane_level *levels, *verticals;
  bt_polyline *lines;
  bt_marks *marks;
  double *x_ticks, *y_ticks; /* short inward ticks at these values */
} bt_pane;

/* ---- Pages and documents --------------------------------------------------------------------- */

typedef struct bt_page {
  char *title; /* bookmark */
  char *name;  /* named destination of the page, [a-z0-9_-] */
  size_t boxes_n, lines_n, panes_n, texts_n;
  size_t boxes_room, lines_room, panes_room, texts_room;
  bt_page_box *boxes; /* drawn in this order: boxes, panes, lines, texts */
  bt_pane *panes;
  bt_page_line *lines;
  bt_page_text *texts;
} bt_page;

typedef struct bt_document {
  double width_mm, height_mm;
  char *title, *author, *subject;
  bt_time created; /* of the data's last entry, so that the same ledger gives the same bytes */
  size_t pages_n, pages_room;
  bt_page *pages;
} bt_document;

void bt_document_free(bt_document *document);

/* Where a pane draws a value, mm on the page. */
double bt_pane_x(const bt_pane *pane, double value);
double bt_pane_y(const bt_pane *pane, double value);

#endif
