/* export: everything that the ledger holds, as open files in a folder of their own. */
#include "cli.h"
#include "help.h"
#include "new_file.h"
#include "reading.h"

#include "beamtally/emit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const about[BT_TABLE_COUNT] = {
    [BT_TABLE_CHECKS] = "checks as they stand; goes back in by `import`",
    [BT_TABLE_EVENTS] = "what was done to the lasers; goes back in by `import`",
    [BT_TABLE_SUPERSEDED_CHECKS] = "checks that were corrected, withdrawn or read again",
    [BT_TABLE_SUPERSEDED_EVENTS] = "events likewise",
    [BT_TABLE_HELD] = "rows held back, because the ledger has other readings of that time",
    [BT_TABLE_REFUSALS] = "lines that could not be taken, with reasons, and who left them out",
    [BT_TABLE_SOURCES] = "log files that were imported, with their SHA-256",
    [BT_TABLE_SETTINGS] = "choices of the clinic, each version",
    [BT_TABLE_TOLERANCES] = "tolerances with their sources, each version",
    [BT_TABLE_UNITS] = "lasers and what was chosen for them",
    [BT_TABLE_OWN_CHARACTERISTICS] = "characteristics of the clinic's own",
    [BT_TABLE_BASELINES] = "frozen baselines with their numbers",
    [BT_TABLE_DISPOSITIONS] = "what people concluded of signals",
    [BT_TABLE_ISSUED] = "reports that were issued, with their SHA-256",
    [BT_TABLE_REMOVED_TEXTS] = "texts that were removed for good: where, when, by whom, why",
    [BT_TABLE_UNIT_SOURCES] = "what each log file brought for each laser",
    [BT_TABLE_ENTRIES] = "every change of the ledger: when, what, by whom, why, state after it",
};

/* What the writers of the files are told. */
typedef struct export_run {
  bt_ledger *ledger;
  bt_table table;
  const bt_settings *settings;
  const char *state;
  bool json;
  int64_t rows[BT_TABLE_COUNT];
  cli_progress progress;
} export_run;

static bt_status write_table(export_run *run, FILE *stream, bt_error *error) {
  bt_table_writer writer;
  bt_table_sink sink = bt_table_writer_open(&writer, stream, run->json);
  cli_worded worded;
  const bt_table_sink in_words = cli_in_words(&worded, &sink);
  bt_error closing = {0};
  cli_progress_show(&run->progress, (size_t)run->table, BT_TABLE_COUNT);
  bt_status status = bt_ledger_table(run->ledger, run->table,
                                     run->table == BT_TABLE_SOURCES ? &in_words : &sink, error);
  run->rows[run->table] = writer.rows;
  bt_status closed = bt_table_writer_close(&writer, status == BT_OK ? error : &closing);
  return status == BT_OK ? closed : status;
}

static bt_status write_csv(void *context, FILE *stream, bt_error *error) {
  return write_table(context, stream, error);
}

/* One document with a member a table. */
static bt_status write_json(void *context, FILE *stream, bt_error *error) {
  export_run *run = context;
  bt_status status = BT_OK;
  (void)fprintf(stream, "{\"format\":1,\"state\":\"%s\"", run->state);
  for (int t = 0; t < BT_TABLE_COUNT && status == BT_OK; t++) {
    run->table = (bt_table)t;
    (void)fprintf(stream, ",\n\"%s\":\n", bt_table_name(run->table));
    status = write_table(run, stream, error);
  }
  (void)fputs("}\n", stream); /* a failure stays with the stream */
  return status;
}

static bt_status write_settings(void *context, FILE *stream, bt_error *error) {
  const export_run *run = context;
  bt_text ini = {0};
  bt_emit_settings_ini(run->settings, &ini);
  bt_status status = bt_text_ok(&ini) ? BT_OK : bt_fail_memory(error);
  (void)fputs(bt_text_get(&ini), stream);
  bt_text_free(&ini);
  return status;
}

static bt_status write_readme(void *context, FILE *stream, bt_error *error) {
  const export_run *run = context;
  (void)error;
  char grouped[BT_IN_FOURS_TEXT];
  (void)fprintf(stream, "Everything that a Beamtally ledger holds. Ledger state %s.\n\n",
                bt_in_fours(run->state, grouped));
  (void)fputs(
      "The ledger was verified before, and was whole. Nothing guards these files: whoever alters one\n"
      "leaves no trace in it. `beamtally verify` looks at the ledger, not at them.\n\n",
      stream);
  if (run->json)
    (void)fputs("export.json is one document with a list for each of these:\n\n", stream);
  for (int t = 0; t < BT_TABLE_COUNT; t++) {
    const char *name = bt_table_name((bt_table)t);
    (void)fprintf(stream, "%s%s%*s%s (%lld row%s)\n", name, run->json ? "" : ".csv",
                  24 - (int)strlen(name) - (run->json ? 0 : 4), "", about[t],
                  (long long)run->rows[t], run->rows[t] == 1 ? "" : "s");
  }
  (void)fprintf(stream, "%-24s%s\n", "settings.ini",
                "the settings in force, as `settings` takes them");
  if (!run->json)
    (void)fputs(
        "\nUTF-8; commas; lines end with CR LF; a decimal point; times are the clinic's wall "
        "clock.\nText that a spreadsheet would take for a formula has an apostrophe before "
        "it, which\n`import` takes away again.\n\n"
        "Back into a new ledger:\n\n"
        "  beamtally settings settings.ini --by NAME --why \"from an export\"\n"
        "  beamtally import --new-unit checks.csv events.csv\n\n"
        "These two hold what stands. What was superseded, decided and issued is in the "
        "other files\nalone: for a whole copy of the ledger use `beamtally backup`. It alone has the "
        "salts, random\nbytes under the digests, without which nobody can try guesses at a text that "
        "was removed.\n",
        stream);
  return BT_OK;
}

static bt_status write_files(const cli_new_folder *folder, export_run *run, bt_error *error) {
  bt_status status = BT_OK;
  if (run->json)
    status = cli_new_folder_put(folder, "export.json", write_json, run, error);
  for (int t = 0; t < BT_TABLE_COUNT && !run->json && status == BT_OK; t++) {
    char name[64];
    run->table = (bt_table)t;
    (void)snprintf(name, sizeof name, "%s.csv", bt_table_name(run->table));
    status = cli_new_folder_put(folder, name, write_csv, run, error);
  }
  if (status == BT_OK)
    status = cli_new_folder_put(folder, "settings.ini", write_settings, run, error);
  if (status == BT_OK)
    status = cli_new_folder_put(folder, "README.txt", write_readme, run, error);
  return status;
}

static bt_status export_all(const cli_context *cli, bt_ledger *ledger, const char *path, bool json,
                            bt_error *error) {
  bt_settings settings = {0};
  bt_provenance provenance = {0};
  cli_new_folder folder = {0};
  export_run run = {
      .ledger = ledger, .settings = &settings, .state = provenance.state, .json = json};
  bt_status status = bt_ledger_provenance(ledger, NULL, &provenance, error);
  if (status == BT_OK)
    status = bt_ledger_settings(ledger, &settings, error);
  if (status == BT_OK)
    status = cli_new_folder_open(&folder, path, error);
  run.progress = cli_progress_begin(cli, "tables");
  if (status == BT_OK)
    status = write_files(&folder, &run, error);
  cli_progress_clear(&run.progress);
  if (status == BT_OK) /* all tables must be of one moment */
    status = cli_still_as_read(ledger, provenance.state, error);
  if (status == BT_OK)
    status = cli_new_folder_keep(&folder, error);
  cli_new_folder_close(&folder);
  bt_settings_free(&settings);
  if (status == BT_OK && !cli->quiet)
    cli_tell("%s: %lld check%s, %lld event%s; README.txt says what each file is\n", path,
             (long long)run.rows[BT_TABLE_CHECKS], run.rows[BT_TABLE_CHECKS] == 1 ? "" : "s",
             (long long)run.rows[BT_TABLE_EVENTS], run.rows[BT_TABLE_EVENTS] == 1 ? "" : "s");
  return status;
}

cli_exit cli_export(cli_context *cli, int argc, char **argv) {
  const char *format = "csv", *path = "export";
  const cli_option table[] = {{"format", &format, NULL, 0}, {"output", &path, NULL, 'o'}};
  int first;
  if (!cli_options(cli, argc, argv, table, sizeof table / sizeof *table, &first))
    return CLI_USAGE;
  if (cli->help)
    return cli_print_help(help_export);
  bool json = strcmp(format, "json") == 0;
  if (first != argc || (!json && strcmp(format, "csv") != 0)) {
    cli_say(first != argc ? "export takes no further words; the folder is named by -o"
                          : "--format is csv or json");
    return CLI_USAGE;
  }
  if (*path == '\0') {
    cli_say("-o needs the name of a folder that is not there yet");
    return CLI_USAGE;
  }

  bt_error error = {0};
  bt_ledger *ledger = NULL;
  bt_status status =
      cli_open_whole(cli, &ledger, "nothing is exported from a ledger that is not whole", &error);
  if (status == BT_OK)
    status = export_all(cli, ledger, path, json, &error);
  bt_ledger_close(ledger);
  return status == BT_OK ? CLI_DONE : cli_error(&error);
}
