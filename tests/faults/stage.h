/* The folder that commands are tried in, with a ledger that has something for each of them, and all
 * that can be seen of it from outside. */
#ifndef FAULTS_STAGE_H
#define FAULTS_STAGE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct stage {
  char *folder, *ledger, *report; /* report: what the injector says of its run */
  char *bytes;                    /* of the ledger before any command */
  size_t n;
  char *rows;                   /* of that ledger */
  char episode[9], conflict[9]; /* ids of an episode of signals and of rows held back */
} stage;

stage stage_begin(void);
void stage_end(stage *s);

/* Everything as it was before a command; with no ledger at all where `bare` says so. */
void stage_reset(const stage *s, bool bare);

/* Every row of the ledger, and every other file by name; owned. A ledger that isn't byte for byte
 * as before must pass `verify`. */
char *stage_visible(const stage *s);

#endif
