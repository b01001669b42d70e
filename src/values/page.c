/* Type sizes, pane geometry, and the memory of documents. */
#include "beamtally/page.h"

#include <stdlib.h>

static const struct {
  double points;
  bt_weight weight;
} styles[] = {
#define X(ID, points, weight) [BT_STYLE_##ID] = {points, BT_WEIGHT_##weight},
    BT_STYLES(X)
#undef X
};

double bt_style_points(bt_style style) {
  return styles[style].points;
}

bt_weight bt_style_weight(bt_style style) {
  return styles[style].weight;
}

double bt_pane_x(const bt_pane *pane, double value) {
  return pane->x + (value - pane->x_low) / (pane->x_high - pane->x_low) * pane->width;
}

double bt_pane_y(const bt_pane *pane, double value) {
  return pane->y + (pane->y_high - value) / (pane->y_high - pane->y_low) * pane->height;
}

static void free_pane(bt_pane *pane) {
  for (size_t i = 0; i < pane->lines_n; i++) {
    free(pane->lines[i].x);
    free(pane->lines[i].y);
  }
  for (size_t i = 0; i < pane->marks_n; i++) {
    free(pane->marks[i].x);
    free(pane->marks[i].y);
  }
  free(pane->spans);
  free(pane->bands);
  free(pane->bars);
  free(pane->levels);
  free(pane->verticals);
  free(pane->lines);
  free(pane->marks);
  free(pane->x_ticks);
  free(pane->y_ticks);
}

static void free_page(bt_page *page) {
  for (size_t i = 0; i < page->panes_n; i++)
    free_pane(&page->panes[i]);
  for (size_t i = 0; i < page->texts_n; i++) {
    free(page->texts[i].text);
    free(page->texts[i].link);
  }
  free(page->boxes);
  free(page->lines);
  free(page->panes);
  free(page->texts);
  free(page->title);
  free(page->name);
}

void bt_document_free(bt_document *document) {
  if (document == NULL)
    return;
  for (size_t i = 0; i < document->pages_n; i++)
    free_page(&document->pages[i]);
  free(document->pages);
  free(document->title);
  free(document->author);
  free(document->subject);
  *document = (bt_document){0};
}
