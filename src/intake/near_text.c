/* Texts of a log that may be what a map means by another: a slip of the pen, or a word for the same
 * event. */
#include "near_text.h"
#include "event_words.h"

#include <string.h>

bool intake_is_slip(const intake_value *value, const char *text) {
  enum { LETTERS_A_SLIP = 4 }; /* shorter words are other words where a letter differs */
  const char *meant = value->choice->value;
  size_t most = strlen(meant) / LETTERS_A_SLIP, n = strlen(meant), other = strlen(text);
  most = most > 2 ? 2 : most;
  bool close = n <= other + most && other <= n + most; /* nearly no text is: the rest costs more */
  return most > 0 && close && bt_name_distance(meant, text) <= most;
}

bool intake_is_near(const intake_value *value, const char *text) {
  bool event = value->role == INTAKE_ROLE_EVENT && value->item != BT_EVENT_OTHER;
  return (event && (intake_says_yes(text) || (int)intake_event_guess(text) == value->item)) ||
         intake_is_slip(value, text);
}
