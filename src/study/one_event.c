/* One event for each moment and kind.
 *
 * A ledger keeps a further note of an event that it has as an event of its own, so that no words
 * are lost. For fills, comparisons and charts they are one thing: the first row, with all notes,
 * each once, in the order in which they came. */
#include "study_room.h"

#include <stdlib.h>
#include <string.h>

static bool is_same(const bt_event *a, const bt_event *b) {
  return a->time == b->time && a->kind == b->kind;
}

/* Whether the words are one of the notes that are joined already. */
static bool says(const char *notes, const char *note) {
  size_t length = strlen(note);
  const char *at = notes;
  while (strncmp(at, note, length) != 0 ||
         (at[length] != '\0' && strncmp(at + length, "; ", 2) != 0)) {
    at = strstr(at, "; ");
    if (at == NULL)
      return false;
    at += 2;
  }
  return true;
}

static bool join(bt_event *event, const char *note) {
  bt_text notes = {0};
  if (note == NULL || (event->note != NULL && says(event->note, note)))
    return true;
  bt_text_format(&notes, "%s%s%s", event->note == NULL ? "" : event->note,
                 event->note == NULL ? "" : "; ", note);
  free((void *)(uintptr_t)event->note);
  event->note = bt_text_take(&notes);
  return event->note != NULL;
}

bt_status study_one_event(bt_history *history, bt_error *error) {
  size_t kept = 0;
  bool whole = true;
  for (size_t e = 0; e < history->events_n; e++) {
    bt_event *event = &history->events[e];
    size_t same = kept;
    while (same > 0 && history->events[same - 1].time == event->time &&
           !is_same(&history->events[same - 1], event))
      same--;
    if (same == 0 || !is_same(&history->events[same - 1], event)) {
      history->events[kept++] = *event;
      continue;
    }
    whole = join(&history->events[same - 1], event->note) && whole;
    bt_event_free(event);
  }
  history->events_n = kept;
  return whole ? BT_OK : bt_fail_memory(error);
}
