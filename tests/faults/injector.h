/* Faults for a unit program that is linked with injector.c, by the names of its kinds. */
#ifndef FAULTS_INJECTOR_H
#define FAULTS_INJECTOR_H

#include <stdbool.h>

/* Files that SQLite opens from now on can fail; they know no write-ahead log. */
void fault_disk(void);

/* From now on the nth call of that kind fails, and all after it where asked for. */
void fault_begin(const char *kind, long nth, bool and_all_after);

/* No more faults; whether one came since fault_begin. */
bool fault_end(void);

/* How many calls of the kind asked for there were between the last two. */
long fault_calls(void);

#endif
