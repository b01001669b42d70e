/* Alarm limits that were solved before. Units of a fleet are checked on the same days, and their
 * charts ask for the same limits over and over: each problem is solved once.
 *
 * R1 The same problem is one of the same kind and the same numbers, to the last bit: what is kept
 * is then what solving it again would give. Of a vector that is its n, and how its covariance was
 *    made (bt_vector_limits). */
#include "study_room.h"

#include <stdlib.h>

struct bt_solved_limit {
  bt_alarm_kind kind;
  size_t vector_n; /* 0: no vector */
  bool from_differences;
  bt_alarm_limits asked, answer;
};

/* R1 */
static bool same(const bt_solved_limit *a, const bt_solved_limit *b) {
  return a->kind == b->kind && a->vector_n == b->vector_n &&
         a->from_differences == b->from_differences && a->asked.n == b->asked.n &&
         a->asked.screened == b->asked.screened && a->asked.charts == b->asked.charts &&
         a->asked.budget_a_year == b->asked.budget_a_year &&
         a->asked.checks_a_year == b->asked.checks_a_year &&
         a->asked.share_a_year == b->asked.share_a_year;
}

bt_status study_solve_limits(bt_solved_limits *known, bt_alarm_kind kind, const bt_vector *vector,
                             bt_alarm_limits *limits, bt_error *error) {
  bt_solved_limit problem = {.kind = kind, .asked = *limits};
  if (vector != NULL) {
    problem.vector_n = vector->n;
    problem.from_differences = vector->from_differences;
  }
  for (size_t k = 0; k < known->n; k++)
    if (same(&known->limit[k], &problem)) {
      *limits = known->limit[k].answer;
      return BT_OK;
    }
  bt_status status = bt_alarm_limits_solve(kind, vector, limits, error);
  if (status != BT_OK)
    return status;
  problem.answer = *limits;
  if (!bt_grow(&known->limit, &known->room, known->n + 1, sizeof *known->limit))
    return bt_fail_memory(error);
  known->limit[known->n++] = problem;
  return BT_OK;
}

void bt_solved_limits_free(bt_solved_limits *known) {
  free(known->limit);
  *known = (bt_solved_limits){0};
}
