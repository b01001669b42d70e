/* What issuing a month's reports does, said before it is done. */
#include "pages.h"

#include <stdio.h>

/* Whether anything of the unit was entered since that issue. */
static bt_status look_for_news(bt_ledger *ledger, const bt_issued *last, bool *news,
                               bt_error *error) {
  bt_state_place place;
  bt_book book = {0};
  bt_status status = bt_ledger_find_state(ledger, last->state, &place, error);
  if (status == BT_OK)
    status = bt_ledger_book(ledger, last->unit, place.entry, &book, error);
  *news = status != BT_OK || bt_book_has_news(&book);
  bt_book_free(&book);
  return status;
}

static bt_status add_unit(bt_ledger *ledger, const char *unit, bt_time month, bt_text *effect,
                          bt_error *error) {
  bt_issued *issued = NULL;
  const bt_issued *last = NULL;
  size_t n = 0;
  bool news = true;
  bt_civil civil = bt_civil_of(month);
  bt_status status = bt_ledger_issued(ledger, unit, month, &issued, &n, error);
  for (size_t i = 0; i < n && status == BT_OK; i++)
    if (last == NULL || issued[i].number > last->number)
      last = &issued[i];
  if (last != NULL)
    status = look_for_news(ledger, last, &news, error);
  long long number = last == NULL ? 0 : (long long)last->number;
  if (status == BT_OK) {
    (void)cli_plain(effect, unit, SIZE_MAX);
    bt_text_format(effect, ": the report of %04d-%02d would be issued as revision %lld\n",
                   civil.year, civil.month, number + 1);
  }
  if (!news)
    cli_say("%s: nothing changed since revision %lld of %04d-%02d, which %s issued: no entry since "
            "concerns this laser, and revision %lld says so",
            unit, number, civil.year, civil.month, last->by, number + 1);
  bt_issued_free(issued, n);
  return status;
}

/* A part of a month is signed only where somebody says so; its last day is part of it, since a
 * check of that day may still come. The pages hold the whole month then, and say nothing of it. */
static cli_exit ask_unfinished(const cli_context *cli, bt_time month, bt_time until,
                               const bt_text *effect) {
  bt_civil civil = bt_civil_of(month);
  char day[BT_TIME_TEXT];
  cli_say("%04d-%02d is not over: the report goes up to %s, %s; what is entered later stands in a "
          "later revision only",
          civil.year, civil.month, bt_time_day_iso(until - BT_DAY, day),
          until < bt_month_start(month, 1) ? "as each of its pages says"
                                           : "its last day, of which a check may still come");
  if (!cli->yes)
    (void)cli_put_seen(bt_text_get(effect), stderr);
  return cli_confirm(cli);
}

bt_status pages_ask_issue(const cli_context *cli, bt_ledger *ledger, char *const *units, size_t n,
                          bt_time month, bt_time until, cli_exit *answer, bt_error *error) {
  bt_text effect = {0};
  bool over = cli_today_ends(cli) > bt_month_start(month, 1);
  bt_status status = BT_OK;
  for (size_t i = 0; i < n && status == BT_OK; i++)
    status = add_unit(ledger, units[i], month, &effect, error);
  bt_text_add(&effect,
              "The ledger keeps each PDF's SHA-256 and the name of who issued it; an issue "
              "is not taken back,\na later one is the next revision.\n");
  if (status == BT_OK && !bt_text_ok(&effect))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    *answer = over ? cli_confirm_effect(cli, &effect) : ask_unfinished(cli, month, until, &effect);
  bt_text_free(&effect);
  return status;
}
