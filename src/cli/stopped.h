/* What a signal that ends the program leaves of a file on its way into the ledger. */
#ifndef CLI_STOPPED_H
#define CLI_STOPPED_H

#include "cli.h"

/* From here on a signal that ends the program (Ctrl-C) says what became of the file of that name:
 * nothing of it is stored; or, after cli_stopped_storing, all or nothing. A signal that is ignored
 * stays so. One file at a time; cli_stopped_end ends it. */
void cli_stopped_begin(const char *path);
void cli_stopped_storing(void);

/* From now on the first signal is only noted, and ends the program in cli_stopped_end. */
void cli_stopped_wait(void);
bool cli_stopped_asked(void) BT_MUST_CHECK;
void cli_stopped_end(void);

#endif
