/* Every command that has to do with a ledger, each as it is called on the stage. */
#ifndef FAULTS_SCENARIOS_H
#define FAULTS_SCENARIOS_H

#include "../cli/program.h"
#include "stage.h"

enum { WORDS = 20 };

/* One command, and what it is tried on. EPISODE and CONFLICT stand for the ids in the ledger. */
typedef struct scenario {
  const char *name;
  bool starts_ledger; /* tried where there is no ledger yet */
  bool writes_ledger;
  const char *input; /* file on standard input, or NULL */
  const char *words[WORDS];
} scenario;

extern const scenario scenarios[]; /* ended by one without a name */

/* Runs it in the stage's folder, with the settings given but for folder and input. */
run_result scenario_run(const scenario *of, const stage *s, const run_setting *how);

#endif
