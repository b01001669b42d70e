/* Headers that say what was done to a laser. */
#ifndef INTAKE_DONE_WORDS_H
#define INTAKE_DONE_WORDS_H

#include <stdbool.h>

/* Whether a header says that its column tells what was done ("What was done", "Trabajo
 * realizado"), and not who did it ("Done by"). */
bool intake_says_done(const char *header);

#endif
