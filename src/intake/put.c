/* One KEY=VALUE, as a person types it, into a check.
 *
 * P1  Keys are canonical readings and texts, state, refill, and the clinic's own characteristics.
 * P2  Numbers have a decimal point, or a comma where that can be no thousands, whatever the
 * clinic's logs have; their signs and bounds are those of a log's cells, and counts are whole.
 * Texts are kept as a log's are. P3  What is refused changes nothing. */
#include "beamtally/intake.h"
#include "nearest.h"
#include "own.h"
#include "words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Texts of a check are const, since most checks only borrow them; these are its own. */
static void free_own(const void *text) {
  free((void *)(uintptr_t)text);
}

static bt_status read_number(const char *key, const char *value, bool may_be_negative,
                             double *number, bt_error *error) {
  bt_status status = bt_number_typed(value, number, error);
  if (status != BT_OK) {
    bt_error_prefix(error, "%s=%s", key, value);
    return status;
  }
  if (!(fabs(*number) < INTAKE_MOST_READABLE))
    return bt_fail(error, BT_INPUT, "%s=%s: the number is larger than any instrument reads", key,
                   value);
  if (*number < 0.0 && !may_be_negative)
    return bt_fail(error, BT_INPUT, "%s=%s: a value below zero is not possible here", key, value);
  *number = *number == 0.0 ? 0.0 : *number; /* no negative zero */
  return BT_OK;
}

static void put_number(bt_check *check, bt_reading reading, double number) {
  check->reading[reading] = number;
  check->present |= 1U << reading;
}

static bt_status put_reading(bt_check *check, bt_reading reading, const char *value,
                             bt_error *error) {
  double number = 0.0, total = 0.0;
  if (value[0] == '\0') {
    check->present &= ~(1U << reading);
    check->reading[reading] = 0.0;
    return BT_OK;
  }
  if (reading == BT_READING_SELFTEST_PASSED && intake_pair_of(value, &number, &total)) {
    put_number(check, BT_READING_SELFTEST_PASSED, number);
    put_number(check, BT_READING_SELFTEST_TOTAL, total);
    return BT_OK;
  }
  bt_status status = read_number(bt_reading_key(reading), value,
                                 bt_reading_may_be_negative(reading), &number, error);
  bool counts = reading == BT_READING_SELFTEST_PASSED || reading == BT_READING_SELFTEST_TOTAL;
  if (status == BT_OK && counts && number != floor(number))
    status = bt_fail(error, BT_INPUT, "%s=%s: expected a whole number, of the self-test's items",
                     bt_reading_key(reading), value);
  if (status == BT_OK)
    put_number(check, reading, number);
  return status;
}

static bt_status put_text(bt_check *check, bt_text_field field, char *value, bt_error *error) {
  bool none = field == BT_FIELD_SELFTEST_FAILED && intake_is_none(value);
  const char *kept = bt_typed_text(value);
  char *copy = NULL;
  if (kept != NULL && !none) {
    copy = bt_copy(kept);
    if (copy == NULL)
      return bt_fail_memory(error);
  }
  free_own(check->text[field]);
  check->text[field] = copy;
  return BT_OK;
}

static bt_status put_state(bt_check *check, const char *value, bt_error *error) {
  bt_state state = BT_STATE_NONE;
  if (value[0] != '\0' && !intake_state_of(value, &state))
    return bt_fail(error, BT_INPUT, "state=%s: expected as_found or as_left", value);
  check->state = state;
  return BT_OK;
}

static bt_status put_refill(bt_check *check, const char *value, bt_error *error) {
  bt_refill refill = BT_REFILL_NONE;
  if (value[0] != '\0' && !intake_refill_of(value, &refill))
    return bt_fail(error, BT_INPUT,
                   "refill=%s: expected before or after: whether the gas was refilled before or "
                   "after this check's reading",
                   value);
  check->refill = refill;
  return BT_OK;
}

/* The check's own array, copied into one with room for `more`; its keys go along. */
static bt_own_reading *array_with(const bt_check *check, size_t more) {
  bt_own_reading *array = bt_new(check->own_n + more, sizeof *array);
  if (array != NULL && check->own_n > 0)
    memcpy(array, check->own, check->own_n * sizeof *array);
  return array;
}

static bt_status put_own(bt_check *check, const char *key, const char *value, bt_error *error) {
  double number = 0.0;
  size_t at = 0;
  if (value[0] != '\0') {
    bt_status status = read_number(key, value, true, &number, error);
    if (status != BT_OK)
      return status;
  }
  while (at < check->own_n && strcmp(check->own[at].key, key) != 0)
    at++;
  bool there = at < check->own_n;
  if (!there && value[0] == '\0')
    return BT_OK;
  bt_own_reading *array = array_with(check, there ? 0 : 1);
  char *copy = there ? NULL : bt_copy(key);
  if (array == NULL || (!there && copy == NULL)) {
    free(array);
    free(copy);
    return bt_fail_memory(error);
  }
  if (value[0] == '\0') {
    free_own(array[at].key);
    check->own_n--;
    memmove(array + at, array + at + 1, (check->own_n - at) * sizeof *array);
  } else {
    if (!there)
      array[check->own_n++].key = copy;
    array[at].value = number;
  }
  free_own(check->own);
  check->own = array;
  return BT_OK;
}

static bt_status put(bt_check *check, const char *key, char *value,
                     const bt_own_characteristic *own, size_t own_n, bt_error *error) {
  const bt_reading_choices known = {.own = own, .own_n = own_n};
  int item = 0;
  switch (intake_role_in(&known, key, &item)) {
  case INTAKE_ROLE_READING:
    return put_reading(check, (bt_reading)item, value, error);
  case INTAKE_ROLE_TEXT:
    return put_text(check, (bt_text_field)item, value, error);
  case INTAKE_ROLE_STATE:
    return put_state(check, value, error);
  case INTAKE_ROLE_REFILL:
    return put_refill(check, value, error);
  case INTAKE_ROLE_OWN:
    return put_own(check, own[item].key, value, error);
  case INTAKE_ROLE_DATE:
  case INTAKE_ROLE_TIME:
  case INTAKE_ROLE_UNIT:
    return bt_fail(error, BT_INPUT,
                   "\"%s\" is no reading: --unit and --at say of which laser and when the check is",
                   key);
  default:
    return bt_fail(error, BT_INPUT, "a key that isn't known: \"%s\"; the nearest is %s", key,
                   intake_nearest_key(own, own_n, key, true));
  }
}

bt_status bt_check_put(bt_check *check, const char *key_value, const bt_own_characteristic *own,
                       size_t own_n, bt_error *error) {
  if (!bt_utf8_valid(key_value, strlen(key_value)))
    return bt_fail(error, BT_INPUT, "a reading is not valid UTF-8; type it again");
  char *copy = bt_copy(key_value);
  if (copy == NULL)
    return bt_fail_memory(error);
  bt_status status = BT_OK;
  char *equals = strchr(copy, '=');
  if (equals == NULL || equals == copy) {
    status = bt_fail(error, BT_INPUT, "\"%s\": expected KEY=VALUE, such as energy_mj=1.61", copy);
  } else {
    *equals = '\0';
    status = put(check, intake_trim(copy), intake_trim(equals + 1), own, own_n, error);
  }
  free(copy);
  return status;
}
