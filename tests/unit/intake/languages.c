/* Headers and words of several languages: everyday words, no source. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The starter map of a log with one column more offers that line, and not the other. */
static void must_offer(const char *header, const char *first, const char *second, const char *line,
                       const char *not_this) {
  bt_text log = {0};
  bt_text_format(&log, "date;energy_mj;%s\n2026-01-02;1,6;%s\n2026-01-03;1,61;%s\n", header, first,
                 second);
  char *map = starter_of(&one_room, bt_text_get(&log));
  cr_expect(line == NULL || strstr(map, line) != NULL, "%s is not in: %s", line, map);
  cr_expect(not_this == NULL || strstr(map, not_this) == NULL, "%s is in: %s", not_this, map);
  free(map);
  bt_text_free(&log);
}

Test(intake_languages, headers) {
  static const struct {
    const char *header, *first, *second, *key;
  } table[] = {
      {"Ora", "7.30", "13.05", "time"},
      {"Heure", "7.30", "7.50", "time"},
      {"Uhrzeit", "7.30", "07.45", "time"},
      {"Hora", "7.30", "7:45", "time"},
      {"Hora", "7.30", "7.45", "time"},
      {"Ora", "7:30", "7:45", "time"},
      {"Appareil", "Laser 1", "Laser 1", "unit"},
      {"APPAREIL", "Laser 1", "Laser 1", "unit"},
      {"Apparecchio", "Laser 1", "Laser 1", "unit"},
      {"Equipo", "Laser 1", "Laser 1", "unit"},
      {"Cihaz", "Laser 1", "Laser 1", "unit"},
      {"Toestel", "Laser 1", "Laser 1", "unit"},
      {"Aparelho", "Laser 1", "Laser 1", "unit"},
      {"Urządzenie", "Laser 1", "Laser 1", "unit"},
      {"Gerät", "Laser 1", "Laser 1", "unit"},
      {"Opérateur", "JD", "PL", "operator"},
      {"Prüfer", "JD", "PL", "operator"},
      {"PRÜFER", "JD", "PL", "operator"},
      {"Remarques", "net", "net", "remark"},
      {"Opmerking", "goed", "goed", "remark"},
      {"Açıklama", "temiz", "temiz", "remark"},
      {"Uwagi", "dobrze", "dobrze", "remark"},
      {"Autotest", "18/18", "17/18", "selftest_passed"},
      {"Zelftest", "18/18", "17/18", "selftest_passed"},
      {"Énergie de consigne (mJ)", "1,6", "1,6", "target_mj"},
      {"ÉNERGIE (J)", "0,0016", "0,0016", "target_mj"}, /* the log has its energy_mj */
      {"Fluence mesurée (mJ/cm²)", "160,1", "160,2", "fluence_mj_cm2"},
      {"Haute tension (kV)", "24,5", "24,6", "hv_kv"},
      {"Humidité (%)", "45", "46", "rh_pct"},
      {"Umidità (%)", "45", "46", "rh_pct"},
      {"Nem (%)", "45", "46", "rh_pct"},
      {"Sıcaklık (°C)", "21", "22", "temp_c"},
      {"Profondeur (mm)", "0,05", "0,05", "plate_depth_um"},
      {"Diamètre du spot (mm)", "0,95", "0,96", "spot_mm"},
      {"Décalage X (mm)", "-0,012", "0,007", "offset_x_um"},
      {"DÉCALAGE Y (mm)", "-0,012", "0,007", "offset_y_um"},
      {"Desplazamiento X (mm)", "0,012", "0,007", "offset_x_um"},
      {"Verschuiving Y (mm)", "0,012", "0,007", "offset_y_um"},
      {"Pos. X (mm)", "0,012", "0,007", "offset_x_um"},
      {"Pos. Y [mm]", "-0,12", "0,307", "offset_y_um"},
      {"Inställd energi [mJ]", "2,1", "2,1", "target_mj"},
      {"Självtest", "18/18", "17/18", "selftest_passed"},
      {"Anmärkning", "bra", "bra", "remark"},
      {"Sign", "EL", "AK", "operator"},
      {"Avvikelse X [um]", "-5", "2", "offset_x_um"},
      {"Fyllning dag", "0", "1", "fill_age_days"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char line[128];
    (void)snprintf(line, sizeof line, "\n# %s = %s\n", table[i].key, table[i].header);
    must_offer(table[i].header, table[i].first, table[i].second, line, NULL);
  }
}

/* A meter's name is kept as it stands: it is no word for yes or no. */
Test(intake_languages, a_meters_name) {
  static const char *const headers[] = {"Miernik", "Messkopf", "Power meter", "Medidor"};
  for (size_t i = 0; i < sizeof headers / sizeof *headers; i++) {
    char line[128];
    (void)snprintf(line, sizeof line, "\n# meter = %s\n", headers[i]);
    must_offer(headers[i], "M-7", "M-8", line, ", YES");
  }
}

/* A number with a dot is a time only where its two digits are minutes, and the header says so. */
Test(intake_languages, what_is_no_time) {
  must_offer("Ora", "7.30", "7.75", NULL, "# time");
  must_offer("Ora", "7.30", "7.5", NULL, "# time");
  must_offer("Durata", "7.30", "7.45", "key = durata", "# time");
  must_offer("Ora", "7.30", "7.45", NULL, "key = ora");
}

/* Where the column's unit is another than the key's, the map says it. */
Test(intake_languages, offsets_in_millimetres) {
  static const char *const headers[] = {"Décalage X (mm)", "Spostamento X [mm]", "Pos. X (mm)"};
  for (size_t i = 0; i < sizeof headers / sizeof *headers; i++) {
    must_offer(headers[i], "0,012", "-0,007", "[units]\n# offset_x_um = mm\n", "# spot_mm");
    must_offer(headers[i], "0,012", "0,007", "[units]\n# offset_x_um = mm\n", "# spot_mm");
  }
}

/* No beam is 7 µm across or less than nothing; one of 0.9 mm is. */
Test(intake_languages, what_can_be_no_spot) {
  must_offer("Spot X (mm)", "0,007", "0,012", "# offset_x_um = Spot X (mm)", "# spot_mm");
  must_offer("Spot (mm)", "0,9", "-0,9", NULL, "# spot_mm");
  must_offer("Abstand (mm)", "0,05", "0,04", NULL, "# spot_mm");
  must_offer("Spot [µm]", "910", "905", "# spot_mm = Spot [µm]", NULL);
  must_offer("Spot [µm]", "910", "905", "[units]\n# spot_mm = µm\n", NULL);
  must_offer("Spot [µm]", "7", "5", NULL, "# spot_mm");
  must_offer("Breite (mm)", "0,91", "0,9", "# spot_mm = Breite (mm)", NULL);
}

/* A column of yes and no about the gas: its word for yes is offered, in whatever order they come,
 * and the one for no is none. */
Test(intake_languages, yes_and_no) {
  static const struct {
    const char *header, *yes, *no;
  } table[] = {{"Gas refill", "yes", "no"},
               {"Gas", "Y", "N"},
               {"Gaswechsel", "ja", "nein"},
               {"Gas nachgefüllt", "Ja", "NEIN"},
               {"Remplissage gaz", "oui", "non"},
               {"Ricarica", "sì", "no"},
               {"Recarga", "Sí", "No"},
               {"Gaz dolumu", "evet", "HAYIR"},
               {"Gaz dolumu", "EVET", "hayır"},
               {"Recarga de gás", "sim", "não"},
               {"Gasvulling", "ja", "nee"},
               {"Napełnianie gazem", "tak", "nie"},
               {"Füllung", "x", ""},
               {"Gas refill", "1", "0"},
               {"Remplissage gaz", "1", ""},
               {"Gas refill", "WAHR", "FALSCH"},
               {"Gas refill", "TRUE", "FALSE"},
               {"Gas refill", "VRAI", "FAUX"}};
  for (size_t i = 0; i < 2 * sizeof table / sizeof *table; i++) {
    const char *header = table[i / 2].header, *yes = table[i / 2].yes, *no = table[i / 2].no;
    bool no_first = i % 2 == 1;
    char line[128], wrong[128];
    (void)snprintf(line, sizeof line, "# event.gas_refill = %s, %s, before\n", header, yes);
    (void)snprintf(wrong, sizeof wrong, "= %s, %s, before", header, no);
    must_offer(header, no_first ? no : yes, no_first ? yes : no, line, wrong);
    must_offer("refill", no_first ? no : yes, no_first ? yes : no, ", before\n", wrong);

    /* Read as it is named: the import's question has the word for yes as well. */
    bt_survey *survey = NULL;
    bt_error error = {0};
    bt_text log = {0};
    (void)snprintf(line, sizeof line, "event.gas_refill = refill, %s, before (or after)", yes);
    bt_text_format(&log, "date;energy_mj;refill\n2026-01-02;1,6;%s\n2026-01-03;1,61;%s\n",
                   no_first ? no : yes, no_first ? yes : no);
    cr_expect_eq(bt_survey_file(file_of_text(bt_text_get(&log)), &one_room, &survey, &error),
                 BT_INPUT, "%s", bt_text_get(&log));
    cr_expect_not_null(strstr(error.text, line), "%s", error.text);
    bt_survey_free(survey);
    bt_text_free(&log);
  }
}

/* Other texts of a column about the gas are offered as those of a diary are: a line for each, of
 * the kind that its words tell of. Where there are many or long ones, they may be remarks. */
Test(intake_languages, texts_of_a_column_about_the_gas) {
  static const char lead[] = "date;energy_mj;Gaz\n2026-01-02;1,6;nie\n2026-01-03;1,61;tak\n";
  static const char *const offered[] = {
      "# event.gas_refill = Gaz, tak, before\n"
      "# Its other texts, as far as their words tell: look it over.\n"
      "# event.gas_bottle = Gaz, nowa butla\n# event.gas_refill = Gaz, nowa butla, before\n"
      "# event.gas_refill = Gaz, \"gaz, 2 bar\", before\n",
      "# Its texts, as far as their words tell: look it over.\n"
      "# event.gas_bottle = Gaz, nowa butla\n# event.gas_refill = Gaz, nowa butla, before\n"};
  for (size_t i = 0; i < 3; i++) {
    bt_text log = {0};
    bt_text_format(&log, "%s2026-01-04;1,61;nowa butla\n2026-01-05;1,6;%s\n",
                   i == 1 ? "date;energy_mj;Gaz\n" : lead,
                   i == 0   ? "gaz, 2 bar"
                   : i == 1 ? "nie"
                            : "dolano, bo pacjent Jan Przykładowy czekał na zabieg od samego rana");
    char *map = starter_of(&one_room, bt_text_get(&log));
    if (i < 2)
      cr_expect_not_null(strstr(map, offered[i]), "%zu: %s", i, map);
    else
      cr_expect(strstr(map, "Jan") == NULL && strstr(map, "nowa") == NULL, "%s", map);
    cr_expect_null(strstr(map, "nie"), "%s", map);
    free(map);
    bt_text_free(&log);
  }
}

/* A word for a change alone tells of one there. */
Test(intake_languages, a_change_in_a_column_about_the_gas) {
  static const char *const words[] = {"wymiana", "Wechsel", "changé", "değişti", "changed"};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
    char line[96];
    (void)snprintf(line, sizeof line, "# event.gas_refill = Gas, %s, before\n", words[i]);
    must_offer("Gas", words[i], "", line, "YES");
  }
}

/* Names of people never stand in a map: not where the header says who, whatever stands there, nor
 * where a text tells of no gas, or says who. */
Test(intake_languages, nobodys_name_in_a_column_about_the_gas) {
  static const struct {
    const char *header, *text;
  } table[] = {{"Gas refill by", "Anna Kowalska"},
               {"Gas changed by", "Anna Kowalska"},
               {"GasRefillBy", "Anna Kowalska"},
               {"gas_refill_by", "J"},
               {"Gas refill by", "Vargas"},
               {"Gas gewechselt von", "Anna Kowalska"},
               {"Gas (Bediener)", "Butler"},
               {"Gaz remplacé par", "Anna Kowalska"},
               {"Gas cambiato da", "Anna Kowalska"},
               {"Wymiana gazu przez", "Anna Kowalska"},
               {"Gaz, operator", "Anna Kowalska"},
               {"Gas", "Anna Kowalska"},
               {"Gas", "Neumann"},
               {"Gas refill", "gas by Anna Kowalska"},
               {"refill", "Anna Kowalska"}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char cell[64];
    (void)snprintf(cell, sizeof cell, ", %s", table[i].text);
    must_offer(table[i].header, table[i].text, "", NULL, cell);
    must_offer(table[i].header, "yes", table[i].text, NULL, cell);
    bt_text log = {0};
    bt_text_format(&log, "date;energy_mj;Refill;%s\n2026-01-02;1,6;yes;%s\n", table[i].header,
                   table[i].text);
    char *map = starter_of(&one_room, bt_text_get(&log));
    cr_expect_null(strstr(map, cell), "%s", map);
    free(map);
    bt_text_free(&log);
  }
}

/* A word that is neither is not taken for a yes. */
Test(intake_languages, neither_yes_nor_no) {
  bt_survey *survey = NULL;
  bt_error error = {0};
  static const char log[] = "date,energy_mj,refill\n2026-01-02,1.6,no?\n2026-01-03,1.6,yes\n";
  cr_assert_eq(bt_survey_file(file_of_text(log), &one_room, &survey, &error), BT_INPUT);
  cr_expect_not_null(strstr(error.text, "refill, ITS WORD FOR YES, before (or after)"), "%s",
                     error.text);
  bt_survey_free(survey);
}

/* A map that gives the yes a meaning leaves the no none, whether or not the column is named. */
Test(intake_languages, a_refill_by_its_word_for_yes) {
  static const char log[] =
      "Date;mJ;Gaz\n2026-01-02;1,6;non\n2026-01-03;1,61;oui\n2026-01-05;1,62;n.d.\n";
  static const char *const maps[] = {
      "[columns]\ndate = Date\nenergy_mj = mJ\nrefill = Gaz\n[values]\nevent.gas_refill = Gaz, "
      "oui, before\n",
      "[columns]\ndate = Date\nenergy_mj = mJ\nrefill = Gaz\n[values]\nevent.gas_refill = Gaz, "
      "OUI, before\n"};
  for (size_t i = 0; i < sizeof maps / sizeof *maps; i++) {
    bt_reading_choices choices = {0};
    bt_error error = {0};
    kept got;
    cr_assert_eq(bt_map_read(map_of_text(maps[i]), &choices, &error), BT_OK, "%s", error.text);
    choices.unit = bt_copy("A");
    gather(file_of_text(log), &choices, &got);
    cr_assert_eq(got.status, BT_OK, "%s", got.error.text);
    cr_assert_eq(got.checks_n, 3);
    cr_expect_eq(got.checks[0].refill, BT_REFILL_NONE);
    cr_expect_eq(got.checks[1].refill, BT_REFILL_BEFORE);
    cr_expect_eq(got.checks[2].refill, BT_REFILL_NONE);
    gather_free(&got);
    bt_reading_choices_free(&choices);
  }
}

/* Words for "not measured" cost a row its cell, not the whole check. */
Test(intake_languages, not_measured) {
  static const char *const marks[] = {
      "",    "-",   "--",   "---",  "–",     "—",    "−",     "?",    "??",   "/",     "NA",  "na",
      "n/a", "N/A", "n.a.", "N.A.", "n. a.", "n.b.", "n. b.", "n.d.", "k.A.", "k. A.", "k.a."};
  for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
    bt_text log = {0};
    kept got;
    bt_text_format(&log, "date;energy_mj;spot_mm\n2026-01-02;1,6;%s\n2026-01-03;1,61;0,9\n",
                   marks[i]);
    gather(file_of_text(bt_text_get(&log)), &one_room, &got);
    cr_assert_eq(got.status, BT_OK, "%s: %s", marks[i], got.error.text);
    cr_expect_eq(got.refusals_n, 0, "%s", marks[i]);
    cr_assert_eq(got.checks_n, 2, "%s", marks[i]);
    cr_expect_not(bt_check_has(&got.checks[0], BT_READING_SPOT_MM), "%s", marks[i]);
    gather_free(&got);
    bt_text_free(&log);
  }
  /* Initials stay initials, and what may be a reading is one or refused. */
  static const char *const others[] = {"K.A.", "N.B.", "N.D.", "ok?", "kA", "-?", "//"};
  for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
    bt_text log = {0};
    kept got;
    bt_text_format(&log, "date;energy_mj;operator\n2026-01-02;1,6;%s\n", others[i]);
    gather(file_of_text(bt_text_get(&log)), &one_room, &got);
    cr_assert_eq(got.checks_n, 1, "%s", others[i]);
    cr_expect_str_eq(got.operators[0], others[i]);
    gather_free(&got);
    bt_text_free(&log);
  }
}

/* What a map says of such a mark holds. */
Test(intake_languages, a_mark_that_has_a_meaning) {
  bt_reading_choices choices = {0};
  bt_error error = {0};
  kept got;
  cr_assert_eq(bt_map_read(map_of_text("[columns]\ndate = D\nenergy_mj = E\npattern = P\n[values]\n"
                                       "pattern.fail = P, / | -\n"),
                           &choices, &error),
               BT_OK, "%s", error.text);
  choices.unit = bt_copy("A");
  gather(file_of_text("D;E;P\n2026-01-02;1,6;/\n2026-01-03;1,61;-\n2026-01-04;1,61;?\n"), &choices,
         &got);
  cr_assert_eq(got.checks_n, 3, "%s", got.error.text);
  cr_expect_str_eq(got.patterns[0], "fail");
  cr_expect_str_eq(got.patterns[1], "fail");
  cr_expect_str_eq(got.patterns[2], "(none)");
  gather_free(&got);
  bt_reading_choices_free(&choices);
}

/* What is offered for a column that no key fits is taken by the settings, and the log read by it.
 */
Test(intake_languages, a_declaration_as_it_is_offered) {
  static const struct {
    const char *header, *first, *second, *key, *unit, *own;
  } table[] = {
      {"Réglage (% de la consigne)", "100,2 %", "99,6 %", "reglage", "%", "reglage 100.2"},
      {"Réglage (% de la consigne)", "100,2", "99,6", "reglage", "%", "reglage 100.2"},
      {"Tension (relative)", "100,2 %", "99,6%", "tension", "%", "tension 100.2"},
      {"ÖFFNUNG (N)", "12", "13", "oeffnung", "N", "oeffnung 12"},
      {"Façade n° 2 (N)", "12", "13", "facade_n_2", "N", "facade_n_2 12"},
      {"Ciśnienie łączne [bar g]", "1,2", "1,3", "cisnienie_laczne", "bar g", NULL},
      {"Value (a.u.)", "12", "13", "my_reading", "a.u.", "my_reading 12"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_text log = {0}, ini = {0};
    char line[160];
    bt_settings settings = {0};
    bt_error error = {0};
    kept got;
    bt_text_format(&log, "date;energy_mj;%s\n2026-01-02;1,6;%s\n2026-01-03;1,61;%s\n",
                   table[i].header, table[i].first, table[i].second);
    char *map = starter_of(&one_room, bt_text_get(&log));
    const char *block = strstr(map, "#   [characteristic 1]\n");
    if (table[i].own == NULL) { /* it has a key */
      cr_expect_null(block, "%s", map);
    } else {
      cr_assert_not_null(block, "%s: %s", table[i].header, map);
      (void)snprintf(line, sizeof line, "#   key = %s\n", table[i].key);
      cr_expect_not_null(strstr(block, line), "%s", map);
      (void)snprintf(line, sizeof line, "#   unit = %s\n", table[i].unit);
      cr_expect_not_null(strstr(block, line), "%s", map);
      for (; strncmp(block, "#   ", 4) == 0; block += strcspn(block, "\n") + 1)
        bt_text_add_bytes(&ini, block + 4, strcspn(block, "\n") + 1 - 4);
      cr_assert_eq(bt_settings_read(map_of_text(bt_text_get(&ini)), &settings, &error), BT_OK,
                   "%s:\n%s", error.text, bt_text_get(&ini));
      bt_reading_choices choices = one_room;
      choices.own = settings.own;
      choices.own_n = settings.own_n;
      gather(file_of_text(bt_text_get(&log)), &choices, &got);
      cr_assert_eq(got.status, BT_OK, "%s", got.error.text);
      cr_assert(got.checks_n == 2 && got.refusals_n == 0, "%s: %s", table[i].header,
                got.refusals_n > 0 ? got.reasons[0] : "");
      cr_expect_str_eq(got.own[0], table[i].own);
      gather_free(&got);
      bt_settings_free(&settings);
    }
    free(map);
    bt_text_free(&log);
    bt_text_free(&ini);
  }
}

/* Further words for "not measured" are the map's to say; in a column that nothing reads, or that
 * names the laser, that says nothing. */
Test(intake_languages, a_word_of_the_maps_own_for_not_measured) {
  static const char columns[] = "[columns]\ndate = D\nunit = U\nenergy_mj = E\nspot_mm = S\n"
                                "[values]\n";
  static const char log[] = "D;U;E;S;X\n2026-01-02;A;1,6;ausgefallen;z\n"
                            "2026-01-03;A;Ausgefallen;0,9;z\n2026-01-04;A;1,61;weg;z\n";
  bt_reading_choices choices = {0};
  bt_error error = {0};
  bt_text map = {0};
  kept got;
  bt_text_format(&map, "%snot_stored = E, ausgefallen\nnot_stored = S, ausgefallen\n", columns);
  cr_assert_eq(bt_map_read(map_of_text(bt_text_get(&map)), &choices, &error), BT_OK, "%s",
               error.text);
  gather(file_of_text(log), &choices, &got);
  cr_assert_eq(got.checks_n, 2, "%s", got.error.text);
  cr_expect_not(bt_check_has(&got.checks[0], BT_READING_SPOT_MM));
  cr_expect(bt_check_has(&got.checks[0], BT_READING_ENERGY_MJ));
  cr_expect_not(bt_check_has(&got.checks[1], BT_READING_ENERGY_MJ));
  cr_expect(bt_check_has(&got.checks[1], BT_READING_SPOT_MM));
  cr_expect_eq(got.refusals_n, 1, "a word that the map doesn't say is refused as before");
  gather_free(&got);
  bt_reading_choices_free(&choices);

  static const char *const wrong[] = {"not_stored = U, A\n", "not_stored = D, x\n",
                                      "not_stored = X, z\n"};
  for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
    bt_text_clear(&map);
    bt_text_format(&map, "%s%s", columns, wrong[i]);
    cr_assert_eq(bt_map_read(map_of_text(bt_text_get(&map)), &choices, &error), BT_OK, "%s",
                 error.text);
    bt_survey *survey = NULL;
    cr_expect_eq(bt_survey_file(file_of_text(log), &choices, &survey, &error), BT_INPUT, "%s",
                 wrong[i]);
    bt_survey_free(survey);
    bt_reading_choices_free(&choices);
  }
  bt_text_free(&map);
}
