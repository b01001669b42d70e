/* The files of an evidence folder that follow from the ledger byte by byte: all but the PDF and the
 * copies of logs. */
#include "evidence.h"

typedef struct writing {
  bt_ledger *ledger;
  const bt_case *one;
  bt_table table;
} writing;

static bt_status write_table(void *context, FILE *stream, bt_error *error) {
  const writing *of = context;
  return evidence_table(of->ledger, of->table, of->one, stream, error);
}

static bt_status write_checks(void *context, FILE *stream, bt_error *error) {
  return bt_emit_case_checks(((const writing *)context)->one, stream, error);
}

static bt_status write_signals(void *context, FILE *stream, bt_error *error) {
  return bt_emit_case_signals(((const writing *)context)->one, stream, error);
}

static bt_status write_limits(void *context, FILE *stream, bt_error *error) {
  return bt_emit_case_limits(((const writing *)context)->one, stream, error);
}

static bt_status write_missing(void *context, FILE *stream, bt_error *error) {
  return bt_emit_case_missing(((const writing *)context)->one, stream, error);
}

static bt_status write_readme(void *context, FILE *stream, bt_error *error) {
  return bt_emit_case_readme(((const writing *)context)->one, stream, error);
}

bt_status evidence_files(bt_ledger *ledger, const bt_case *one, evidence_take take, void *context,
                         bt_error *error) {
  static const struct {
    const char *name;
    cli_write write;
    bt_table table; /* of write_table */
  } files[] = {{"readings.csv", write_table, BT_TABLE_CHECKS},
               {"events.csv", write_table, BT_TABLE_EVENTS},
               {"superseded_checks.csv", write_table, BT_TABLE_SUPERSEDED_CHECKS},
               {"superseded_events.csv", write_table, BT_TABLE_SUPERSEDED_EVENTS},
               {"held_back.csv", write_table, BT_TABLE_HELD},
               {"refused_lines.csv", write_table, BT_TABLE_REFUSALS},
               {"dispositions.csv", write_table, BT_TABLE_DISPOSITIONS},
               {"sources.csv", write_table, BT_TABLE_SOURCES},
               {"checks.csv", write_checks, BT_TABLE_COUNT},
               {"signals.csv", write_signals, BT_TABLE_COUNT},
               {"limits.json", write_limits, BT_TABLE_COUNT},
               {"missing.csv", write_missing, BT_TABLE_COUNT},
               {"README.txt", write_readme, BT_TABLE_COUNT}};
  bt_status status = BT_OK;
  for (size_t f = 0; f < sizeof files / sizeof *files && status == BT_OK; f++) {
    writing of = {.ledger = ledger, .one = one, .table = files[f].table};
    status = take(context, files[f].name, files[f].write, &of, error);
  }
  return status;
}
