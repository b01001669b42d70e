/* The comparison of all units, which a report of several makes beside theirs. */
#include "pages.h"

#include <stdlib.h>
#include <string.h>

bt_status pages_compare(pages_compared *all, const bt_unit_study *study,
                        const bt_report_request *request, const char *path, bt_error *error) {
  const char *slash = strrchr(path, '/');
  if (!bt_grow(&all->rows, &all->room, all->n + 1, sizeof *all->rows))
    return bt_fail_memory(error);
  if (all->clinic == NULL &&
      (all->clinic = bt_copy(study->settings.clinic == NULL ? "" : study->settings.clinic)) == NULL)
    return bt_fail_memory(error);
  (void)memcpy(all->state, study->provenance.state, sizeof all->state);
  bt_status status = bt_overview_row_make(study, request, slash == NULL ? path : slash + 1,
                                          &all->rows[all->n], error);
  all->n += status == BT_OK;
  return status;
}

static bt_status compose(const void *of, const bt_report_request *request,
                         const bt_measure *measure, bt_document *document, bt_error *error) {
  const pages_compared *all = of;
  return bt_report_overview(all->rows, all->n, all->clinic, all->state, request, measure, document,
                            error);
}

bt_status pages_write_comparison(pages_compared *all, const bt_report_request *request,
                                 bt_draw *draw, const char *path, bt_error *error) {
  bt_document document = {0};
  bt_status status = pages_compose(draw, request, compose, all, &document, error);
  if (status == BT_OK)
    status = bt_draw_file(draw, &document, BT_FORMAT_PDF, path, error);
  bt_document_free(&document);
  return status;
}

void pages_compared_free(pages_compared *all) {
  for (size_t i = 0; i < all->n; i++)
    bt_overview_row_free(&all->rows[i]);
  free(all->rows);
  free(all->clinic);
  *all = (pages_compared){0};
}
