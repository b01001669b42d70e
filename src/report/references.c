/* Numbers of pages that are named before all pages are there. */
#include "report_build.h"

#include <stdio.h>
#include <string.h>

void report_refer(report_builder *builder, double x, double y, bt_style style, bt_align align,
                  const char *before, const char *name) {
  if (builder->status != BT_OK || builder->measures_only)
    return;
  if (!bt_grow(&builder->references, &builder->references_room, builder->references_n + 1,
               sizeof *builder->references)) {
    report_no_memory(builder);
    return;
  }
  report_reference *to = &builder->references[builder->references_n++];
  *to = (report_reference){.at = builder->at, .x = x, .y = y, .style = style, .align = align};
  (void)snprintf(to->before, sizeof to->before, "%s", before);
  (void)snprintf(to->name, sizeof to->name, "%s", name);
}

void report_resolve(report_builder *builder) {
  const bt_document *document = builder->document;
  for (size_t i = 0; i < builder->references_n; i++) {
    const report_reference *to = &builder->references[i];
    char words[sizeof to->before + 32];
    for (size_t p = 0; p < document->pages_n && builder->status == BT_OK; p++) {
      if (strcmp(document->pages[p].name, to->name) != 0)
        continue;
      (void)snprintf(words, sizeof words, "%s%zu", to->before, p + 1);
      builder->at = to->at;
      (void)report_text(builder, to->x, to->y, to->style, BT_INK_TEXT, to->align, words);
      report_link(builder, to->name);
      break;
    }
  }
}
