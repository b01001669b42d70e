/* What kind of event a text tells of, by parts of its words, in several languages: a help for the
 * person who writes a map, never a decision. */
#include "event_words.h"

/* The first part that the text has decides: a gas bottle before gas, a meter before its
 * calibration, a service visit before the cleaning or the recalibration that was part of it.
 * English, German, French, Italian, Spanish, Turkish, Portuguese, Dutch, Polish, Swedish. */
static const struct {
  const char *part;
  bt_event_kind kind;
} parts[] = {
    {"bottle", BT_EVENT_GAS_BOTTLE},
    {"cylinder", BT_EVENT_GAS_BOTTLE},
    {"flasche", BT_EVENT_GAS_BOTTLE},
    {"bouteille", BT_EVENT_GAS_BOTTLE},
    {"botella", BT_EVENT_GAS_BOTTLE},
    {"bombona", BT_EVENT_GAS_BOTTLE},
    {"bombola", BT_EVENT_GAS_BOTTLE},
    {"gasfles", BT_EVENT_GAS_BOTTLE},
    {"garrafa", BT_EVENT_GAS_BOTTLE},
    {"tüpü", BT_EVENT_GAS_BOTTLE},
    {"butl", BT_EVENT_GAS_BOTTLE},
    {"gasflask", BT_EVENT_GAS_BOTTLE},
    {"gas", BT_EVENT_GAS_REFILL},
    {"refill", BT_EVENT_GAS_REFILL},
    {"new fill", BT_EVENT_GAS_REFILL},
    {"füllung", BT_EVENT_GAS_REFILL},
    {"gaz", BT_EVENT_GAS_REFILL},
    {"gás", BT_EVENT_GAS_REFILL},
    {"rempliss", BT_EVENT_GAS_REFILL},
    {"ricarica", BT_EVENT_GAS_REFILL},
    {"recarga", BT_EVENT_GAS_REFILL},
    {"meter", BT_EVENT_METER_CHANGED},
    {"messkopf", BT_EVENT_METER_CHANGED},
    {"messgerät", BT_EVENT_METER_CHANGED},
    {"meetkop", BT_EVENT_METER_CHANGED},
    {"medidor", BT_EVENT_METER_CHANGED},
    {"misuratore", BT_EVENT_METER_CHANGED},
    {"mesureur", BT_EVENT_METER_CHANGED},
    {"miernik", BT_EVENT_METER_CHANGED},
    {"mätare", BT_EVENT_METER_CHANGED},
    {"calibr", BT_EVENT_RECALIBRATION},
    {"kalibr", BT_EVENT_RECALIBRATION},
    {"étalonn", BT_EVENT_RECALIBRATION},
    {"taratura", BT_EVENT_RECALIBRATION},
    {"moved", BT_EVENT_MOVED},
    {"relocat", BT_EVENT_MOVED},
    {"umzug", BT_EVENT_MOVED},
    {"umgestellt", BT_EVENT_MOVED},
    {"déménag", BT_EVENT_MOVED},
    {"traslad", BT_EVENT_MOVED},
    {"traslo", BT_EVENT_MOVED},
    {"verhuisd", BT_EVENT_MOVED},
    {"verplaatst", BT_EVENT_MOVED},
    {"taşın", BT_EVENT_MOVED},
    {"przeniesi", BT_EVENT_MOVED},
    {"service", BT_EVENT_SERVICE},
    {"visit", BT_EVENT_SERVICE},
    {"preventive", BT_EVENT_SERVICE},
    {"servicio", BT_EVENT_SERVICE},
    {"serviço", BT_EVENT_SERVICE},
    {"servizio", BT_EVENT_SERVICE},
    {"servis", BT_EVENT_SERVICE},
    {"técnic", BT_EVENT_SERVICE},
    {"tecnic", BT_EVENT_SERVICE},
    {"technici", BT_EVENT_SERVICE},
    {"maintenance", BT_EVENT_SERVICE},
    {"wartung", BT_EVENT_SERVICE},
    {"engineer", BT_EVENT_SERVICE},
    {"technik", BT_EVENT_SERVICE},
    {"manutenzione", BT_EVENT_SERVICE},
    {"tagliando", BT_EVENT_SERVICE},
    {"manutenção", BT_EVENT_SERVICE},
    {"mantenimiento", BT_EVENT_SERVICE},
    {"entretien", BT_EVENT_SERVICE},
    {"technicien", BT_EVENT_SERVICE},
    {"onderhoud", BT_EVENT_SERVICE},
    {"bakım", BT_EVENT_SERVICE},
    {"serwis", BT_EVENT_SERVICE},
    {"konserwac", BT_EVENT_SERVICE},
    {"clean", BT_EVENT_OPTICS_CLEANED},
    {"reinig", BT_EVENT_OPTICS_CLEANED},
    {"geputzt", BT_EVENT_OPTICS_CLEANED},
    {"nettoy", BT_EVENT_OPTICS_CLEANED},
    {"limpi", BT_EVENT_OPTICS_CLEANED},
    {"limpe", BT_EVENT_OPTICS_CLEANED},
    {"limpo", BT_EVENT_OPTICS_CLEANED},
    {"pulizia", BT_EVENT_OPTICS_CLEANED},
    {"pulit", BT_EVENT_OPTICS_CLEANED},
    {"schoon", BT_EVENT_OPTICS_CLEANED},
    {"temizl", BT_EVENT_OPTICS_CLEANED},
    {"czyszcz", BT_EVENT_OPTICS_CLEANED},
    {"rengj", BT_EVENT_OPTICS_CLEANED},
    {"repair", BT_EVENT_SERVICE},
    {"reparatur", BT_EVENT_SERVICE},
    {"réparation", BT_EVENT_SERVICE},
    {"riparazione", BT_EVENT_SERVICE},
    {"reparación", BT_EVENT_SERVICE},
    {"reparação", BT_EVENT_SERVICE},
    {"reparatie", BT_EVENT_SERVICE},
    {"onarım", BT_EVENT_SERVICE},
    {"napraw", BT_EVENT_SERVICE},
};

static bool tells_of(const char *text, bt_event_kind kind) {
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
    if (parts[i].kind == kind && bt_name_has(text, parts[i].part))
      return true;
  return false;
}

bt_event_kind intake_event_guess(const char *text) {
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
    if (bt_name_has(text, parts[i].part)) {
      bool visit = parts[i].kind == BT_EVENT_RECALIBRATION && tells_of(text, BT_EVENT_SERVICE);
      return visit ? BT_EVENT_SERVICE : parts[i].kind;
    }
  return BT_EVENT_OTHER;
}
