/* A list of facts, each a label and its value. */
#include "report_facts.h"

#include <stdlib.h>

void report_fact_add(report_facts *facts, bt_text *label, bt_text *value) {
  char *taken_label = bt_text_take(label);
  char *taken_value = bt_text_take(value);
  if (taken_label == NULL || taken_value == NULL ||
      !bt_grow(&facts->fact, &facts->room, facts->n + 1, sizeof *facts->fact)) {
    free(taken_label);
    free(taken_value);
    facts->failed = true;
    return;
  }
  facts->fact[facts->n++] = (report_fact){taken_label, taken_value};
}

void report_facts_free(report_facts *facts) {
  if (facts == NULL)
    return;
  for (size_t i = 0; i < facts->n; i++) {
    free(facts->fact[i].label);
    free(facts->fact[i].value);
  }
  free(facts->fact);
  *facts = (report_facts){0};
}
