/* What issuing a month's reports does, said before it is done. */
#include "pages.h"

bt_status pages_ask_issue(const cli_context *cli, bt_ledger *ledger, char *const *units, size_t n,
                          bt_time month, cli_exit *answer, bt_error *error) {
  bt_text effect = {0};
  bt_status status = BT_OK;
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    bt_issued *issued = NULL;
    size_t issued_n = 0;
    int64_t last = 0;
    status = bt_ledger_issued(ledger, units[i], month, &issued, &issued_n, error);
    for (size_t k = 0; k < issued_n && status == BT_OK; k++)
      if (issued[k].number > last)
        last = issued[k].number;
    if (status == BT_OK)
      bt_issued_free(issued, issued_n);
    bt_civil civil = bt_civil_of(month);
    (void)cli_plain(&effect, units[i], SIZE_MAX);
    bt_text_format(&effect, ": the report of %04d-%02d is issued as revision %lld\n", civil.year,
                   civil.month, (long long)last + 1);
  }
  bt_text_add(&effect,
              "The ledger keeps each PDF's SHA-256 and the name of who issued it; an issue "
              "is not taken back,\na later one is the next revision.\n");
  if (status == BT_OK)
    *answer = cli_confirm_effect(cli, &effect);
  bt_text_free(&effect);
  return status;
}
