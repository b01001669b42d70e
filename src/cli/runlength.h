/* What the files of `runlength` share: the question that was asked, and its answer. */
#ifndef CLI_RUNLENGTH_H
#define CLI_RUNLENGTH_H

#include "cli.h"

#include "beamtally/report.h"
#include "beamtally/spc.h"

enum { RUNLENGTH_CHARTS = 3 };

typedef struct runlength_question {
  size_t n;
  bt_run_table table[RUNLENGTH_CHARTS];
  bool has_shift, has_arl, has_rate, has_budget;
  double shift;    /* in sigma */
  double arl;      /* to solve for */
  double rate;     /* checks a month */
  double budget;   /* false signals a year */
  size_t points;   /* of a baseline; 0: limits are taken as known */
  size_t together; /* charts that are used together; 0: not asked for */
  bool json;
} runlength_question;

/* runlength_answer.c: prints the run lengths of the question's charts; what is found goes into its
 * tables. */
cli_exit runlength_answer(runlength_question *asked) BT_MUST_CHECK;

/* runlength_answer.c: prints charts that keep to the budget. */
cli_exit runlength_suggest(const runlength_question *asked) BT_MUST_CHECK;

#endif
