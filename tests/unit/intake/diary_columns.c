/* Which column of a diary says what was done, where notes and more stand beside it. */
#include "previewed.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

enum { NONE = 99 };

static size_t done_in(const char *log) {
  bt_survey *preview = preview_of(log, &one_room);
  size_t column = preview->has_done ? preview->done_column : NONE;
  bt_survey_free(preview);
  return column;
}

/* The header says it, in several languages, though the notes tell of things as well. */
Test(intake_diary_columns, beside_notes) {
  static const struct {
    const char *header, *first, *second;
  } table[] = {
      {"fecha,que se hizo,notas", "cambio de botella,premix", "visita de servicio,cambio de gas"},
      {"date,what was done,notes", "bottle changed,premix", "service visit,gas changed as well"},
      {"Datum,Was wurde gemacht,Anmerkung", "Gasflasche,Premix", "Wartung,mit Gaswechsel"},
      {"Date,Ce qui a été fait,Remarque", "bouteille changée,premix", "entretien,gaz aussi"},
      {"Data,Cosa è stato fatto,Nota", "cambio bombola,premix", "manutenzione,ricarica gas"},
      {"Data,O que foi feito,Nota", "troca de garrafa,premix", "manutenção,recarga de gás"},
      {"Date,Intervention,Détails", "nettoyage,lentille", "bouteille de gaz,gaz premix"},
      {"Datum,Tätigkeit,Hinweis", "gereinigt,Spiegel", "Gaswechsel,Flasche 4"},
      {"Fecha,Trabajo realizado,Detalle", "limpieza,lente", "servicio,calibración"},
      /* by its texts alone */
      {"Fecha,Qué,Notas", "cambio de gas,premix", "visita de servicio,cambio de gas"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_text log = {0};
    bt_text_format(&log, "%s\n2026-03-11,%s\n2026-05-16,%s\n", table[i].header, table[i].first,
                   table[i].second);
    cr_expect_eq(done_in(bt_text_get(&log)), 1, "%s", bt_text_get(&log));
    bt_text_free(&log);
  }
}

Test(intake_diary_columns, one_among_several) {
  static const struct {
    const char *log;
    size_t column;
  } table[] = {
      {"date,laser,notes,what was done\n2026-01-02,A,gas,new bottle\n", 3},
      /* that who did it is no word of what */
      {"date,done by,entry\n2026-01-02,KL,gas changed\n2026-01-03,KL,gas changed\n", 2},
      {"date,technician,entry\n2026-01-02,service engineer,gas changed\n", 2},
      /* a header says it, and no text tells of a kind that is known */
      {"date,what was done,notes\n2026-01-02,lamp,new one\n", 1},
      {"date,what was done,pattern\n2026-01-02,lamp,round\n", NONE},
      /* of two that tell, the one that mostly does; else nobody knows */
      {"date,entry,where\n2026-01-02,gas changed,gas room\n2026-01-03,service,door\n"
       "2026-01-04,cleaned,table\n",
       1},
      {"date,entry,where\n2026-01-02,gas changed,gas room\n", NONE},
      /* notes tell, but other words may be it */
      {"date,entry,notes\n2026-01-02,aaa,gas changed\n2026-01-03,bbb,cleaned\n", NONE},
      {"date,entry,notes,energy\n2026-01-02,gas changed,x,1.6\n", NONE},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++)
    cr_expect_eq(done_in(table[i].log), table[i].column, "%s", table[i].log);
}

/* More texts than are kept: the header still says it, and the map has those that are. */
Test(intake_diary_columns, many_texts_under_a_header_that_says_it) {
  bt_text log = {0};
  bt_text_add(&log, "date,what was done\n");
  for (int i = 0; i <= BT_TEXTS_MOST; i++)
    bt_text_format(&log, "2026-01-%02d,gas bottle %d\n", i + 1, i);
  char *map = starter_of(&one_room, bt_text_get(&log));
  cr_expect_not_null(strstr(map, "# event = what was done\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# event.gas_bottle = what was done, gas bottle 0 | "), "%s", map);
  cr_expect_not_null(strstr(map, "# It has more texts, or longer ones"), "%s", map);
  free(map);
  bt_text_free(&log);
}

/* The map as it is offered reads all of it as events, with their notes. */
Test(intake_diary_columns, the_map_reads_it) {
  static const char diary[] = "fecha,que se hizo,notas\n2026-03-11,limpieza de óptica,rutina\n"
                              "2026-05-06,cambio de botella,premix\n"
                              "2026-10-01,calibración del medidor,medidor devuelto\n";
  char *map = starter_of(&one_room, diary), *whole = offers_taken(map);
  bt_reading_choices choices = {0};
  bt_error error = {0};
  cr_expect_null(strstr(map, "remark ="), "%s", map);
  cr_assert_eq(bt_map_read(map_of_text(whole), &choices, &error), BT_OK, "%s: %s", error.text,
               whole);
  kept got;
  gather(file_of_text(diary), &choices, &got);
  cr_assert_eq(got.status, BT_OK, "%s", got.error.text);
  cr_assert_eq(got.events_n, 3, "%s", whole);
  cr_expect_eq(got.checks_n, 0);
  cr_expect_eq(got.events[0].kind, BT_EVENT_OPTICS_CLEANED);
  cr_expect_eq(got.events[2].kind, BT_EVENT_METER_CHANGED);
  cr_expect_str_eq(got.notes[2], "medidor devuelto");
  gather_free(&got);
  bt_reading_choices_free(&choices);
  free(map);
  free(whole);
}

/* Words of which nothing tells what they are, in a file of days: what was done, and its note. */
Test(intake_diary_columns, words_that_tell_of_nothing) {
  char *map = starter_of(&one_room, "date,entry,more\n2026-01-02,aaa,bbb\n2026-01-03,ccc,\n");
  cr_expect_not_null(strstr(map, "# event = entry\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# note = more\n"), "%s", map);
  cr_expect_not_null(strstr(map, "# event.gas_refill = entry, THE CELL'S TEXT\n"), "%s", map);
  cr_expect_null(strstr(map, "aaa"), "%s", map);
  cr_expect_null(strstr(map, "[characteristic"), "%s", map);
  free(map);
}

/* Who did it is offered as no note, nor as anything else that an event has. */
Test(intake_diary_columns, people_are_no_note) {
  static const char *const headers[] = {"Wer", "Technician", "Operator code", "Opérateur",
                                        "Initialen"};
  for (size_t i = 0; i < sizeof headers / sizeof *headers; i++) {
    bt_text log = {0};
    bt_text_format(&log, "date,%s,what was done,more\n2026-01-02,K. Invented,gas changed,blue\n",
                   headers[i]);
    char *map = starter_of(&one_room, bt_text_get(&log));
    cr_expect_not_null(strstr(map, "# event = what was done\n"), "%s", map);
    cr_expect_not_null(strstr(map, "# note = more\n"), "%s", map);
    cr_expect_not_null(strstr(map, "\" (words): one of the keys below, or none\n"), "%s", map);
    free(map);
    bt_text_free(&log);
  }
}

/* The hints of an import of the log by that map. */
static void import_hints(const char *map, const char *log, bt_text *hints) {
  bt_reading_choices choices = {0};
  bt_survey *survey = NULL;
  bt_error error = {0};
  cr_assert_eq(bt_map_read(map_of_text(map), &choices, &error), BT_OK, "%s", error.text);
  cr_assert_eq(bt_survey_file(file_of_text(log), &choices, &survey, &error), BT_OK, "%s",
               error.text);
  for (size_t i = 0; i < survey->hints_n; i++)
    bt_text_format(hints, "%s\n", survey->hints[i]);
  bt_survey_free(survey);
  bt_reading_choices_free(&choices);
}

/* A diary never goes in as checks with remarks without a word, and what an import says of the
 * column holds for the map that `columns` writes. */
Test(intake_diary_columns, an_import_as_remarks_is_told) {
  static const char diary[] = "fecha,que se hizo,notas\n2026-03-11,limpieza,gas\n"
                              "2026-05-06,cambio de botella,\n",
                    readings[] = "fecha,E,notas\n2026-03-11,1.6,limpieza\n";
  static const struct {
    const char *map, *log, *says;
  } table[] = {
      {"[columns]\ndate = fecha\nremark = que se hizo\npattern = notas\n", diary, NULL},
      {"[columns]\ndate = fecha\nremark = que se hizo\n", diary, NULL},
      {"[columns]\ndate = fecha\nremark = notas\n", diary, NULL},
      {"[columns]\ndate = fecha\npattern = que se hizo\n", diary, NULL},
      {"[columns]\ndate = fecha\nremark = notas\n", readings, "no reading is read of it"},
      {"[columns]\ndate = fecha\nremark = notas\n", "fecha,notas\n2026-03-11,visto\n",
       "no reading is read of it"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    bt_text hints = {0}, map = {0};
    bt_text_format(&map, "[format]\nunit = A\n%s", table[i].map);
    import_hints(bt_text_get(&map), table[i].log, &hints);
    const char *says = table[i].says != NULL ? table[i].says : "a map with event = que se hizo, ";
    cr_expect_not_null(strstr(bt_text_get(&hints), says), "%zu: %s", i, bt_text_get(&hints));
    bt_text_free(&hints);
    bt_text_free(&map);
  }
  bt_text hints = {0};
  import_hints("[format]\nunit = A\n[columns]\ndate = fecha\nenergy_mj = E\n", readings, &hints);
  cr_expect(bt_text_empty(&hints), "%s", bt_text_get(&hints));
  bt_text_free(&hints);
}
