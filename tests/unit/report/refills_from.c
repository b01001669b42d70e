/* Refills that nobody noted are told with what they were read off. */
#include "report_study.h"

#include <criterion/criterion.h>

Test(refills_from, what_they_were_read_off) {
  static const struct {
    bool from_log, from_counter, event, flag;
    const char *words;
  } cases[] = {{false, false, false, false, ""},
               {true, false, false, false, " (read off the logged age of the gas)"},
               {true, false, true, false, ""},
               {true, false, false, true, ""},
               {false, false, true, true, ""},
               {false, true, false, false, " (read off the pulse counter)"}};
  for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
    bt_event events[2] = {{.kind = BT_EVENT_SERVICE},
                          {.kind = cases[k].event ? BT_EVENT_GAS_REFILL : BT_EVENT_GAS_BOTTLE}};
    uint8_t refill[3] = {BT_REFILL_NONE, cases[k].flag ? BT_REFILL_BEFORE : BT_REFILL_NONE};
    bt_unit_study unit = {
        .history = {.n = 3, .refill = refill, .events_n = 2, .events = events},
        .fills = {.from_log = cases[k].from_log, .from_counter = cases[k].from_counter}};
    cr_expect_str_eq(report_refills_from(&unit), cases[k].words, "%zu", k);
  }
}
