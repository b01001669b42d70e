/* The pulse energy in percent of its target: by which names and values `columns` offers it, and how
 * an import reads it. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

Test(intake_percent, names_and_values_that_are_offered) {
  static const struct {
    const char *header, *first, *second, *offers; /* offers: NULL, another key or none */
  } table[] = {
      {"Énergie (% de la consigne)", "99,6 %", "100,2 %", "energy_pct"},
      {"Énergie (% de la consigne)", "99,6", "100,2", "energy_pct"},
      {"Énergie", "99,6 %", "100,2 %", "energy_pct"},
      {"Energie (% Soll)", "99,6", "100,2", "energy_pct"},
      {"Energie in Prozent vom Soll", "99,6", "100,2", "energy_pct"},
      {"Pulsenergie %", "99,6", "100,2", "energy_pct"},
      {"% of target", "99,6", "100,2", "energy_pct"},
      {"Energía (% nominal)", "99,6", "100,2", "energy_pct"},
      {"Energieverhältnis", "0,996", "1,002", "energy_pct = 1"},
      {"Energie % Soll", "0,996", "1,002", "energy_pct = 1"},
      {"Pulsenergie", "99,6", "100,2", NULL},        /* nothing speaks of percent */
      {"Pulsenergie", "1,602", "1,599", NULL},       /* or of a ratio */
      {"Energie Streuung %", "99,6", "100,2", NULL}, /* a spread */
      {"Pulsenergie %", "1,6", "2,2", NULL},         /* as likely one */
      {"Energie Abw. % Soll", "-0,4", "0,2", NULL},  /* a deviation */
      {"Beam size (% of target)", "99,6 %", "100,2 %", NULL},
      {"Soll %", "99,6", "100,2", "energy_pct"},
      {"Feuchte %", "99,6", "100,2", NULL},
      {"Fluence (% de la consigne)", "99,6 %", "100,2 %", NULL},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char text[256], offered[128], unit[128];
    bt_survey *preview = NULL;
    bt_text map = {0};
    bt_error error = {0};
    (void)snprintf(text, sizeof text, "Datum;%s\n13.01.2026;%s\n14.01.2026;%s\n", table[i].header,
                   table[i].first, table[i].second);
    cr_assert_eq(bt_preview_file(file_of_text(text), NULL, &preview, &error), BT_OK, "%s",
                 error.text);
    bt_map_starter(preview, &map);
    const char *key = table[i].offers;
    (void)snprintf(offered, sizeof offered, "# energy_pct = %s\n", table[i].header);
    (void)snprintf(unit, sizeof unit, "# energy_pct = 1\n");
    cr_expect_eq(strstr(bt_text_get(&map), offered) != NULL, key != NULL, "%s, %s: %s",
                 table[i].header, table[i].first, bt_text_get(&map));
    cr_expect_eq(strstr(bt_text_get(&map), unit) != NULL, key != NULL && strchr(key, '1') != NULL,
                 "%s, %s: %s", table[i].header, table[i].first, bt_text_get(&map));
    bt_text_free(&map);
    bt_survey_free(preview);
  }
}

static double percent_read(const char *text, const char *map) {
  static kept got;
  bt_reading_choices choices = {0};
  bt_error error = {0};
  cr_assert_eq(read_map(map, NULL, 0, &choices, &error), BT_OK, "%s", error.text);
  gather(file_of_text(text), &choices, &got);
  cr_assert_eq(got.status, BT_OK, "%s", got.error.text);
  cr_assert_eq(got.checks_n, 1);
  double value = reading(&got, 0, BT_READING_ENERGY_PCT);
  gather_free(&got);
  bt_reading_choices_free(&choices);
  return value;
}

Test(intake_percent, is_read_as_percent_or_ratio) {
  static const char unit[] = "[format]\nunit = A\n";
  cr_expect_eq(percent_read("date,Energy (%)\n2026-01-13,100.2\n", unit), 100.2, "by its header");
  cr_expect_eq(percent_read("date,E\n2026-01-13,100.2 %\n",
                            "[format]\nunit = A\n[columns]\ndate = date\nenergy_pct = E\n"),
               100.2);
  cr_expect_float_eq(percent_read("date,E\n2026-01-13,1.002\n",
                                  "[format]\nunit = A\n[columns]\ndate = date\nenergy_pct = E\n"
                                  "[units]\nenergy_pct = 1\n"),
                     100.2, 1e-12);
}

/* Where the clinic declared the column as its own before: said, with what to do. */
Test(intake_percent, that_was_the_clinics_own) {
  char key[] = "energy", title[] = "Energy", percent[] = "%";
  bt_own_characteristic own = {.key = key, .title = title, .unit = percent, .decimals = 1};
  bt_reading_choices choices = {.unit = (char[]){"A"}, .own = &own, .own_n = 1};
  static const struct {
    const char *header;
    bool said;
  } table[] = {{"Energy (%)", true}, {"energy_pct", false}, {"Energy", false}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char text[128];
    bt_survey *preview = NULL;
    bt_error error = {0};
    bool said = false;
    (void)snprintf(text, sizeof text, "date,%s\n2026-01-13,100.2\n", table[i].header);
    cr_assert_eq(bt_preview_file(file_of_text(text), &choices, &preview, &error), BT_OK, "%s",
                 error.text);
    for (size_t k = 0; k < preview->hints_n; k++)
      said = said || strstr(preview->hints[k], "is read as energy_pct, not as energy (Energy) of "
                                               "the clinic's own") != NULL;
    cr_expect_eq(said, table[i].said, "%s", table[i].header);
    bt_survey_free(preview);
  }
}
