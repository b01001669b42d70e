/* What chart, report and evidence share. */
#include "pages.h"

#include <string.h>

bool pages_paper(const char *text, bt_paper *paper) {
  if (strcmp(text, "a4") == 0)
    *paper = BT_PAPER_A4;
  else if (strcmp(text, "letter") == 0)
    *paper = BT_PAPER_LETTER;
  else {
    cli_say("--paper is \"%s\"; it is a4 or letter", text);
    return false;
  }
  return true;
}

bt_status pages_open_draw(const bt_settings *settings, bt_draw **draw, bt_error *error) {
  bt_error unread = {0};
  bt_status status = bt_draw_open(draw, error);
  if (status == BT_OK && settings->font != NULL &&
      bt_draw_add_face(*draw, settings->font, &unread) != BT_OK)
    cli_say("%s; the settings name it (font), and the pages are set without it", unread.text);
  return status;
}

bt_status pages_created(const cli_context *cli, bt_ledger *ledger, bt_time *created,
                        bt_error *error) {
  if (cli->epoch_given) {
    *created = cli->now;
    return BT_OK;
  }
  return bt_ledger_last_entry(ledger, created, error);
}

void pages_say_missing(const bt_draw *draw) {
  size_t missing = bt_draw_missing_glyphs(draw);
  if (missing > 0)
    cli_say("%zu character%s in names or notes could not be set: the font has no sign for %s; name "
            "one that has in the settings (font = FILE under [clinic])",
            missing, missing == 1 ? "" : "s", missing == 1 ? "it" : "them");
}

bt_status pages_compose(bt_draw *draw, const bt_report_request *request, pages_composer *compose,
                        const void *of, bt_document *document, bt_error *error) {
  bt_measure measure = bt_draw_measure(draw);
  bt_report_request counted = *request;
  bt_status status = BT_OK;
  counted.missing = 0;
  for (size_t missing = 0, pass = 0; status == BT_OK && (pass == 0 || missing > counted.missing);
       pass++) {
    counted.missing = missing;
    bt_document_free(document);
    status = compose(of, &counted, &measure, document, error);
    if (status == BT_OK)
      status = bt_draw_count_missing(draw, document, &missing, error);
  }
  return status;
}

bt_time pages_from(const bt_unit_study *study, bt_time to) {
  bt_time from = bt_month_start(to - 1, 1 - PAGES_MONTHS_SHOWN), first = from;
  if (study->history.n > 0 && study->history.at[0] < to)
    first = bt_month_start(study->history.at[0], 0);
  return first > from ? first : from;
}
