/* Words that say who did something. */
#ifndef INTAKE_SAYS_WHO_H
#define INTAKE_SAYS_WHO_H

#include "beamtally/record.h"

/* True where a word of the text says that a person is named ("Gas refill by", "Gas gewechselt
 * von"). Rather too often: the same small words say other things as well. */
bool intake_says_who(const char *text) BT_MUST_CHECK;

#endif
