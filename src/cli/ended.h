/* What the program leaves where a signal ends it: nothing half made. */
#ifndef CLI_ENDED_H
#define CLI_ENDED_H

/* From here on a signal that ends the program takes away first what is on its way to a name of its
 * own (bt_passing_file); the exit status is that of the signal. One that is ignored stays so. A
 * library that gives up (abort) ends it with a sentence and CLI_FAILED. For the one thread that
 * makes files, before there is another. */
void cli_ended_begin(void);

/* Between these two the first signal that would end the program only waits: for what is done in two
 * steps, neither of which may stand alone. A second one ends it at once. */
void cli_ended_wait(void);
void cli_ended_go_on(void);

/* Takes it away and ends the program by that signal. For handlers. */
void cli_ended_by(int which);

#endif
