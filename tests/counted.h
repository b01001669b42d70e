/* What tests counted, for the summary of a long run. */
#ifndef TESTS_COUNTED_H
#define TESTS_COUNTED_H

/* Adds a line "counted: N WHAT" to the file that the environment variable BEAMTALLY_COUNTS names;
 * where it names none, nothing. `tests/house/counts` adds up the lines of the same WHAT. A line
 * that can't be written ends the process: a summary that lost some would be wrong. */
void counted(long n, const char *what);

#endif
