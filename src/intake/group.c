/* Rows of a log in long form to checks.
 *
 * G1  Adjacent rows of one unit and time are one check.
 * G2  A reading that comes twice begins the next check of that time; so does another state, meter
 *     or operator, and another text of a column that repeats.
 * G3  A reading that another one implied ("17/18") may come again by itself where it agrees.
 * G4  Remarks of a column are joined, each once in a row. */
#include "group.h"

#include <stdlib.h>
#include <string.h>

static bool same_moment(const intake_group *group, const intake_row *row) {
  const bt_check *check = &row->check;
  return group->check.time == check->time && group->check.has_clock == check->has_clock &&
         (strcmp(group->unit, check->unit) == 0 || bt_same_name(group->unit, check->unit));
}

/* G2, G3. */
static bool readings_clash(const intake_group *group, const intake_row *row) {
  uint32_t both = group->check.present & row->check.present;
  for (int r = 0; r < BT_READING_COUNT && both != 0; r++) {
    if ((both >> r & 1U) == 0)
      continue;
    bool implied = ((group->implied | row->implied) >> r & 1U) != 0;
    if (!implied || group->check.reading[r] != row->check.reading[r])
      return true;
  }
  for (size_t i = 0; i < row->check.own_n; i++)
    for (size_t k = 0; k < group->check.own_n; k++)
      if (row->own[i].key == group->own[k].key)
        return true;
  return false;
}

static bool texts_clash(const intake_group *group, const intake_row *row) {
  for (int f = 0; f < BT_FIELD_COUNT; f++) {
    unsigned bit = 1U << f;
    const char *text = row->check.text[f];
    if (text == NULL || (group->has_text & bit) == 0)
      continue;
    bool named = ((row->named_texts | group->named_texts) & bit) != 0;
    if (named || (f != BT_FIELD_REMARK && strcmp(text, bt_text_get(&group->texts[f])) != 0))
      return true;
  }
  return false;
}

bool intake_group_takes(const intake_group *group, const intake_row *row) {
  const bt_check *check = &row->check;
  if (!group->open || !same_moment(group, row) || readings_clash(group, row) ||
      texts_clash(group, row))
    return false;
  bool states = check->state != BT_STATE_NONE && group->check.state != BT_STATE_NONE;
  bool refills = check->refill != BT_REFILL_NONE && group->check.refill != BT_REFILL_NONE;
  if (states && (row->named_state || group->named_state || check->state != group->check.state))
    return false;
  return !refills ||
         !(row->named_refill || group->named_refill || check->refill != group->check.refill);
}

static bool begin(intake_group *group, const intake_row *row) {
  const bt_check *check = &row->check;
  char *unit = bt_copy(check->unit);
  if (unit == NULL)
    return false;
  free(group->unit);
  group->unit = unit;
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    bt_text_clear(&group->texts[f]);
  for (int kind = 0; kind < BT_EVENT_COUNT; kind++)
    bt_text_clear(&group->words[kind]);
  group->has_text = group->named_texts = group->also = 0;
  group->implied = 0;
  group->named_state = group->named_refill = false;
  group->check = (bt_check){.unit = unit,
                            .time = check->time,
                            .has_clock = check->has_clock,
                            .own = group->own,
                            .line = check->line};
  group->open = true;
  return true;
}

/* G4 for remarks; all other texts are the same again where they are there. */
static void add_text(intake_group *group, int field, const char *text) {
  bt_text *to = &group->texts[field];
  if ((group->has_text >> field & 1U) == 0) {
    bt_text_add(to, text);
    group->has_text |= 1U << field;
    return;
  }
  size_t length = strlen(text);
  bool again = to->length >= length && strcmp(to->data + to->length - length, text) == 0;
  if (field == BT_FIELD_REMARK && !again && to->length + length < INTAKE_FIELD_MAX)
    bt_text_format(to, "; %s", text);
}

bool intake_group_add(intake_group *group, const intake_row *row) {
  const bt_check *check = &row->check;
  if (!group->open && !begin(group, row))
    return false;
  group->check.last_line = check->last_line;
  for (int r = 0; r < BT_READING_COUNT; r++)
    if (bt_check_has(check, (bt_reading)r))
      group->check.reading[r] = check->reading[r];
  uint32_t said = group->check.present & ~group->implied;
  group->implied = (group->implied | row->implied) & ~said & ~(check->present & ~row->implied);
  group->check.present |= check->present;
  for (size_t i = 0; i < check->own_n; i++)
    group->own[group->check.own_n++] = row->own[i];
  bool fine = true;
  for (int f = 0; f < BT_FIELD_COUNT && fine; f++)
    if (check->text[f] != NULL) {
      add_text(group, f, check->text[f]);
      fine = bt_text_ok(&group->texts[f]);
    }
  if (check->state != BT_STATE_NONE)
    group->check.state = check->state;
  if (check->refill != BT_REFILL_NONE)
    group->check.refill = check->refill;
  group->named_texts |= row->named_texts;
  group->named_state = group->named_state || row->named_state;
  group->named_refill = group->named_refill || row->named_refill;
  group->also |= row->also;
  for (int kind = 0; kind < BT_EVENT_COUNT; kind++) {
    bt_text *words = &group->words[kind];
    if ((row->worded >> kind & 1U) != 0 && strcmp(bt_text_get(words), row->words[kind]) != 0)
      bt_text_format(words, "%s%s", words->length > 0 ? "; " : "", row->words[kind]);
    fine = fine && bt_text_ok(words);
  }
  return fine;
}

const bt_check *intake_group_close(intake_group *group) {
  if (!group->open)
    return NULL;
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    group->check.text[f] = (group->has_text >> f & 1U) != 0 ? bt_text_get(&group->texts[f]) : NULL;
  group->open = false;
  return &group->check;
}

void intake_group_free(intake_group *group) {
  free(group->unit);
  for (int kind = 0; kind < BT_EVENT_COUNT; kind++)
    bt_text_free(&group->words[kind]);
  for (int f = 0; f < BT_FIELD_COUNT; f++)
    bt_text_free(&group->texts[f]);
  *group = (intake_group){0};
}
