/* What the tests of the draw room share: documents made in a line or two, pictures looked at by
 * pixel, and a folder of their own that goes when they end. */
#ifndef DRAW_CANVAS_H
#define DRAW_CANVAS_H

#include <cairo.h>

#include "draw_room.h"

bt_draw *canvas_open(void);

/* Each appends to the page and returns the item; values not asked for are zero. */
bt_page_text *canvas_text(bt_page *page, double x, double y, const char *text);
bt_page_box *canvas_box(bt_page *page, bt_page_box box);
bt_page_line *canvas_line(bt_page *page, bt_page_line line);
/* 80 by 40 mm at 10, 10; 0..80 across and 0..40 upwards, so that a value is a millimetre. */
bt_pane *canvas_pane(bt_page *page);

/* An owned copy of n values, as panes want them. */
double *canvas_values(size_t n, const double *values);
void *canvas_item(const void *item, size_t size);

/* A document of 100 by 60 mm with so many empty pages. */
bt_document canvas_document(size_t pages);

/* The page on white at so many dots a millimetre; owned. */
cairo_surface_t *canvas_picture(bt_draw *draw, const bt_page *page, double dots_per_mm);

/* Red, green, blue of the dot at x, y mm. */
draw_colour canvas_dot(cairo_surface_t *picture, double x, double y, double dots_per_mm);
bool canvas_same(draw_colour a, draw_colour b);
bool canvas_shows(cairo_surface_t *picture, double x, double y, double dots_per_mm, bt_ink ink);

/* Edges, mm, of everything that isn't white; false when all is. */
bool canvas_ink_box(cairo_surface_t *picture, double dots_per_mm, draw_rectangle *box);

/* A new folder under the system's temporary one, and its removal with all files in it. */
char *canvas_folder(void);
void canvas_folder_remove(char *folder);
size_t canvas_folder_count(const char *folder);
char *canvas_path(const char *folder, const char *name);
char *canvas_read(const char *path, size_t *length);

#endif
