/* What signals' files share. */
#ifndef CLI_SIGNALS_H
#define CLI_SIGNALS_H

#include "cli.h"

/* Appends, for each of these rules, its key beside what the pages call it, and how strong it is. */
void signals_add_rules(bt_rules rules, bt_text *out);

#endif
