/* The words by which a check's own row notes an event stay as that event's note. */
#include "gather.h"

#include <criterion/criterion.h>
#include <string.h>

static void must_note(const kept *k, size_t i, bt_event_kind kind, const char *note) {
  cr_expect_eq(k->events[i].kind, kind, "%zu: %s", i, bt_event_key(k->events[i].kind));
  cr_expect_str_eq(k->notes[i], note, "%zu: %s", i, k->notes[i]);
}

/* A lot, a meter's number, what a visit was for; a word for yes, or for the kind alone, is none. */
Test(intake_event_notes, words_that_say_more_than_the_kind) {
  kept k;
  bt_reading_choices choices;
  gather_by_map(
      "[format]\nunit = A\n[columns]\ndate = Wann\nenergy_mj = E\n[values]\n"
      "event.gas_bottle = Was, \"gas bottle changed, lot 4711\" | new bottle\n"
      "event.meter_changed = Was, meter changed to M-2 | 1\n"
      "event.service = Was, Wartung | Wartung wegen Shutter\nevent.service = Auch, Spiegel (2)\n",
      "Wann;E;Was;Auch\n2026-08-17;1.6;Gas bottle changed, lot 4711;\n2026-08-18;1.6;new bottle;\n"
      "2026-08-19;1.6;meter changed to M-2;\n2026-08-20;1.6;1;\n"
      "2026-08-21;;Wartung wegen Shutter;Spiegel (2)\n2026-08-22;1.6;Wartung;\n",
      &k, &choices);
  cr_assert_eq(k.events_n, 6, "%s%s", k.error.text, k.reasons[0]);
  cr_expect_eq(k.checks_n, 5);
  must_note(&k, 0, BT_EVENT_GAS_BOTTLE, "Gas bottle changed, lot 4711");
  must_note(&k, 1, BT_EVENT_GAS_BOTTLE, "(none)");
  must_note(&k, 2, BT_EVENT_METER_CHANGED, "meter changed to M-2");
  must_note(&k, 3, BT_EVENT_METER_CHANGED, "(none)");
  must_note(&k, 4, BT_EVENT_SERVICE, "Wartung wegen Shutter; Spiegel (2)");
  must_note(&k, 5, BT_EVENT_SERVICE, "(none)");
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* A refill is noted in its check, and its words are a remark of it; where nothing was checked it is
 * an event with its note. A remark that holds them already stays as it is. */
Test(intake_event_notes, of_a_gas_refill) {
  static const char *const maps[] = {
      "[format]\nunit = A\n[columns]\ndate = Wann\nenergy_mj = E\nremark = Dazu\n[values]\n"
      "event.gas_refill = Gas, neu (Flasche 7) | ja | 1, before\n",
      "[format]\nunit = A\n[columns]\ndate = Wann\nenergy_mj = E\nremark = Gas\n[values]\n"
      "event.gas_refill = Gas, neu (Flasche 7) | ja | 1, before\n"};
  static const char *const remarks[][4] = {
      {"neu (Flasche 7)", "laut; neu (Flasche 7)", "(none)", "(none)"},
      {"neu (Flasche 7)", "neu (Flasche 7)", "ja", "1"}};
  for (size_t i = 0; i < 2; i++) {
    kept k;
    bt_reading_choices choices;
    gather_by_map(maps[i],
                  "Wann,E,Gas,Dazu\n2026-08-17,1.6,neu (Flasche 7),\n"
                  "2026-08-18,1.6,neu (Flasche 7),laut\n2026-08-19,1.6,ja,\n2026-08-20,1.6,1,\n"
                  "2026-08-21,,neu (Flasche 7),\n",
                  &k, &choices);
    cr_assert_eq(k.checks_n, i == 0 ? 4 : 5, "%s%s", k.error.text, k.reasons[0]);
    for (size_t n = 0; n < 4; n++) {
      cr_expect_eq(k.checks[n].refill, BT_REFILL_BEFORE, "%zu", n);
      cr_expect_str_eq(k.remarks[n], remarks[i][n], "%zu, %zu: %s", i, n, k.remarks[n]);
    }
    cr_assert_eq(k.events_n, i == 0 ? 1 : 0);
    if (i == 0)
      must_note(&k, 0, BT_EVENT_GAS_REFILL, "neu (Flasche 7)");
    gather_free(&k);
    bt_reading_choices_free(&choices);
  }
}

/* In long form the name may say it, or the value beside it. */
Test(intake_event_notes, in_long_form) {
  kept k;
  bt_reading_choices choices;
  gather_by_map(
      "[columns]\ndate = Wann\nunit = Wo\ncharacteristic = Was\nvalue = Wert\n[values]\n"
      "energy_mj = Was, E\nevent.gas_bottle = Was, Flasche\nevent.other = Was, Lampe neu\n"
      "event.meter_changed = Was, Messkopf M-2\n",
      "Wann,Wo,Was,Wert\n2026-08-17,A,E,1.6\n2026-08-17,A,Flasche,Los 4711\n"
      "2026-08-17,A,Lampe neu,3000 h\n2026-08-18,A,E,1.6\n2026-08-18,A,Flasche,ja\n"
      "2026-08-18,A,Messkopf M-2,x\n2026-08-19,A,Flasche,nein\n2026-08-19,A,E,1.6\n",
      &k, &choices);
  cr_assert_eq(k.events_n, 4, "%s%s", k.error.text, k.reasons[0]);
  must_note(&k, 0, BT_EVENT_GAS_BOTTLE, "Los 4711");
  must_note(&k, 1, BT_EVENT_OTHER, "Lampe neu; 3000 h");
  must_note(&k, 2, BT_EVENT_GAS_BOTTLE, "(none)");
  must_note(&k, 3, BT_EVENT_METER_CHANGED, "Messkopf M-2");
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* One text of a diary may mean several events: each is one, with the words as its note. */
Test(intake_event_notes, one_text_that_means_two) {
  kept k;
  bt_reading_choices choices;
  gather_by_map("[format]\nunit = A\n[columns]\ndate = Wann\nevent = Was\n[values]\n"
                "event.service = Was, \"Wartung, Optik gereinigt\"\n"
                "event.optics_cleaned = Was, \"Wartung, Optik gereinigt\" | Optik\n",
                "Wann;Was\n2026-08-17;Wartung, Optik gereinigt\n2026-08-18;Optik\n"
                "2026-08-19;service\n",
                &k, &choices);
  cr_assert_eq(k.events_n, 4, "%zu: %s%s", k.events_n, k.error.text, k.reasons[0]);
  must_note(&k, 0, BT_EVENT_OPTICS_CLEANED, "Wartung, Optik gereinigt");
  must_note(&k, 1, BT_EVENT_SERVICE, "Wartung, Optik gereinigt");
  must_note(&k, 2, BT_EVENT_OPTICS_CLEANED, "(none)");
  must_note(&k, 3, BT_EVENT_SERVICE, "(none)");
  cr_expect_eq(k.events[0].time, k.events[1].time);
  cr_expect_eq(k.events[1].line, 2);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}
