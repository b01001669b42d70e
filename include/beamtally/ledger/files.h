/* The log files at hand beside those that were imported. */
#ifndef BEAMTALLY_LEDGER_FILES_H
#define BEAMTALLY_LEDGER_FILES_H

#include "beamtally/base.h"
#include "beamtally/ledger/open.h"

/* What a folder has under the name of a source. */
typedef enum bt_at_hand {
  BT_AT_HAND_SAME,      /* the file with the source's SHA-256 */
  BT_AT_HAND_DIFFERENT, /* a file that no import ever took in under that name */
  BT_NOT_AT_HAND        /* nothing that can be read, or the file of another source of that name */
} bt_at_hand;

typedef struct bt_source_file {
  char *name;
  bt_at_hand at_hand;
} bt_source_file;

/* Hashes them: one for each file that was imported, in order of their names. Owned list. */
bt_status bt_ledger_compare_files(bt_ledger *ledger, const char *folder, bt_source_file **files,
                                  size_t *n, bt_error *error) BT_MUST_CHECK;
void bt_source_files_free(bt_source_file *files, size_t n);

#endif
