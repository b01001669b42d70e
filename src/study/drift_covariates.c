/* What goes with the values beside the drift: temperature, humidity, time of day, and, only where
 * it is asked for, who checked.
 *
 * R1 Each is a single look at a single covariate, of the values that have it.
 * R2 Time of day only of checks whose log has a clock. An operator is a code against all others,
 *    with 5 values or more on either side; the first 8 codes. */
#include "study_drift.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FIXED = 3, MOST_CODES = 8, LEAST_EACH = 5 };

typedef struct columns {
  double *day, *value, *of;
  size_t n;
} columns;

static void take(columns *c, const bt_drift_values *values, size_t i, double of) {
  c->day[c->n] = values->day[i];
  c->value[c->n] = values->value[i];
  c->of[c->n++] = of;
}

static void gather(const bt_history *history, const bt_drift_values *values, bt_covariate which,
                   columns *c) {
  c->n = 0;
  for (size_t i = 0; i < values->n; i++) {
    size_t row = values->row[i];
    bt_reading reading = which == BT_COVARIATE_TEMPERATURE ? BT_READING_TEMP_C : BT_READING_RH_PCT;
    if (which == BT_COVARIATE_TIME_OF_DAY) {
      if (history->has_clock[row] != 0)
        take(c, values, i, 24 * (values->day[i] - floor(values->day[i])));
    } else if ((history->present[row] >> reading & 1U) != 0)
      take(c, values, i, history->reading[reading][row]);
  }
}

static bt_status fit(bt_drift *drift, bt_covariate which, const char *code, const columns *c,
                     bt_error *error) {
  bt_covariate_effect *effect = &drift->covariates[drift->covariates_n];
  bt_status status = bt_effect_find(c->day, c->value, c->of, c->n, &effect->effect, error);
  if (status != BT_OK || !effect->effect.given)
    return status;
  effect->of = which;
  effect->code = NULL;
  if (code != NULL && (effect->code = bt_copy(code)) == NULL)
    return bt_fail_memory(error);
  drift->covariates_n++;
  return BT_OK;
}

/* R2 */
static bt_status operators(const bt_history *history, bt_drift *drift, columns *c,
                           bt_error *error) {
  const bt_drift_values *values = &drift->values;
  char *const *text = history->text[BT_FIELD_OPERATOR];
  const char *code[MOST_CODES];
  size_t codes = 0;
  for (size_t i = 0; i < values->n && text != NULL; i++) {
    const char *of = text[values->row[i]];
    size_t k = 0;
    while (of != NULL && k < codes && strcmp(code[k], of) != 0)
      k++;
    if (of != NULL && k == codes && codes < MOST_CODES)
      code[codes++] = of;
  }
  for (size_t k = 0; k < codes; k++) {
    size_t theirs = 0;
    c->n = 0;
    for (size_t i = 0; i < values->n; i++) {
      const char *of = text[values->row[i]];
      if (of == NULL)
        continue;
      bool is = strcmp(of, code[k]) == 0;
      theirs += is;
      take(c, values, i, is);
    }
    if (theirs < LEAST_EACH || c->n - theirs < LEAST_EACH)
      continue;
    bt_status status = fit(drift, BT_COVARIATE_OPERATOR, code[k], c, error);
    if (status != BT_OK)
      return status;
  }
  return BT_OK;
}

bt_status study_drift_covariates(const drift_unit *of, bt_drift *drift, bt_error *error) {
  const bt_drift_values *values = &drift->values;
  columns c = {.day = bt_new(values->n, sizeof(double)),
               .value = bt_new(values->n, sizeof(double)),
               .of = bt_new(values->n, sizeof(double))};
  drift->covariates = bt_new(FIXED + MOST_CODES, sizeof *drift->covariates);
  bt_status status = c.day && c.value && c.of && drift->covariates ? BT_OK : bt_fail_memory(error);
  for (int which = 0; which < FIXED && status == BT_OK; which++) {
    gather(&of->unit->history, values, (bt_covariate)which, &c);
    status = fit(drift, (bt_covariate)which, NULL, &c, error);
  }
  if (status == BT_OK && of->with_operator)
    status = operators(&of->unit->history, drift, &c, error);
  free(c.day);
  free(c.value);
  free(c.of);
  return status;
}
