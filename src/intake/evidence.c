/* Date order and decimal mark of a whole file.
 *
 * E1  A person's word decides.
 * E2  What one row shows for certain decides for all; rows that show both are refused, one of each
 *     named.
 * E3  What no row shows for certain is refused with the option that settles it, never guessed.
 * E4  In a log delimited by commas "1.610" is a decimal point: a decimal comma would need quotes,
 *     and then shows as "1,61" somewhere or is refused by E2. Elsewhere it may be thousands. */
#include "evidence.h"
#include "moment.h"
#include "words.h"

static void hear(intake_said *said, const char *text, int64_t line) {
  said->rows++;
  if (said->line != 0)
    return;
  said->line = line;
  (void)intake_show(text, said->text, sizeof said->text);
}

void intake_hear_date(intake_evidence *evidence, const char *text, int64_t line) {
  intake_date_says says = intake_date_of(text);
  bool named = says == INTAKE_DATE_YMD && intake_names_month(text);
  hear(&evidence->date[says], text, line);
  evidence->named = evidence->named || named;
  evidence->numbered = evidence->numbered || (says != INTAKE_DATE_NOTHING && !named);
  evidence->clock = evidence->clock || intake_has_clock_behind(text);
}

void intake_hear_number(intake_evidence *evidence, const char *text, bt_thousands thousands,
                        int64_t line) {
  char joined[INTAKE_JOINED_BYTES];
  const char *whole = intake_join_thousands(text, thousands, joined);
  hear(&evidence->mark[intake_mark_of(whole == NULL ? text : whole)], text, line);
  for (int comma = 0; comma < 2 && whole == NULL; comma++) {
    bt_decimal_mark decimal = comma == 1 ? BT_DECIMAL_COMMA : BT_DECIMAL_POINT;
    hear(&evidence->grouped[comma][intake_thousands_in(text, decimal)], text, line);
  }
}

bt_status intake_decide_dates(const intake_evidence *evidence, bt_date_order stated,
                              bt_date_order *order, bt_error *error) {
  const intake_said *date = evidence->date;
  const intake_said *dmy = &date[INTAKE_DATE_DMY], *mdy = &date[INTAKE_DATE_MDY];
  const intake_said *either = &date[INTAKE_DATE_EITHER], *brief = &date[INTAKE_DATE_SHORT];
  *order = stated;
  if (stated != BT_DATES_AUTO)
    return BT_OK;
  if (dmy->line != 0 && mdy->line != 0)
    return bt_fail(error, BT_INPUT,
                   "line %lld has its date as day, month, year (%s), line %lld as month, day, year "
                   "(%s); correct the log, or say which it is with --dates dmy or --dates mdy",
                   (long long)dmy->line, dmy->text, (long long)mdy->line, mdy->text);
  if (dmy->line != 0 || mdy->line != 0) {
    *order = dmy->line != 0 ? BT_DATES_DMY : BT_DATES_MDY;
    return BT_OK;
  }
  if (either->line != 0)
    return bt_fail(
        error, BT_INPUT,
        "every date can be read as day/month and as month/day (line %lld: %s); say which "
        "it is with --dates dmy or --dates mdy",
        (long long)either->line, either->text);
  if (date[INTAKE_DATE_YMD].line != 0 || date[INTAKE_DATE_SAME].line != 0) {
    *order = date[INTAKE_DATE_SAME].line != 0 ? BT_DATES_DMY : BT_DATES_YMD;
    return BT_OK;
  }
  if (brief->line != 0)
    return bt_fail(error, BT_INPUT,
                   "the years have two digits (line %lld: %s); say how the dates are written with "
                   "--dates dmy, --dates mdy or --dates ymd",
                   (long long)brief->line, brief->text);
  if (date[INTAKE_DATE_NOTHING].line != 0 && intake_is_serial(date[INTAKE_DATE_NOTHING].text))
    return bt_fail(error, BT_INPUT, "no row has a date that can be read (line %lld: \"%s\"): %s",
                   (long long)date[INTAKE_DATE_NOTHING].line, date[INTAKE_DATE_NOTHING].text,
                   INTAKE_SERIAL);
  if (date[INTAKE_DATE_NOTHING].line != 0)
    return bt_fail(
        error, BT_INPUT,
        "no row has a date that can be read (line %lld: \"%s\"); write dates as "
        "2026-08-17, 17/08/2026, 08/17/2026 or 17 Aug 2026, or name another column as the "
        "date in a column map",
        (long long)date[INTAKE_DATE_NOTHING].line, date[INTAKE_DATE_NOTHING].text);
  return BT_OK;
}

void intake_doubt_order(const intake_evidence *evidence, bt_date_order stated, bt_text *sentence) {
  static const char *const written[] = {
      [BT_DATES_DMY] = "day, month, year", [BT_DATES_MDY] = "month, day, year"};
  const intake_said *dmy = &evidence->date[INTAKE_DATE_DMY];
  const intake_said *mdy = &evidence->date[INTAKE_DATE_MDY];
  bool day_first = stated == BT_DATES_DMY;
  if (!day_first && stated != BT_DATES_MDY)
    return;
  const intake_said *as_told = day_first ? dmy : mdy, *other = day_first ? mdy : dmy;
  const char *told = written[stated], *another = written[day_first ? BT_DATES_MDY : BT_DATES_DMY];
  if (other->line == 0)
    return;
  bt_text_format(sentence, "%lld row%s another order of dates than the one told, %s: ",
                 (long long)other->rows, other->rows == 1 ? " says" : "s say", told);
  if (as_told->line == 0)
    bt_text_format(sentence,
                   "line %lld can only be %s (%s), and no row can only be %s. Read as told, such "
                   "rows are refused and all others may be in the wrong month: look at --dates, or "
                   "at dates in the map",
                   (long long)other->line, another, other->text, told);
  else
    bt_text_format(sentence,
                   "line %lld has its date as %s (%s), line %lld as %s (%s). Read as told, rows of "
                   "the other order are refused, and a date that can be read both ways may be in "
                   "the wrong month; correct the log",
                   (long long)other->line, another, other->text, (long long)as_told->line, told,
                   as_told->text);
}

bt_status intake_decide_decimal(const intake_evidence *evidence, bt_decimal_mark stated,
                                char delimiter, bt_decimal_mark *mark, bt_error *error) {
  const intake_said *point = &evidence->mark[INTAKE_MARK_POINT];
  const intake_said *comma = &evidence->mark[INTAKE_MARK_COMMA];
  const intake_said *point_either = &evidence->mark[INTAKE_MARK_POINT_EITHER];
  const intake_said *comma_either = &evidence->mark[INTAKE_MARK_COMMA_EITHER];
  *mark = stated;
  if (stated != BT_DECIMAL_AUTO)
    return BT_OK;
  if (point->line == 0 && delimiter == ',')
    point = point_either; /* E4 */
  if (point->line != 0 && comma->line != 0)
    return bt_fail(
        error, BT_INPUT,
        "line %lld has a decimal point (%s), line %lld a decimal comma (%s); correct the "
        "log, or say which it is with --decimal point or --decimal comma",
        (long long)point->line, point->text, (long long)comma->line, comma->text);
  if (point->line != 0 || comma->line != 0) {
    *mark = point->line != 0 ? BT_DECIMAL_POINT : BT_DECIMAL_COMMA;
    return BT_OK;
  }
  const intake_said *either = comma_either->line != 0 ? comma_either : point_either;
  if (either->line != 0)
    return bt_fail(
        error, BT_INPUT,
        "\"%s\" (line %lld) can be a decimal fraction or thousands, and no other number "
        "of the log settles it; say which it is with --decimal point or --decimal comma, and of "
        "thousands in a column map, under [format]: thousands = %s",
        either->text, (long long)either->line,
        intake_thousands_word(either == comma_either ? BT_THOUSANDS_COMMA : BT_THOUSANDS_POINT));
  return BT_OK;
}
