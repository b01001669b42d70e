/* Where a table of the ledger has certain columns. */
#include "cli.h"

#include <string.h>

void cli_table_places(const char *const *names, size_t n, const char *const *wanted, size_t *at,
                      size_t wanted_n) {
  for (size_t w = 0; w < wanted_n; w++)
    for (size_t i = 0; i < n; i++)
      if (strcmp(names[i], wanted[w]) == 0)
        at[w] = i;
}
