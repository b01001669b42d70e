/* Digests of the checks that an import added, in order of (line, unit, time, sequence), in which
 * its entry hashes them.
 *
 * They come nearly always in that order, a million of them perhaps: a file without a name takes
 * them. Those out of order, and those of the merge, wait in `temp.fresh`; where there are any, the
 * file's are put beside them at the end, and the table gives the order. */
#include "digest_private.h"
#include "entry_private.h"
#include "fresh_private.h"
#include "row_private.h"
#include "sql_private.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct fresh_digest {
  int64_t line, unit, time;
  int32_t sequence;
  unsigned char digest[LEDGER_DIGEST_BYTES];
} fresh_digest;

struct ledger_fresh {
  bt_ledger *ledger;
  FILE *file;
  sqlite3_stmt *insert;
  int64_t last_line; /* of the file */
  bool in_table;
};

static bt_status file_fault(const char *doing, bt_error *error) {
  return bt_fail(error, BT_SYSTEM,
                 "a temporary file could not be %s (%s); make room in the system's folder for "
                 "temporary files",
                 doing, strerror(errno));
}

bt_status ledger_fresh_open(bt_ledger *ledger, ledger_fresh **fresh, bt_error *error) {
  *fresh = bt_new(1, sizeof **fresh);
  if (*fresh == NULL)
    return bt_fail_memory(error);
  (*fresh)->ledger = ledger;
  (*fresh)->last_line = -1;
  (*fresh)->file = tmpfile();
  if ((*fresh)->file == NULL)
    return file_fault("made", error);
  return ledger_prepare(ledger,
                        "INSERT INTO temp.fresh (line, unit, time, sequence, digest) "
                        "VALUES (?1, ?2, ?3, ?4, ?5)",
                        &(*fresh)->insert, error);
}

void ledger_fresh_close(ledger_fresh *fresh) {
  if (fresh == NULL)
    return;
  if (fresh->file != NULL)
    (void)fclose(fresh->file); /* nothing in it is needed any more */
  (void)sqlite3_finalize(fresh->insert);
  free(fresh);
}

static bt_status put_in_table(ledger_fresh *fresh, const fresh_digest *added, bt_error *error) {
  bool more = false;
  bt_status status =
      ledger_bind(fresh->ledger, error, fresh->insert, "iiiib", added->line, added->unit,
                  added->time, (int64_t)added->sequence, added->digest, sizeof added->digest);
  if (status == BT_OK)
    status = ledger_step(fresh->ledger, fresh->insert, &more, error);
  fresh->in_table = true;
  return status;
}

bt_status ledger_fresh_add(ledger_fresh *fresh, const ledger_row *row, const unsigned char *digest,
                           bool late, bt_error *error) {
  fresh_digest added = {.line = row->check.line,
                        .unit = row->unit,
                        .time = row->check.time,
                        .sequence = row->check.sequence};
  memcpy(added.digest, digest, sizeof added.digest);
  if (late || added.line <= fresh->last_line)
    return put_in_table(fresh, &added, error);
  fresh->last_line = added.line;
  if (fwrite(&added, sizeof added, 1, fresh->file) != 1)
    return file_fault("written", error);
  return BT_OK;
}

static bt_status rewind_file(ledger_fresh *fresh, bt_error *error) {
  if (fflush(fresh->file) != 0 || fseek(fresh->file, 0, SEEK_SET) != 0)
    return file_fault("written", error);
  return BT_OK;
}

static bt_status next_of_file(ledger_fresh *fresh, fresh_digest *next, bool *there,
                              bt_error *error) {
  *there = fread(next, sizeof *next, 1, fresh->file) == 1;
  if (!*there && ferror(fresh->file) != 0)
    return file_fault("read", error);
  return BT_OK;
}

bt_status ledger_fresh_settle(ledger_fresh *fresh, bool *in_table, bt_error *error) {
  fresh_digest next;
  bool there = fresh->in_table;
  *in_table = fresh->in_table;
  bt_status status = rewind_file(fresh, error);
  while (status == BT_OK && there) {
    status = next_of_file(fresh, &next, &there, error);
    if (status == BT_OK && there)
      status = put_in_table(fresh, &next, error);
  }
  return status;
}

bt_status ledger_fresh_next(ledger_fresh *fresh, unsigned char *digest, bool *there,
                            bt_error *error) {
  fresh_digest next;
  bt_status status = next_of_file(fresh, &next, there, error);
  if (status == BT_OK && *there)
    memcpy(digest, next.digest, sizeof next.digest);
  return status;
}
