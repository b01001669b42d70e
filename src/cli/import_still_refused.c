/* What import says of the lines that earlier logs of that name were refused with, and that this one
 * doesn't show to be mended. */
#include "import_said.h"

#include <string.h>

/* Those of its name that wait for somebody. */
static int64_t waiting(const bt_refused_line *lines, size_t n, const char *name) {
  int64_t found = 0;
  for (size_t i = 0; i < n; i++)
    found += lines[i].stands && !lines[i].left_out && strcmp(lines[i].file, name) == 0;
  return found;
}

void import_say_still_refused(bt_ledger *ledger, const bt_survey *survey, const char *path,
                              const bt_import_counts *counts) {
  bt_error error = {0};
  bt_refused_line *lines = NULL;
  size_t n = 0;
  bt_text name = {0};
  if (bt_ledger_refused_lines(ledger, &lines, &n, &error) != BT_OK) {
    cli_say("%s: which lines of earlier logs of this name still count as refused can't be said: %s",
            path, error.text);
    return;
  }
  /* Its own were told already. */
  int64_t still = waiting(lines, n, survey->source.name) - (counts->refused - counts->left_out);
  bool one = still == 1;
  bt_text_add_shell_word(&name, survey->source.name);
  if (still > 0)
    cli_say("%s: %lld line%s that %s refused of earlier logs of this name still count%s, since "
            "nothing of this one shows that %s mended (a row is gone or moved, or this is "
            "another log): `beamtally conflicts --refused` lists %s; what is mended all the same, "
            "or can't be, is settled by `beamtally conflicts --refused %s:LINE --leave-out --by "
            "NAME --why REASON`",
            path, (long long)still, one ? "" : "s", one ? "was" : "were", one ? "s" : "",
            one ? "it was" : "they were", one ? "it" : "them", bt_text_get(&name));
  bt_text_free(&name);
  bt_refused_lines_free(lines, n);
}
