/* Files and folders that are written whole or not at all. */
#ifndef CLI_NEW_FILE_H
#define CLI_NEW_FILE_H

#include "cli.h"

#include <stdio.h>

/* ---- new_file.c ------------------------------------------------------------------------------ */

/* A file that is written whole or not at all, and never over one that is there. */
typedef struct cli_new_file {
  const char *path, *named; /* named: what sentences call it */
  char *temporary;
  FILE *stream;
} cli_new_file;

/* BT_USAGE for "-", which elsewhere means standard output, and for the name of a working file
 * (-journal, -wal) beside a ledger. */
bt_status cli_names_output(const char *path, bt_error *error) BT_MUST_CHECK;

/* BT_REFUSED when something of that name is there. */
bt_status cli_new_file_open(cli_new_file *file, const char *path, bt_error *error) BT_MUST_CHECK;

/* The same for a file in a folder whose name will be another. */
bt_status cli_new_file_open_as(cli_new_file *file, const char *path, const char *named,
                               bt_error *error) BT_MUST_CHECK;

/* Gives the file its name; it and its folder are synced. */
bt_status cli_new_file_keep(cli_new_file *file, bt_error *error) BT_MUST_CHECK;

/* Syncs a folder, so that names given in it last; a sentence calls it `named`. Some file systems
 * can't: that is no failure. */
bt_status cli_sync_folder(const char *folder, const char *named, bt_error *error) BT_MUST_CHECK;

/* Drops what was not kept. */
void cli_new_file_close(cli_new_file *file);

/* ---- new_folder.c ---------------------------------------------------------------------------- */

/* A folder that is written whole or not at all, and never over one that is there. */
typedef struct cli_new_folder {
  const char *path;
  char *temporary;
} cli_new_folder;

/* BT_REFUSED when something of that name is there. */
bt_status cli_new_folder_open(cli_new_folder *folder, const char *path,
                              bt_error *error) BT_MUST_CHECK;

/* A file in it, written and synced by `write`. */
typedef bt_status (*cli_write)(void *context, FILE *stream, bt_error *error);
bt_status cli_new_folder_put(const cli_new_folder *folder, const char *name, cli_write write,
                             void *context, bt_error *error) BT_MUST_CHECK;

/* Takes the passing folder's name from the beginning of a sentence about a file in it. */
void cli_new_folder_unname(const cli_new_folder *folder, bt_error *error);

/* Gives the folder its name; it and the folder that it is in are synced. */
bt_status cli_new_folder_keep(cli_new_folder *folder, bt_error *error) BT_MUST_CHECK;

/* Drops what was not kept, with all files in it. */
void cli_new_folder_close(cli_new_folder *folder);

#endif
