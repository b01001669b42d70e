/* The two marks of a SQLite file that say who may write and who may read it: bytes 18 and 19 of its
 * head. Both are 1, or both 2 where another program left a write-ahead log; a file whose mark for
 * writing is above 2 is one that SQLite reads and never writes.
 * Source: "Database File Format", section 1.3.3, sqlite.org/fileformat2.html. */
#include "file_private.h"
#include "ledger_private.h"

enum { WRITES = 18, JOURNAL = 1, LOG = 2 };

bt_status ledger_marks_as_written(bt_ledger *ledger, bt_error *error) {
  sqlite3_file *file = NULL;
  unsigned char marks[2] = {0, 0};
  /* Through SQLite's own descriptor: closing another one would give up its locks. */
  if (sqlite3_file_control(ledger->db, "main", SQLITE_FCNTL_FILE_POINTER, &file) != SQLITE_OK ||
      file == NULL || file->pMethods == NULL ||
      file->pMethods->xRead(file, marks, sizeof marks, WRITES) != SQLITE_OK)
    return bt_fail(error, BT_SYSTEM, "%s: the head of the file can't be read; check the disk",
                   ledger->path);
  if (marks[0] == marks[1] && (marks[0] == JOURNAL || marks[0] == LOG))
    return BT_OK;
  return bt_fail(error, BT_DAMAGED,
                 "%s: the marks at the head of the file that say who may write and who may read it "
                 "(bytes 18 and 19) are %d and %d, where a ledger has 1 and 1: damage or another "
                 "program changed them, and nothing is entered in such a file; put a backup of it "
                 "in its place",
                 ledger->path, marks[0], marks[1]);
}
