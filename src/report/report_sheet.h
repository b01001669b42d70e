/* What pages are set in: the frame that all have, and sheets, which go on over as many pages as
 * they need. */
#ifndef BEAMTALLY_REPORT_SHEET_H
#define BEAMTALLY_REPORT_SHEET_H

#include "report_build.h"

typedef struct report_frame {
  double left, right, top, bottom; /* inside the margins; bottom is above the footer */
  double panel_left;
} report_frame;

report_frame report_frame_of(const report_builder *builder);
/* Banner in the upper right corner; returns its height. */
double report_banner(report_builder *builder, const bt_unit_study *unit, bt_verdict verdict,
                     const bt_study *of);
/* Of every page of the document. `unit` NULL: of none. */
void report_footers(report_builder *builder, const bt_unit_study *unit,
                    const bt_report_request *request);

/* One row of cells that wrap, each beginning at a share of the frame's width and ending a `gap`
 * before the next; its height. Only measured where `put` is false. */
double report_cells(report_builder *builder, bool put, double y, const double *at, double gap,
                    const char *const *cells, size_t n, bt_style style, bt_ink ink);

typedef struct report_sheet {
  report_builder *builder;
  report_frame frame;
  const char *title, *name, *subtitle; /* borrowed */
  size_t pages;                        /* so far */
  double y, line;                      /* where the next line begins; height of one with its gap */
  bool empty;                          /* nothing but the head stands on this page */
} report_sheet;

typedef struct report_column {
  double at; /* where it begins, as a share of the width */
  const char *head;
} report_column;

void report_sheet_begin(report_sheet *sheet, report_builder *builder, const char *title,
                        const char *name, const char *subtitle);
/* Begins the next page where so much height is not left; true when it did. */
bool report_sheet_room(report_sheet *sheet, double height);
void report_sheet_heading(report_sheet *sheet, const char *words);
void report_sheet_paragraph(report_sheet *sheet, bt_ink ink, const char *words);
void report_sheet_heads(report_sheet *sheet, const report_column *columns, size_t n);
void report_sheet_row(report_sheet *sheet, const report_column *columns, size_t n,
                      const char *const *cells);
/* "and 12 more, see ...". */
void report_sheet_rest(report_sheet *sheet, size_t n, const char *one, const char *many,
                       const char *command);

#endif
