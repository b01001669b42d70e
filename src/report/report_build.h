/* The page builder: texts, boxes, lines and panes, measured as they are put down. It remembers its
 * first failure, as growing text does: compose as much as you like, and ask once at the end.
 * Lengths are millimetres. */
#ifndef BEAMTALLY_REPORT_BUILD_H
#define BEAMTALLY_REPORT_BUILD_H

#include "beamtally/report.h"
#include "report_words.h"

enum { REPORT_NAME = 64 }; /* bytes of a page's name */

/* Words that name a page by its number, which is known once all pages are there. */
typedef struct report_reference {
  size_t at; /* page that they stand on */
  double x, y;
  bt_style style;
  bt_align align;
  char before[80], name[REPORT_NAME]; /* "3 more on page "; the page's name */
} report_reference;

typedef struct report_builder {
  bt_document *document;
  size_t at; /* index of the page being composed */
  report_reference *references;
  size_t references_n, references_room;
  size_t steps;       /* of what to do next, that the summary had room for */
  bool measures_only; /* texts, boxes, lines and references are measured, none is put */
  const bt_measure *measure;
  bt_error *error;
  bt_status status;
  bt_pane spare; /* handed out after a failure: stays empty */
  /* "DRAFT, not issued", "Revision 2, issued (month up to 29 Nov 2026)"; empty on a chart */
  char edition[96];
} report_builder;

typedef struct report_size {
  double width, height;
} report_size;

/* ---- The document ---------------------------------------------------------------------------- */

/* Begins a document: BT_OK where it may be composed. Takes the title, which is empty then. */
bt_status report_begin_document(report_builder *builder, const bt_report_request *request,
                                bt_text *title, const char *author, const char *subject,
                                const bt_measure *measure, bt_document *document,
                                bt_error *error) BT_MUST_CHECK;
/* Frees what the builder owns. Gives what was composed; after a failure frees that as well. */
bt_status report_end_document(report_builder *builder, bt_document *document) BT_MUST_CHECK;

/* BT_OK, or the first failure. */
bt_status report_status(const report_builder *builder) BT_MUST_CHECK;
void report_no_memory(report_builder *builder);
/* Frees a text; its failure is the builder's. */
void report_text_end(report_builder *builder, bt_text *text);

/* Begins a page; one without a title has no bookmark. */
void report_page(report_builder *builder, const char *title, const char *name);
/* Puts words and the number of that page, linked, when report_resolve is called; nothing where no
 * page has that name. */
void report_refer(report_builder *builder, double x, double y, bt_style style, bt_align align,
                  const char *before, const char *name);
void report_resolve(report_builder *builder);

/* ---- Texts ----------------------------------------------------------------------------------- */

report_size report_measure(report_builder *builder, bt_style style, const char *text, double wrap);
report_size report_text(report_builder *builder, double x, double y, bt_style style, bt_ink ink,
                        bt_align align, const char *text);
report_size report_wrapped(report_builder *builder, double x, double y, double wrap, bt_style style,
                           bt_ink ink, const char *text);
report_size report_paragraph(report_builder *builder, double x, double y, double wrap,
                             bt_style style, bt_ink ink, const report_words *words);
/* Turned to read upwards, centred on the middle between y1 and y2; its right edge at x. */
void report_turned(report_builder *builder, double x, double y1, double y2, bt_style style,
                   bt_ink ink, const char *text);
void report_link(report_builder *builder, const char *name); /* for the text put last */

/* Text cut to fit one line of that width, with an ellipsis; owned by `out`, which is cleared. */
const char *report_cut(report_builder *builder, bt_style style, const char *text, double width,
                       bt_text *out);
/* The same, cut to as many lines. */
const char *report_cut_to(report_builder *builder, bt_style style, const char *text, double wrap,
                          double height, bt_text *out);
/* Whether one of those styles, the largest first, holds the text in that room, and which. */
bool report_fits(report_builder *builder, double wrap, double height, const bt_style *styles,
                 size_t n, const char *text, bt_style *style);
/* Puts it in that style; where none holds it, in the last one, cut. */
report_size report_fit(report_builder *builder, double x, double y, double wrap, double height,
                       const bt_style *styles, size_t n, bt_ink ink, const char *text);
/* The title of a page, on one line or, smaller, on a few; returns its height. */
double report_title(report_builder *builder, double x, double y, double width, const char *text);

/* ---- Boxes, lines and panes ------------------------------------------------------------------ */

void report_box(report_builder *builder, double x, double y, double width, double height,
                bt_ink ink);
void report_line(report_builder *builder, double x1, double y1, double x2, double y2,
                 double width_mm, bt_ink ink);

/* The pane stays valid until the next one is begun. */
bt_pane *report_pane(report_builder *builder, double x, double y, double width, double height);
void report_span(report_builder *builder, bt_pane *pane, double from, double to, bt_ink ink);
void report_bar(report_builder *builder, bt_pane *pane, bt_bar bar);
void report_level(report_builder *builder, bt_pane *pane, double at, double width_mm, bt_ink ink,
                  bt_dash dash);
void report_vertical(report_builder *builder, bt_pane *pane, double at, double width_mm, bt_ink ink,
                     bt_dash dash);
void report_x_tick(report_builder *builder, bt_pane *pane, double at);
void report_y_tick(report_builder *builder, bt_pane *pane, double at);
/* A level line over part of the pane, solid or in the dashes and dots of an alarm limit; nothing
 * where it lies outside. */
void report_stretch(report_builder *builder, bt_pane *pane, double from, double to, double at,
                    double width_mm, bt_ink ink);
void report_dash_dot(report_builder *builder, bt_pane *pane, double from, double to, double at,
                     double width_mm, bt_ink ink);
/* With room for so many corners, or marks, of which there are none yet; NULL after a failure or
 * without any room. Each is added by itself, within that room; to NULL nothing is. */
bt_polyline *report_polyline(report_builder *builder, bt_pane *pane, size_t room, bt_ink ink,
                             double width_mm);
bt_marks *report_marks(report_builder *builder, bt_pane *pane, size_t room, bt_shape shape,
                       bt_ink ink, double size_mm);
void report_polyline_add(bt_polyline *line, double x, double y);
void report_marks_add(bt_marks *marks, double x, double y);

#endif
