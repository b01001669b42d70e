/* A starter map's offers as a person takes them: the # off every line that offers something, and
 * the map reads the log. */
#include "event_words.h"
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* The log as its starter map reads it with all its offers taken. */
static void take_all(const char *log, kept *got) {
  char *map = starter_of(&one_room, log), *whole = offers_taken(map);
  bt_reading_choices choices = {0};
  bt_error error = {0};
  cr_assert_eq(bt_map_read(map_of_text(whole), &choices, &error), BT_OK, "%s:\n%s", error.text,
               whole);
  gather(file_of_text(log), &choices, got);
  cr_expect_eq(got->status, BT_OK, "%s\n%s\n%s", got->error.text, log, whole);
  for (size_t i = 0; i < got->refusals_n; i++)
    cr_expect(false, "%s\n%s\n%s", got->reasons[i], log, whole);
  bt_reading_choices_free(&choices);
  free(map);
  free(whole);
}

/* Two texts of one kind stand on one line. */
Test(intake_offers, two_texts_of_one_kind) {
  static const char diary[] = "Datum\tGerät\tWas gemacht\n22.09.2025\tA\tGaswechsel\n"
                              "23.09.2025\tA\tSpiegel gereinigt\n24.09.2025\tA\tGas neu\n";
  char *map = starter_of(&one_room, diary);
  cr_expect_not_null(strstr(map, "# event.gas_refill = Was gemacht, Gaswechsel | Gas neu\n"), "%s",
                     map);
  free(map);
  kept got;
  take_all(diary, &got);
  cr_assert_eq(got.events_n, 3);
  cr_expect_eq(got.events[2].kind, BT_EVENT_GAS_REFILL);
  gather_free(&got);
}

/* A service visit that a recalibration was part of is offered as the visit, in several languages; a
 * recalibration alone as one. */
Test(intake_offers, a_visit_with_a_recalibration_is_a_visit) {
  static const struct {
    const char *text;
    bt_event_kind kind;
  } table[] = {{"visita del servicio técnico, recalibración", BT_EVENT_SERVICE},
               {"recalibrated by the service", BT_EVENT_SERVICE},
               {"Kalibrierung durch den Techniker", BT_EVENT_SERVICE},
               {"visite du technicien, calibration", BT_EVENT_SERVICE},
               {"recalibración", BT_EVENT_RECALIBRATION},
               {"Kalibrierung", BT_EVENT_RECALIBRATION},
               {"medidor calibrado por el servicio", BT_EVENT_METER_CHANGED}};
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    cr_expect_eq(intake_event_guess(table[i].text), table[i].kind, "%s: %s", table[i].text,
                 bt_event_key(intake_event_guess(table[i].text)));
}

/* More texts of one kind than a line of INI holds go on in further lines, and come back so from the
 * map of a log that such a map has read. */
Test(intake_offers, more_texts_than_a_line_holds) {
  bt_text log = {0};
  bt_text_add(&log, "date,unit,event\n");
  for (int i = 0; i < BT_TEXTS_MOST; i++)
    bt_text_format(&log, "2026-01-%02d,A,\"gas, \"\"premix\"\" | changed in the %c. way of all\"\n",
                   i + 1, 'a' + i);
  kept got;
  take_all(bt_text_get(&log), &got);
  cr_expect_eq(got.events_n, BT_TEXTS_MOST);
  gather_free(&got);

  char *map = starter_of(&one_room, bt_text_get(&log)), *whole = offers_taken(map), *path = NULL;
  bt_reading_choices first = {0}, second = {0};
  bt_error error = {0};
  bt_survey *preview = NULL;
  bt_text again = {0};
  cr_assert_eq(bt_map_read(map_of_text(whole), &first, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_preview_file(file_of_text(bt_text_get(&log)), &first, &preview, &error), BT_OK);
  bt_map_starter(preview, &again);
  cr_assert_eq(bt_map_read(map_of_text(bt_text_get(&again)), &second, &error), BT_OK, "%s:\n%s",
               error.text, bt_text_get(&again));
  cr_assert_eq(second.values_n, first.values_n);
  for (size_t i = 0; i < first.values_n; i++)
    cr_expect_str_eq(first.values[i].value, second.values[i].value);
  bt_survey_free(preview);
  bt_reading_choices_free(&first);
  bt_reading_choices_free(&second);
  bt_text_free(&again);
  bt_text_free(&log);
  free(map);
  free(whole);
  free(path);
}

/* What the odd logs of odd clinics are offered can be taken as it is printed. */
Test(intake_offers, all_can_be_taken) {
  static const char *const logs[] = {
      /* two columns of refills, in words */
      "Date,System test,Gas changed,Gas refill 2,Energy (mJ)\n"
      "2026-01-02,passed,yes,no,1.6\n2026-01-03,failed,no,yes,1.61\n",
      "Date;Durchgeführt;Gerät\n13.01.2026;Gas neu;A\n14.01.2026;Gaswechsel; A\n"
      "15.01.2026;neue Flasche;A\n16.01.2026;Flasche getauscht;A\n",
      "day|what|who\n2026-01-02|\"gas \"\"premix\"\" changed\"|a\n2026-01-03|gas, a new one|b\n",
      "Datum;Uhrzeit;Energie Ist [mJ];Energie Soll [mJ];Tracker X [mm];Tracker Y [mm];Prüfer\n"
      "13.01.2026;07:10;1,601;1,60;-0,012;-0,006;a\n14.01.2026;07:15;1,592;1,60;0,023;0,008;b\n",
      "Date,Energy 1 (mJ),Energy 2 (mJ),Energy 3 (mJ)\n2026-01-02,1.6,1.61,1.62\n",
      "03/04/2026,1.6 mJ\n",
      /* other languages, with what was not measured */
      "Date;Heure;Appareil;Énergie (% de la consigne);Fluence mesurée (mJ/cm²);Décalage X (mm);"
      "Décalage Y (mm);Remplissage gaz;Autotest;Opérateur\n"
      "25/09/2025;07:11;L 1;99,6 %;159,5;-0,000;-0,018;non;18/18;JD\n"
      "26/09/2025;07:36;L 1;99,1 %;n.d.;0,007;—;oui;18/18;PL\n",
      "Data;Ora;Apparecchio;Energia misurata (mJ);Energia impostata (mJ);Scostamento X (mm);Ricarica "
      "gas;Test;Osservazioni\n02/01/2026;07:40;L;1,61;1,60;0,004;no;superato;\n"
      "14/01/2026;07:40;L;?;1,60;0,004;sì;non superato;pulito\n",
      "Tarih;Saat;Cihaz;Enerji (mJ);Gaz dolumu;Sıcaklık (°C);Nem (%);Açıklama\n"
      "02.01.2026;07:40;L1;1,61;HAYIR;21,5;45;\n14.01.2026;07:40;L1;/;EVET;21;44;temiz\n",
      "date,Energy (J),Spot (µm),HV (V),Room T (F)\n2026-01-02,0.0016,900,24500,70\n",
  };
  for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
    kept got;
    take_all(logs[i], &got);
    gather_free(&got);
  }
}
