/* The manual page, made of the same texts as --help. */
#ifndef CLI_MANUAL_H
#define CLI_MANUAL_H

#include "beamtally/base.h"

/* One section that no command's help has: its title, and its text in the manner of a help text. */
typedef struct manual_section {
  const char *title, *text;
} manual_section;

/* Ended by a NULL title. */
extern const manual_section manual_sections[];

/* The page in the man macros of roff. */
void manual_page(bt_text *page);

/* Every option that a help text speaks of, one a line, each once: "--unit", "-o". What
 * stands between backquotes is of another command. */
void manual_options(const char *help, bt_text *list);

#endif
