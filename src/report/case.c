/* The document of a case. */
#include "report_case.h"

#include <stdio.h>
#include <stdlib.h>

static const double line_gap = 0.9, heading_gap = 1.0, section_gap = 3.4;

/* ---- Pages that flow ------------------------------------------------------------------------- */

static void fresh_page(case_pages *on) {
  char name[REPORT_NUMBER_TEXT];
  bt_text title = {0};
  on->part++;
  bt_text_add(&title, on->title);
  if (on->part > 1)
    bt_text_format(&title, ", continued");
  (void)snprintf(name, sizeof name, "case-%zu", on->builder->document->pages_n + 1);
  report_page(on->builder, bt_text_get(&title), name);
  on->frame = report_frame_of(on->builder);
  on->y = on->frame.top;
  on->y += report_text(on->builder, on->frame.left, on->y, BT_STYLE_TITLE, BT_INK_TEXT,
                       BT_ALIGN_LEFT, bt_text_get(&title))
               .height +
           1.5;
  if (!bt_text_ok(&title))
    report_no_memory(on->builder);
  bt_text_free(&title);
}

void report_case_begin(case_pages *on, const char *title) {
  on->title = title;
  on->part = 0;
  fresh_page(on);
}

void report_case_room(case_pages *on, double height) {
  if (on->y + height > on->frame.bottom)
    fresh_page(on);
}

/* So little room left is left blank: a section's head and its first rows. */
static const double least_room = 40;

static bool has_room(const case_pages *on) {
  return on->y + least_room <= on->frame.bottom;
}

void report_case_section(case_pages *on, const char *title) {
  if (!has_room(on)) {
    report_case_begin(on, title);
    return;
  }
  on->title = title;
  on->part = 1;
  on->y += 2 * section_gap;
  on->y += report_text(on->builder, on->frame.left, on->y, BT_STYLE_TITLE, BT_INK_TEXT,
                       BT_ALIGN_LEFT, title)
               .height +
           1.5;
}

void report_case_heading(case_pages *on, const char *words) {
  double height = report_measure(on->builder, BT_STYLE_HEADING, words, 0).height;
  report_case_room(on, section_gap + height + heading_gap + 12); /* never alone at the foot */
  on->y += section_gap;
  (void)report_text(on->builder, on->frame.left, on->y, BT_STYLE_HEADING, BT_INK_TEXT,
                    BT_ALIGN_LEFT, words);
  on->y += height + heading_gap;
}

void report_case_paragraph(case_pages *on, bt_style style, bt_ink ink, const char *words) {
  double wrap = on->frame.right - on->frame.left;
  double height = report_measure(on->builder, style, words, wrap).height;
  report_case_room(on, height);
  (void)report_wrapped(on->builder, on->frame.left, on->y, wrap, style, ink, words);
  on->y += height + line_gap;
}

void report_case_row(case_pages *on, const double *at, const char *const *cells, size_t n,
                     bt_style style, bt_ink ink) {
  double width = on->frame.right - on->frame.left, height = 0;
  bt_text cut = {0};
  height = report_measure(on->builder, style, "0", 0).height + line_gap;
  report_case_room(on, height);
  for (size_t c = 0; c < n; c++) {
    double left = on->frame.left + at[c] * width;
    double right = c + 1 < n ? on->frame.left + at[c + 1] * width - 2 : on->frame.right;
    (void)report_text(on->builder, left, on->y, style, ink, BT_ALIGN_LEFT,
                      report_cut(on->builder, style, cells[c], right - left, &cut));
  }
  if (!bt_text_ok(&cut))
    report_no_memory(on->builder);
  bt_text_free(&cut);
  on->y += height;
}

/* ---- What the case is about ------------------------------------------------------------------ */

const bt_drift *report_case_leads(const bt_case *one) {
  const bt_unit_drift *all = one->unit->drift;
  const bt_drift *leads = NULL;
  for (size_t i = 0; i < all->n; i++) {
    const bt_drift *drift = &all->drift[i];
    if (report_drift_is_changed(drift) &&
        (leads == NULL || drift->change.likelihood_ratio / drift->look.threshold >
                              leads->change.likelihood_ratio / leads->look.threshold))
      leads = drift;
  }
  return leads;
}

bool report_case_brought_back(const bt_drift *drift) {
  return drift->use == BT_DRIFT_LOOKED_AT && drift->before.changed;
}

bool report_case_tells(const bt_case *one, const bt_event *event) {
  if (one->event != NULL && event->number == one->event->number)
    return true;
  return event->kind != BT_EVENT_GAS_REFILL && event->time >= one->from && event->time < one->to;
}

const char *report_case_capital(bt_event_kind kind, char *buffer) {
  (void)snprintf(buffer, REPORT_NUMBER_TEXT, "%s", bt_event_words(kind));
  if (buffer[0] >= 'a' && buffer[0] <= 'z')
    buffer[0] = (char)(buffer[0] - ('a' - 'A'));
  return buffer;
}

/* ---- The document ---------------------------------------------------------------------------- */

/* A case is of its span, not of a month. */
static void entitle(report_builder *builder, const bt_case *one) {
  char period[REPORT_DATE_TEXT];
  bt_text title = {0};
  bt_text_format(&title, "%s, %s", one->unit->history.unit,
                 report_short_period(one->from, one->to - 1, period));
  char *made = bt_text_take(&title);
  if (made == NULL) {
    report_no_memory(builder);
    return;
  }
  free(builder->document->title);
  builder->document->title = made;
}

bt_status bt_report_case(const bt_case *one, const bt_report_request *request,
                         const bt_measure *measure, bt_document *document, bt_error *error) {
  report_builder builder;
  bt_status status = report_begin_document(&builder, one->unit, request, measure, document,
                                           "Evidence for the manufacturer's engineer", error);
  if (status != BT_OK) {
    bt_document_free(document);
    return status;
  }
  entitle(&builder, one);
  case_pages on = {.builder = &builder, .one = one, .request = request};
  report_case_page(&on);
  /* They share the page of the characteristics, or that of the sections behind the charts. */
  bool beside = has_room(&on);
  if (beside)
    report_case_causes(&on);
  report_case_charts(&on);
  if (!beside)
    report_case_causes(&on);
  report_case_events(&on);
  report_case_method(&on);
  report_resolve(&builder);
  report_footers(&builder, one->unit, request);
  return report_end_document(&builder, document);
}
