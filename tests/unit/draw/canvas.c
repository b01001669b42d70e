#include "canvas.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

bt_draw *canvas_open(void) {
  bt_draw *draw = NULL;
  bt_error error = {0};
  cr_assert_eq(bt_draw_open(&draw, &error), BT_OK, "%s", error.text);
  return draw;
}

bt_page_text *canvas_text(bt_page *page, double x, double y, const char *text) {
  cr_assert(bt_grow(&page->texts, &page->texts_room, page->texts_n + 1, sizeof *page->texts));
  bt_page_text *made = &page->texts[page->texts_n++];
  *made = (bt_page_text){.text = bt_copy(text), .x = x, .y = y, .style = BT_STYLE_BODY};
  return made;
}

bt_page_box *canvas_box(bt_page *page, bt_page_box box) {
  cr_assert(bt_grow(&page->boxes, &page->boxes_room, page->boxes_n + 1, sizeof *page->boxes));
  page->boxes[page->boxes_n] = box;
  return &page->boxes[page->boxes_n++];
}

bt_page_line *canvas_line(bt_page *page, bt_page_line line) {
  cr_assert(bt_grow(&page->lines, &page->lines_room, page->lines_n + 1, sizeof *page->lines));
  page->lines[page->lines_n] = line;
  return &page->lines[page->lines_n++];
}

bt_pane *canvas_pane(bt_page *page) {
  cr_assert(bt_grow(&page->panes, &page->panes_room, page->panes_n + 1, sizeof *page->panes));
  bt_pane *pane = &page->panes[page->panes_n++];
  *pane = (bt_pane){.x = 10, .y = 10, .width = 80, .height = 40, .x_high = 80, .y_high = 40};
  return pane;
}

void *canvas_item(const void *item, size_t size) {
  void *copy = bt_new(1, size);
  cr_assert_not_null(copy);
  memcpy(copy, item, size);
  return copy;
}

double *canvas_values(size_t n, const double *values) {
  double *copy = bt_new(n, sizeof *copy);
  cr_assert_not_null(copy);
  if (n > 0)
    memcpy(copy, values, n * sizeof *copy);
  return copy;
}

bt_document canvas_document(size_t pages) {
  bt_document document = {.width_mm = 100, .height_mm = 60, .created = 1790582400};
  document.pages = bt_new(pages, sizeof *document.pages);
  cr_assert_not_null(document.pages);
  document.pages_n = document.pages_room = pages;
  return document;
}

cairo_surface_t *canvas_picture(bt_draw *draw, const bt_page *page, double dots_per_mm) {
  cairo_surface_t *picture = cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, (int)lround(100 * dots_per_mm), (int)lround(60 * dots_per_mm));
  cairo_t *cr = cairo_create(picture);
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  cairo_scale(cr, dots_per_mm, dots_per_mm);
  bt_error error = {0};
  cr_assert_eq(draw_page(draw, cr, page, &error), BT_OK, "%s", error.text);
  cairo_destroy(cr);
  cairo_surface_flush(picture);
  return picture;
}

static draw_colour dot_at(cairo_surface_t *picture, int x, int y) {
  cr_assert(x >= 0 && x < cairo_image_surface_get_width(picture));
  cr_assert(y >= 0 && y < cairo_image_surface_get_height(picture));
  uint32_t pixel;
  memcpy(&pixel,
         cairo_image_surface_get_data(picture) + y * cairo_image_surface_get_stride(picture) +
             4 * x,
         sizeof pixel);
  return (draw_colour){(unsigned char)(pixel >> 16), (unsigned char)(pixel >> 8),
                       (unsigned char)pixel};
}

draw_colour canvas_dot(cairo_surface_t *picture, double x, double y, double dots_per_mm) {
  return dot_at(picture, (int)floor(x * dots_per_mm), (int)floor(y * dots_per_mm));
}

bool canvas_same(draw_colour a, draw_colour b) {
  return a.red == b.red && a.green == b.green && a.blue == b.blue;
}

bool canvas_shows(cairo_surface_t *picture, double x, double y, double dots_per_mm, bt_ink ink) {
  return canvas_same(canvas_dot(picture, x, y, dots_per_mm), draw_ink(ink));
}

/* First and last column of a row that isn't white; false when all is. */
static bool inked_columns(const unsigned char *row, int width, int *first, int *last) {
  *first = width;
  for (int x = 0; x < width; x++) {
    uint32_t pixel;
    memcpy(&pixel, row + 4 * x, sizeof pixel);
    if ((pixel & 0xFFFFFF) == 0xFFFFFF)
      continue;
    if (*first == width)
      *first = x;
    *last = x;
  }
  return *first < width;
}

bool canvas_ink_box(cairo_surface_t *picture, double dots_per_mm, draw_rectangle *box) {
  const unsigned char *row = cairo_image_surface_get_data(picture);
  bool found = false;
  for (int y = 0; y < cairo_image_surface_get_height(picture); y++) {
    int first = 0, last = 0;
    if (inked_columns(row, cairo_image_surface_get_width(picture), &first, &last)) {
      double left = first / dots_per_mm, right = (last + 1) / dots_per_mm;
      if (!found)
        *box = (draw_rectangle){left, right, y / dots_per_mm, 0};
      found = true;
      box->left = fmin(box->left, left);
      box->right = fmax(box->right, right);
      box->high = (y + 1) / dots_per_mm;
    }
    row += cairo_image_surface_get_stride(picture);
  }
  return found;
}

char *canvas_folder(void) {
  const char *temporary = getenv("TMPDIR");
  bt_text name = {0};
  bt_text_format(&name, "%s/beamtally-draw-XXXXXX", temporary == NULL ? "/tmp" : temporary);
  char *folder = bt_text_take(&name);
  cr_assert_not_null(folder);
  cr_assert_not_null(mkdtemp(folder));
  return folder;
}

char *canvas_path(const char *folder, const char *name) {
  bt_text path = {0};
  bt_text_format(&path, "%s/%s", folder, name);
  char *taken = bt_text_take(&path);
  cr_assert_not_null(taken);
  return taken;
}

size_t canvas_folder_count(const char *folder) {
  size_t n = 0;
  DIR *open = opendir(folder);
  cr_assert_not_null(open);
  for (struct dirent *entry; (entry = readdir(open)) != NULL;)
    n += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
  closedir(open);
  return n;
}

void canvas_folder_remove(char *folder) {
  DIR *open = opendir(folder);
  cr_assert_not_null(open);
  for (struct dirent *entry; (entry = readdir(open)) != NULL;) {
    if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
      continue;
    char *path = canvas_path(folder, entry->d_name);
    cr_assert_eq(remove(path), 0);
    free(path);
  }
  closedir(open);
  cr_assert_eq(rmdir(folder), 0);
  free(folder);
}

char *canvas_read(const char *path, size_t *length) {
  FILE *file = fopen(path, "rb");
  cr_assert_not_null(file, "%s", path);
  bt_text bytes = {0};
  char block[4096];
  for (size_t n; (n = fread(block, 1, sizeof block, file)) > 0;)
    bt_text_add_bytes(&bytes, block, n);
  fclose(file);
  *length = bytes.length;
  char *taken = bt_text_take(&bytes);
  cr_assert_not_null(taken);
  return taken;
}
