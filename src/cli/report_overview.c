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

bt_status pages_write_comparison(pages_compared *all, const bt_report_request *request,
                                 bt_draw *draw, const char *path, bt_error *error) {
  bt_document document = {0};
  bt_measure measure = bt_draw_measure(draw);
  bt_report_request counted = *request;
  counted.missing = 0;
  bt_status status = BT_OK;
  /* Composed anew where the footers have to count characters that no font has. */
  for (size_t missing = 0, pass = 0; status == BT_OK && (pass == 0 || missing > counted.missing);
       pass++) {
    counted.missing = missing;
    bt_document_free(&document);
    status = bt_report_overview(all->rows, all->n, all->clinic, all->state, &counted, &measure,
                                &document, error);
    if (status == BT_OK)
      status = bt_draw_count_missing(draw, &document, &missing, error);
  }
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
