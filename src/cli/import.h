/* What the files of `import` share. */
#ifndef CLI_IMPORT_H
#define CLI_IMPORT_H

#include "new_file.h"

/* Where --rejects writes to; its stream is NULL without. */
typedef struct import_rejects {
  cli_new_file file;
  bool with_file; /* several logs: their names go into a column */
} import_rejects;

/* What is asked of each log. */
typedef struct import_request {
  const bt_reading_choices *choices;
  double max_refused; /* percent of its lines */
  bool new_unit, dry_run, again;
  bt_again by; /* whose word --again is */
  import_rejects rejects;
} import_request;

/* import_file.c: one log, in one transaction; what it says on the way is said. Where there is no
 * ledger yet (NULL) one is made as soon as the log can be read; after a failure none is open. */
bt_status import_file(const cli_context *cli, bt_ledger **ledger, const char *path,
                      const import_request *request, bt_import_counts *counts,
                      bt_error *error) BT_MUST_CHECK;

#endif
