/* Fuzz target: civil times, written and read back.
 *
 * The first eight bytes are a moment of the years 1 to 9999; the rest is text as a person may type
 * it. The moment is held against the C library's own calendar, which shares nothing with ours; the
 * text, where it is taken for a time, is written back and read once more as the same. */
#include "fuzz.h"

#include "beamtally/base.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

static const bt_time first = -62135596800; /* 0001-01-01 */
static const bt_time span = 315537897600;  /* to 10000-01-01 */

static void must_be_as_in_the_library(bt_time at) {
  const time_t moment = (time_t)at;
  struct tm library;
  fuzz_must(gmtime_r(&moment, &library) != NULL);
  bt_civil ours = bt_civil_of(at);
  fuzz_must(bt_civil_valid(&ours) && bt_time_of(&ours) == at);
  fuzz_must(ours.year == library.tm_year + 1900 && ours.month == library.tm_mon + 1 &&
            ours.day == library.tm_mday && ours.hour == library.tm_hour &&
            ours.minute == library.tm_min && ours.second == library.tm_sec);
  fuzz_must(bt_weekday_of(at) % 7 == library.tm_wday);
  bt_time month = bt_month_start(at, 0);
  bt_civil start = bt_civil_of(month);
  fuzz_must(month <= at && at - month < 31 * BT_DAY && start.day == 1 && start.month == ours.month);
  if (ours.year > 1 && ours.year < 9999)
    fuzz_must(bt_month_start(bt_month_start(at, 7), -7) == month);
}

static void must_come_back(bt_time at, bool has_clock) {
  char written[BT_TIME_TEXT];
  bt_time back = 0;
  bool back_clock = !has_clock;
  fuzz_must(bt_time_parse(bt_time_iso(at, has_clock, written), &back, &back_clock));
  fuzz_must(back == at && back_clock == has_clock);
  fuzz_must(bt_time_parse(bt_time_day_iso(at, written), &back, NULL));
  fuzz_must(back == bt_day_of(at) * BT_DAY);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  uint64_t bits = 0;
  size_t used = size < sizeof bits ? size : sizeof bits;
  memcpy(&bits, data, used);
  bt_time at = first + (bt_time)(bits % (uint64_t)span);
  must_be_as_in_the_library(at);
  must_come_back(at, true);

  char *text = malloc(size - used + 1);
  fuzz_must(text != NULL);
  memcpy(text, data + used, size - used);
  text[size - used] = '\0';
  bool has_clock = false;
  if (bt_time_parse(text, &at, &has_clock)) {
    must_be_as_in_the_library(at);
    must_come_back(at, has_clock);
  }
  free(text);
  return 0;
}
