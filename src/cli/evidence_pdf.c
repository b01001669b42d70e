/* evidence.pdf, for the folder, and once more for `verify FOLDER` to compare it with. */
#include "evidence.h"
#include "pages.h"

const char evidence_maker[] = "beamtally " BEAMTALLY_VERSION;

static bt_status compose(const void *of, const bt_report_request *request,
                         const bt_measure *measure, bt_document *document, bt_error *error) {
  return bt_report_case(of, request, measure, document, error);
}

bt_status evidence_pdf(const cli_context *cli, bt_ledger *ledger, const bt_case *one,
                       bool say_missing, const char *path, bt_error *error) {
  bt_draw *draw = NULL;
  bt_document document = {0};
  bt_report_request request = {.month = one->from,
                               .from = one->from,
                               .to = one->to,
                               .paper = one->letter ? BT_PAPER_LETTER : BT_PAPER_A4};
  bt_status status = pages_created(cli, ledger, &request.created, error);
  if (one->unit->drift != NULL)
    one->unit->drift->read_on = request.created;
  if (status == BT_OK)
    status = pages_open_draw(&one->unit->settings, &draw, error);
  if (status == BT_OK)
    status = pages_compose(draw, &request, compose, one, &document, error);
  if (status == BT_OK)
    status = bt_draw_file(draw, &document, BT_FORMAT_PDF, path, error);
  if (status == BT_OK && say_missing)
    pages_say_missing(draw);
  bt_document_free(&document);
  bt_draw_close(draw);
  return status;
}
