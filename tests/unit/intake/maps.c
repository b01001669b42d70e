/* Column maps: what they say, how a log is read by them, and their mistakes with line and reason.
 */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

Test(intake_maps, a_log_read_by_a_map) {
  static const char map[] = "\xEF\xBB\xBF; for the logs of the second room\n"
                            "[format]\n"
                            "   delimiter = ;\n"
                            "decimal = comma\n"
                            "dates = dmy\n"
                            "unit = Suite North\n"
                            "[units]\n"
                            "energy_mj = J     ; converted\n"
                            "hv_kv = V\n"
                            "plate_depth_um = mm\n"
                            "fluence_mj_cm2 = J/cm²\n"
                            "[columns]\n"
                            "date = Datum\n"
                            "time = Uhrzeit\n"
                            "energy_mj = @3 ; by position\n"
                            "hv_kv = Spannung (V)\n"
                            "plate_depth_um = Tiefe\n"
                            "fluence_mj_cm2 = Fluenz\n"
                            "pattern = Muster\n"
                            "state = Zustand\n"
                            "remark = Notiz\n"
                            "[values]\n"
                            "event.gas_refill = Gaswechsel, ja | x, before\n"
                            "event.optics_cleaned = Wartung, Optik\n"
                            "state.as_found = Zustand, vorher\n"
                            "pattern.pass = Muster, i.O.\n";
  static const char log[] =
      "Datum;Uhrzeit;E;Spannung (V);Tiefe;Fluenz;Muster;Zustand;Gaswechsel;Wartung;Notiz;Unit\n"
      "05.08.26;08:05;0,00161;27100;0,0125;0,16;i.O.;vorher;JA;;'=1+1;other\n"
      "06.08.26;08:05;0,0016;27200;;;schlecht;as left;nein;Optik;;other\n";
  kept k;
  bt_reading_choices choices;
  gather_by_map(map, log, &k, &choices);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_assert_eq(k.refusals_n, 0, "%s", k.reasons[0]);
  cr_assert_eq(k.checks_n, 2);
  const bt_check *c = k.checks;
  cr_expect_eq(c[0].time, at("2026-08-05T08:05"));
  cr_expect_str_eq(k.units[0], "Suite North");
  cr_expect_float_eq(c[0].reading[BT_READING_ENERGY_MJ], 1.61, 1e-12);
  cr_expect_eq(c[0].reading[BT_READING_HV_KV], 27.1);
  cr_expect_float_eq(c[0].reading[BT_READING_PLATE_DEPTH_UM], 12.5, 1e-12);
  cr_expect_float_eq(c[0].reading[BT_READING_FLUENCE_MJ_CM2], 160.0, 1e-12);
  cr_expect_eq(c[0].state, BT_AS_FOUND);
  cr_expect_eq(c[1].state, BT_AS_LEFT);
  cr_expect_eq(c[0].refill, BT_REFILL_BEFORE);
  cr_expect_eq(c[1].refill, BT_REFILL_NONE);
  cr_expect_str_eq(k.remarks[0], "'=1+1", "only our own export's quotes are taken off");
  cr_assert_eq(k.events_n, 1);
  cr_expect_eq(k.events[0].kind, BT_EVENT_OPTICS_CLEANED);
  cr_expect_eq(k.events[0].time, at("2026-08-06T08:05"));
  cr_expect_str_eq(
      k.survey->source.reading,
      "encoding UTF-8\ndelimiter 59\ndecimal comma\ndates dmy with years of two digits\nheader 1\n"
      "unit Suite North\n"
      "column 1 date \"Datum\"\ncolumn 2 time \"Uhrzeit\"\ncolumn 3 energy_mj \"E\" in J\n"
      "column 4 hv_kv \"Spannung (V)\" in V\ncolumn 5 plate_depth_um \"Tiefe\" in mm\n"
      "column 6 fluence_mj_cm2 \"Fluenz\" in J/cm²\ncolumn 7 pattern \"Muster\"\n"
      "column 8 state \"Zustand\"\ncolumn 11 remark \"Notiz\"\n"
      "value event.gas_refill \"Gaswechsel\" \"ja\" before\n"
      "value event.gas_refill \"Gaswechsel\" \"x\" before\n"
      "value event.optics_cleaned \"Wartung\" \"Optik\" \n"
      "value state \"Zustand\" \"vorher\" as_found\n"
      "value pattern \"Muster\" \"i.O.\" pass\n");
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* The same decisions, settled by a person or found, have the same text. */
Test(intake_maps, one_text_for_the_same_reading) {
  static const char log[] = "date;unit;energy_mj;remark\n18/08/2026;A;1,5;\xFC\n";
  kept found, stated;
  bt_reading_choices choices;
  gather(file_of_text(log), NULL, &found);
  cr_assert_eq(found.status, BT_OK, "%s", found.error.text);
  gather_by_map("[format]\ndelimiter=;\ndecimal = comma\ndates = dmy\nencoding = windows-1252\n",
                log, &stated, &choices);
  cr_assert_eq(stated.status, BT_OK, "%s", stated.error.text);
  cr_expect_str_eq(found.survey->source.reading, stated.survey->source.reading);
  cr_expect_arr_eq(found.survey->source.sha256, stated.survey->source.sha256, BT_SHA256_BYTES);
  gather_free(&found);
  gather_free(&stated);
  bt_reading_choices_free(&choices);
}

/* By positions alone a log needs no header; preamble lines before it are passed over. */
Test(intake_maps, a_log_without_a_header) {
  static const char map[] = "[format]\nunit = A\n[columns]\ndate = @1\nenergy_mj = @2\n";
  static const struct {
    const char *log;
    int64_t header, first;
  } table[] = {{"2026-08-17,1.5,x\n2026-08-18,1.6,x\n", 0, 1},
               {"day,E,door\n2026-08-17,1.5,x\n2026-08-18,1.6,x\n", 1, 2},
               {"made by hand\n2026-08-17,1.5,x\n2026-08-18,1.6,x\n", 1, 2}};
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    kept k;
    bt_reading_choices choices;
    gather_by_map(map, table[i].log, &k, &choices);
    cr_assert_eq(k.status, BT_OK, "%zu: %s", i, k.error.text);
    cr_assert_eq(k.checks_n, 2, "%zu: %s", i, k.reasons[0]);
    cr_expect_eq(k.survey->header_line, table[i].header, "%zu", i);
    cr_expect_eq(k.checks[0].line, table[i].first, "%zu", i);
    cr_expect_eq(k.checks[1].reading[BT_READING_ENERGY_MJ], 1.6, "%zu", i);
    gather_free(&k);
    bt_reading_choices_free(&choices);
  }
}

/* What no kind is called by keeps its own words as its note; a note of the row's own stays, and a
 * kind that says enough has none. */
Test(intake_maps, other_events_keep_their_words) {
  kept k;
  bt_reading_choices choices;
  gather_by_map("[columns]\ndate = Wann\nunit = Wo\nevent = Was\nnote = Dazu\n[values]\n"
                "event.other = Was, Tür repariert\nevent.service = Was, Wartung\n",
                "Wann,Wo,Was,Dazu\n2026-08-17,A,Tür repariert,\n2026-08-18,A,Tür repariert,links\n"
                "2026-08-19,A,Wartung,\n2026-08-20,A,other,\n",
                &k, &choices);
  cr_assert_eq(k.events_n, 4, "%s", k.reasons[0]);
  cr_expect_eq(k.events[0].kind, BT_EVENT_OTHER);
  cr_expect_str_eq(k.notes[0], "Tür repariert");
  cr_expect_str_eq(k.notes[1], "links");
  cr_expect_str_eq(k.notes[2], "(none)");
  cr_expect_eq(k.events[3].kind, BT_EVENT_OTHER);
  cr_expect_str_eq(k.notes[3], "(none)");
  gather_free(&k);
  bt_reading_choices_free(&choices);

  gather_by_map("[columns]\ndate = Wann\nunit = Wo\nevent = Was\n[values]\n"
                "event.other = Was, Tür repariert\n",
                "Wann,Wo,Was\n2026-08-17,A,TÜR REPARIERT\n", &k, &choices);
  cr_assert_eq(k.events_n, 1, "%s", k.reasons[0]);
  cr_expect_str_eq(k.notes[0], "TÜR REPARIERT", "as the log has it");
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

/* The words of an event whose kind is told are kept where they say more than the kind: a bottle's
 * lot, a meter's number, what the visit was for. A map may have all of them kept. */
Test(intake_maps, events_keep_words_that_say_more) {
  static const char log[] = "2025-09-12\tlimpieza\n2025-11-24\tbotella (lote 7)\n"
                            "2026-02-09\tvisita, recalibración\n2026-06-02\tbotella\n"
                            "2026-09-15\tmedidor nuevo\n2026-09-16\tmedidor\n";
  static const char values[] = "[values]\nevent.optics_cleaned = @2, limpieza\n"
                               "event.gas_bottle = @2, botella (lote 7) | botella\n"
                               "event.service = @2, \"visita, recalibración\"\n"
                               "event.meter_changed = @2, medidor nuevo | MEDIDOR\n";
  static const char *const some[] = {"(none)", "botella (lote 7)", "visita, recalibración",
                                     "(none)", "medidor nuevo",    "(none)"};
  static const char *const all[] = {"limpieza", "botella (lote 7)", "visita, recalibración",
                                    "botella",  "medidor nuevo",    "medidor"};
  static const struct {
    const char *columns;
    const char *const *notes;
  } table[] = {
      {"event = @2\n", some}, {"event = @2\nnote = @2\n", all}, {"note = @2\nevent = @2\n", all}};
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    bt_text map = {0};
    kept k;
    bt_reading_choices choices;
    bt_text_format(&map, "[format]\ndelimiter = tab\nunit = A\n[columns]\ndate = @1\n%s%s",
                   table[i].columns, values);
    gather_by_map(bt_text_get(&map), log, &k, &choices);
    cr_assert_eq(k.events_n, 6, "%zu: %s%s", i, k.error.text, k.reasons[0]);
    for (size_t n = 0; n < 6; n++)
      cr_expect_str_eq(k.notes[n], table[i].notes[n], "%zu, %zu: %s", i, n, k.notes[n]);
    cr_expect_eq(strstr(k.survey->source.reading, "note from column 2") != NULL, i > 0);
    gather_free(&k);
    bt_reading_choices_free(&choices);
    bt_text_free(&map);
  }
}

/* In a log of checks as well, whether the row is a check besides or not, and in long form. */
Test(intake_maps, other_events_of_checks_keep_their_words) {
  kept k;
  bt_reading_choices choices;
  gather_by_map(
      "[format]\nunit = A\n[columns]\ndate = Wann\nenergy_mj = E\n[values]\n"
      "event.other = Dazu, Lampe neu | Tür repariert\nevent.other = Auch, Filter neu\n"
      "event.service = Dazu, Wartung\n",
      "Wann,E,Dazu,Auch\n2026-08-17,1.6,lampe neu,\n2026-08-18,,Tür repariert,Filter neu\n"
      "2026-08-19,1.6,Wartung,\n",
      &k, &choices);
  cr_assert_eq(k.events_n, 3, "%s", k.reasons[0]);
  cr_expect_eq(k.checks_n, 2);
  cr_expect_eq(k.events[0].kind, BT_EVENT_OTHER);
  cr_expect_str_eq(k.notes[0], "lampe neu", "as the log has it");
  cr_expect_str_eq(k.notes[1], "Tür repariert; Filter neu");
  cr_expect_eq(k.events[2].kind, BT_EVENT_SERVICE);
  cr_expect_str_eq(k.notes[2], "(none)");
  gather_free(&k);
  bt_reading_choices_free(&choices);

  gather_by_map("[columns]\ndate = Wann\nunit = Wo\ncharacteristic = Was\nvalue = Wert\n[values]\n"
                "energy_mj = Was, E\nevent.other = Was, Lampe neu\n",
                "Wann,Wo,Was,Wert\n2026-08-17,A,E,1.6\n2026-08-17,A,Lampe neu,ja\n"
                "2026-08-18,A,E,1.6\n2026-08-18,A,Lampe neu,\n",
                &k, &choices);
  cr_assert_eq(k.events_n, 1, "%s", k.reasons[0]);
  cr_expect_eq(k.checks_n, 2);
  cr_expect_str_eq(k.notes[0], "Lampe neu");
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

Test(intake_maps, events) {
  kept k;
  bt_reading_choices choices;
  gather(file_of_text("Date,Laser,Event,Note,Energy mJ\n"
                      "2026-08-17 08:05,A,Gas Refill,third bottle,x\n"
                      "2026-08-18,A,meter-changed,,\n2026-08-19,A,lunch,,\n2026-08-20,A,,,\n"),
         NULL, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect_eq(k.survey->source.kind, BT_SOURCE_EVENTS);
  cr_assert_eq(k.events_n, 2);
  cr_expect_eq(k.events[0].kind, BT_EVENT_GAS_REFILL);
  cr_expect(k.events[0].has_clock && !k.events[1].has_clock);
  cr_expect_str_eq(k.notes[0], "third bottle");
  cr_expect_eq(k.events[1].kind, BT_EVENT_METER_CHANGED);
  cr_assert_eq(k.refusals_n, 2);
  cr_expect_eq(strncmp(k.reasons[0], "expected one of gas_refill, gas_bottle", 38), 0);
  cr_expect_str_eq(k.reasons[1], "the row has no event; fill it in");
  gather_free(&k);

  gather_by_map("[columns]\ndate = Wann\nunit = Wo\nevent = Was\n[values]\n"
                "event.gas_refill = Was, Gaswechsel\nevent.service = @3, Wartung\n",
                "Wann,Wo,Was\n2026-08-17,A,gaswechsel\n2026-08-18,A,Wartung\n", &k, &choices);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_assert_eq(k.events_n, 2, "%s", k.reasons[0]);
  cr_expect_eq(k.events[0].kind, BT_EVENT_GAS_REFILL);
  cr_expect_eq(k.events[1].kind, BT_EVENT_SERVICE);
  gather_free(&k);
  bt_reading_choices_free(&choices);
}

Test(intake_maps, refills_and_their_words) {
  kept k;
  gather(file_of_text("date,unit,energy_mj,refill\n2026-08-17,A,1,Before\n2026-08-18,A,1,no\n"
                      "2026-08-19,A,1,after\n2026-08-20,A,1,-\n"),
         NULL, &k);
  cr_assert_eq(k.checks_n, 4, "%s", k.error.text);
  cr_expect_eq(k.checks[0].refill, BT_REFILL_BEFORE);
  cr_expect_eq(k.checks[1].refill, BT_REFILL_NONE);
  cr_expect_eq(k.checks[2].refill, BT_REFILL_AFTER);
  cr_expect_eq(k.checks[3].refill, BT_REFILL_NONE);
  gather_free(&k);
}

Test(intake_maps, mistakes_in_a_map) {
  static const struct {
    const char *map;
    int line;
    const char *says;
  } table[] = {
      {"[format]\ndelimiter =\n", 2, "expected semicolon, comma, tab, pipe or one character"},
      {"[format]\ndecimal = dot\n", 2, "expected point or comma, found \"dot\""},
      {"[format]\ndates = dm\n", 2, "expected dmy, mdy or ymd, found \"dm\""},
      {"[format]\nencoding = latin-nought\n", 2, "the encoding \"latin-nought\" is not known here"},
      {"[format]\ncolour = red\n", 2, "\"colour\" is no key of [format]"},
      {"[format]\ndates = dmy\n\ndates = mdy\n", 4,
       "\"dates\" came before in [format]; write it once"},
      {"[columns]\ndate = D\n[format]\n[columns]\n", 4, "the section [columns] came before"},
      {"[format]\nevent = party\n", 2, "expected what every row of the log is (gas_refill"},
      {"[values]\npattern.pass = S, a, b\n", 2, "found \"b\" behind the cell's text"},
      {"[columns]\nenergy = E\n", 2, "\"energy\" is no canonical column"},
      {"[columns]\nEnergy (mJ) = E\n", 2,
       "\"Energy (mJ)\" is no canonical column; do you mean "
       "energy_mj?"},
      {"[columns]\nenergy_mj = @0\n", 2, "expected a position such as @5, found \"@0\""},
      {"[columns]\nenergy_mj = @5x\n", 2, "expected a position such as @5, found \"@5x\""},
      {"[columns]\nenergy_mj =\n", 2, "\"energy_mj\" has no value"},
      {"[units]\nenergy_mj = kV\n", 2, "\"kV\" can't be converted to mJ, the unit of energy_mj"},
      {"[units]\nenergy_mj = MJ\n", 2, "\"MJ\" can't be converted"},
      {"[units]\nremark = J\n", 2, "\"remark\" is no reading"},
      {"[units]\nenergy_mj = J\n", 2, "[units] has energy_mj, but [columns] doesn't"},
      {"[values]\nevent.gas_refill = Gas\n", 2,
       "expected the log's column, a comma, and the cell's"},
      {"[values]\nevent.gas_refill = Gas, yes, later\n", 2,
       "found \"later\" behind the cell's text"},
      {"[values]\nevent.party = Gas, yes\n", 2, "\"event.party\" is no key of [values]"},
      {"[values]\nstate.broken = S, x\n", 2, "\"state.broken\" is no key of [values]"},
      {"[values]\npattern.pass = S, |\n", 2, "a text between the bars is empty"},
      {"[rows]\na = b\n", 2, "a map has the sections"},
      {"[format]\nno equals sign\n", 2, "expected \"[section]\" or \"key = value\""},
      {"[format]\nno equals sign\ncolour = red\n", 2, "expected \"[section]\" or"},
      {"[format\n", 1, "this line stands before any heading in brackets. A column map has the"},
      {"date = Datum\n", 1,
       "this line stands before any heading in brackets. A column map has the headings [format], [columns], [units] and [values], and under each its lines KEY = VALUE (under [columns]: date = Datum); `beamtally columns --write MAP FILE` writes one to begin with"},
      {"[format]\n; \xFF\n", 2, "the line is not UTF-8"},
      {"[0123456789012345678901234567890123456789012345678]\n", 1,
       "a section name is longer than 48 bytes"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    map_must_be_refused(table[i].map, NULL, 0, table[i].line, table[i].says);
}

/* A list of dates: what every row is stands in [format]. */
Test(intake_maps, events_without_a_column_of_them) {
  kept k;
  bt_reading_choices choices = {0};
  bt_error error = {0};
  cr_assert_eq(bt_map_read(map_of_text("[format]\nunit = A\nevent = gas_refill\n[columns]\n"
                                       "date = @1\n"),
                           &choices, &error),
               BT_OK, "%s", error.text);
  gather(file_of_text("2026-08-17\n20 Aug 2026\n2026-08-40\n"), &choices, &k);
  cr_assert_eq(k.status, BT_OK, "%s", k.error.text);
  cr_expect(k.events_n == 2 && k.checks_n == 0 && k.refusals_n == 1);
  cr_expect(k.events[1].kind == BT_EVENT_GAS_REFILL && k.events[1].time == at("2026-08-20T00:00"));
  cr_expect_not_null(strstr(k.survey->source.reading, "event gas_refill\n"));
  gather_free(&k);
  bt_reading_choices_free(&choices);

  choices = (bt_reading_choices){.all_events = true, .event = BT_EVENT_SERVICE};
  gather(file_of_text("date,unit,event\n2026-08-17,A,gas_refill\n"), &choices, &k);
  cr_expect_eq(k.status, BT_INPUT);
  cr_expect_not_null(strstr(k.error.text, "take out the one or the other"), "%s", k.error.text);
  gather_free(&k);
}

/* A line of 190 bytes is taken whole, one of 191 is refused. */
Test(intake_maps, the_longest_line) {
  for (size_t length = 190; length <= 191; length++) {
    char map[256], value[192];
    bt_reading_choices choices = {0};
    bt_error error = {0};
    memset(value, 'v', sizeof value);
    value[length - strlen("unit = ")] = '\0';
    (void)snprintf(map, sizeof map, "[format]\nunit = %s\n", value);
    bt_status status = bt_map_read(map_of_text(map), &choices, &error);
    if (length == 190) {
      cr_assert_eq(status, BT_OK, "%s", error.text);
      cr_expect_str_eq(choices.unit, value);
    } else {
      cr_expect_eq(status, BT_INPUT);
      cr_expect_not_null(strstr(error.text, "line 2: the line is longer than 190 bytes"), "%s",
                         error.text);
    }
    bt_reading_choices_free(&choices);
  }
}

/* A map that the log can't follow. */
Test(intake_maps, a_map_for_another_log) {
  static const struct {
    const char *map, *log, *says;
  } table[] = {
      {"[columns]\ndate = Day\nenergy_mj = E\n", "date,E\n2026-08-17,1\n",
       "the map reads date from a column \"Day\" that the log doesn't have; correct the map. Its "
       "columns are: date, E"},
      {"[columns]\ndate = date\nenergy_mj = @7\n", "date,E\n2026-08-17,1\n",
       "the map reads energy_mj from column 7, but the log has 2 columns"},
      {"[columns]\ndate = date\nenergy_mj = E\n", "date,E,E\n2026-08-17,1,2\n",
       "the log has 2 columns \"E\"; choose one by its position in the map (energy_mj = @N)"},
      {"[columns]\ndate = date\nenergy_mj = E\nhv_kv = E\n", "date,E\n2026-08-17,1\n",
       "the map reads the column \"E\" as energy_mj and as hv_kv; it can be read as one only"},
      {"[columns]\ndate = date\nenergy_mj = E\nremark = Patient\n",
       "date,E,Patient\n2026-08-17,1,x\n",
       "the column \"Patient\" looks like a patient's identity: it is never read; take it out of the "
       "map"},
      {"[columns]\ndate = date\nevent = What\nenergy_mj = E\n",
       "date,What,E\n2026-08-17,service,1\n",
       "the map reads energy_mj, but a log of events (it has an event column) has no such column"},
      {"[columns]\ndate = date\nnote = N\nenergy_mj = E\n", "date,N,E\n2026-08-17,x,1\n",
       "the map reads note, but a log of checks (it has no event column) has no such column; take it "
       "out of this map, or, if the file tells what was done to the laser, name the column that "
       "says so: event = HEADER"},
      {"[values]\nevent.gas_refill = Gas, yes, before\n", "date,unit,energy_mj\n2026-08-17,A,1\n",
       "the map's [values] name a column \"Gas\" that the log doesn't have"},
      {"[values]\nevent.gas_refill = Gas, yes\n", "date,unit,energy_mj,Gas\n2026-08-17,A,1,yes\n",
       "the map's event.gas_refill doesn't say whether the refill came before or after the reading"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    kept k;
    bt_reading_choices choices;
    gather_by_map(table[i].map, table[i].log, &k, &choices);
    cr_expect_eq(k.status, BT_INPUT, "%zu", i);
    cr_expect_not_null(strstr(k.error.text, table[i].says), "%zu: %s", i, k.error.text);
    gather_free(&k);
    bt_reading_choices_free(&choices);
  }
}

Test(intake_maps, names_of_columns) {
  static const struct {
    const char *header, *key;
  } table[] = {{"Energy (mJ)", "energy_mj"},
               {"energy_mj", "energy_mj"},
               {"Energy mJ", "energy_mj"},
               {"ENERGY-MJ", "energy_mj"},
               {"Energy (J)", NULL},
               {"Energy", NULL},
               {"Energy SD %", "energy_sd_pct"},
               {"Offset X (µm)", "offset_x_um"},
               {"Offset Y [\xCE\xBCm]", "offset_y_um"},
               {"Fluence (mJ/cm²)", "fluence_mj_cm2"},
               {"Temp °C", "temp_c"},
               {"Date", "date"},
               {"Date and time", "date"},
               {"Timestamp", "date"},
               {"Time", "time"},
               {"Laser", "unit"},
               {"Self-test passed", "selftest_passed"},
               {"Remarks", "remark"},
               {"event", "event"},
               {"", NULL},
               {"???", NULL},
               {"door", NULL}};
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    const char *key = bt_canonical_column(table[i].header);
    cr_expect((key == NULL) == (table[i].key == NULL), "\"%s\"", table[i].header);
    if (key != NULL && table[i].key != NULL)
      cr_expect_str_eq(key, table[i].key, "\"%s\"", table[i].header);
  }
}

/* Words that only begin alike. */
Test(intake_maps, no_identity_of_patients) {
  static const char *const names[] = {"Chart", "Patch", "Pattern note", "Path", "Case", "Pt temp"};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    char text[160];
    kept k;
    (void)snprintf(text, sizeof text, "date,unit,%s,energy_mj\n2026-08-17,A,x,1\n", names[i]);
    gather(file_of_text(text), NULL, &k);
    cr_assert_eq(k.checks_n, 1, "%s: %s", names[i], k.error.text);
    cr_expect_not(k.survey->columns[2].identity, "%s", names[i]);
    gather_free(&k);
  }
}

/* Columns that look like a patient's identity are marked, and never read. */
Test(intake_maps, identity_of_patients) {
  static const char *const names[] = {"Patient",
                                      "Name of patient",
                                      "patient_id",
                                      "MRN",
                                      "Surname",
                                      "Date of birth",
                                      "DOB",
                                      "Geburtsdatum",
                                      "Pat.-Nr.",
                                      "Chart no",
                                      "患者",
                                      "Patient-ID",
                                      "MRN No",
                                      "NHS number",
                                      "Hospital ID",
                                      "Fall-Nr.",
                                      "Pt. initials",
                                      "Passport no.",
                                      "Versichertennummer"};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    char text[160];
    kept k;
    (void)snprintf(text, sizeof text, "date,unit,%s,energy_mj\n2026-08-17,A,secret,1\n", names[i]);
    gather(file_of_text(text), NULL, &k);
    cr_assert_eq(k.checks_n, 1, "%s: %s", names[i], k.error.text);
    for (size_t c = 0; c < k.survey->columns_n; c++)
      cr_expect_eq(k.survey->columns[c].identity, c == 2, "%s, column %zu", names[i], c);
    cr_expect_null(k.survey->columns[2].key, "%s", names[i]);
    cr_expect_null(strstr(k.survey->source.reading, names[i]), "%s", names[i]);
    gather_free(&k);
  }
}

/* A header that says another unit than its key has is refused until the map says which it is. */
Test(intake_maps, a_unit_in_the_header_must_be_told) {
  static const struct {
    const char *header, *key, *units, *refused; /* refused NULL: read */
  } table[] = {
      {"Energy (uJ)", "energy_mj", "",
       "the column \"Energy (uJ)\" seems to hold uJ, and energy_mj "
       "is in mJ"},
      {"Energy (uJ)", "energy_mj", "[units]\nenergy_mj = uJ\n", NULL},
      {"Energy (uJ)", "energy_mj", "[units]\nenergy_mj = mJ\n", NULL},
      {"Energy (mJ)", "energy_mj", "", NULL},
      {"Energy of the day", "energy_mj", "", NULL},
      {"HV V", "hv_kv", "", "seems to hold V, and hv_kv is in kV"},
      {"Room [°F]", "temp_c", "", "seems to hold °F, and temp_c is in °C"},
      {"Fluence [J/cm²]", "fluence_mj_cm2", "", "seems to hold J/cm²"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char map[256], log[256];
    bt_reading_choices choices;
    bt_survey *survey = NULL;
    bt_error error = {0};
    (void)snprintf(map, sizeof map, "[columns]\ndate = date\nunit = unit\n%s = %s\n%s",
                   table[i].key, table[i].header, table[i].units);
    (void)snprintf(log, sizeof log, "date,unit,%s\n2026-08-17,A,1\n", table[i].header);
    choices = (bt_reading_choices){0};
    cr_assert_eq(bt_map_read(map_of_text(map), &choices, &error), BT_OK, "%zu: %s", i, error.text);
    bt_status status = bt_survey_file(file_of_text(log), &choices, &survey, &error);
    cr_expect_eq(status, table[i].refused == NULL ? BT_OK : BT_INPUT, "%zu: %s", i, error.text);
    if (table[i].refused != NULL)
      cr_expect_not_null(strstr(error.text, table[i].refused), "%zu: %s", i, error.text);
    bt_survey_free(survey);
    bt_reading_choices_free(&choices);
  }
}
