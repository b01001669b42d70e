/* Which characteristics a baseline is to be frozen of. */
#include "baseline.h"

#include <stdlib.h>
#include <string.h>

typedef struct asked_list {
  bt_characteristic *of;
  size_t n, capacity;
} asked_list;

static bt_status add(asked_list *list, bt_characteristic characteristic, bt_error *error) {
  for (size_t i = 0; i < list->n; i++)
    if (list->of[i] == characteristic)
      return BT_OK;
  if (!bt_grow(&list->of, &list->capacity, list->n + 1, sizeof *list->of))
    return bt_fail_memory(error);
  list->of[list->n++] = characteristic;
  return BT_OK;
}

/* A room condition has no limits, and so no baseline; nor have readings too coarse for a chart. */
static bool takes_baseline(const bt_study *study) {
  const bt_segment *now = bt_study_now(study);
  bool coarse = now != NULL && now->state == BT_CHART_RESOLUTION;
  if (coarse)
    cli_say("%s is left out: its readings are all alike or too coarse for control limits",
            study->quantity.key);
  return !coarse && !bt_characteristic_is_covariate(study->characteristic);
}

static bt_status add_logged(bt_ledger *ledger, const char *unit, asked_list *list,
                            bt_error *error) {
  bt_study_request request = {.unit = unit, .until = INT64_MAX};
  bt_unit_study *study = NULL;
  bt_status status = bt_study_unit(ledger, &request, &study, error);
  for (size_t s = 0; status == BT_OK && s < study->studies_n; s++)
    if (takes_baseline(study->studies[s]))
      status = add(list, study->studies[s]->characteristic, error);
  bt_unit_study_free(study);
  if (status == BT_OK && list->n == 0)
    return bt_fail(error, BT_NOTFOUND,
                   "the log of \"%s\" holds nothing that is judged, so there is no baseline to "
                   "freeze; `beamtally import FILE` brings checks in",
                   unit);
  return status;
}

static bt_status add_named(bt_ledger *ledger, const char *asked, asked_list *list,
                           bt_error *error) {
  bt_status status = BT_OK;
  for (const char *at = asked; status == BT_OK && *at != '\0';) {
    size_t length = strcspn(at, ",");
    bt_text key = {0};
    bt_characteristic characteristic = BT_ENERGY_RATIO;
    bt_text_add_bytes(&key, at, length);
    status = bt_text_ok(&key)
                 ? cli_characteristic(ledger, bt_text_get(&key), &characteristic, error)
                 : bt_fail_memory(error);
    if (status == BT_OK)
      status = add(list, characteristic, error);
    bt_text_free(&key);
    at += length + (at[length] == ',' ? 1 : 0);
  }
  return status;
}

bt_status baseline_characteristics(bt_ledger *ledger, const char *unit, const char *asked,
                                   bt_characteristic **of, size_t *n, bt_error *error) {
  asked_list list = {0};
  bt_error unknown = {0};
  bt_characteristic one = BT_ENERGY_RATIO;
  bt_status status;
  if (bt_same_name(asked, "all"))
    status = add_logged(ledger, unit, &list, error);
  else if (cli_characteristic(ledger, asked, &one, &unknown) == BT_OK)
    status = add(&list, one, error); /* a title may hold a comma */
  else
    status = add_named(ledger, asked, &list, error);
  if (status != BT_OK) {
    free(list.of);
    list = (asked_list){0};
  }
  *of = list.of;
  *n = list.n;
  return status;
}
