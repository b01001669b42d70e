/* Cases that the tests of evidence folders make, look into and alter. */
#ifndef EVIDENCE_CASE_H
#define EVIDENCE_CASE_H

#include "program.h"

/* A case of the demo clinic, and one of the small ledger of private_folder. */
#define EVIDENCE "evidence", "--unit", "Suite North", "--from", "2026-02-01", "-o", "case"
#define SMALL    "evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "case"

/* The files that every folder has beside its manifest, in order of their names. */
enum { EVIDENCE_FILES = 14 };
extern const char *const evidence_files[EVIDENCE_FILES];

/* Logs of the small ledger: with names, remarks and a column of the clinic's own; and with a column
 * of patients. */
extern const char private_log[], identity_log[];

/* A fresh folder with the ledger of that log and a service visit; as folder_begin. */
char *private_folder(const char *log);

bool is_long(void);

/* The text of a file, owned. */
char *read_in(const char *folder, const char *name);

/* A new text in which the first `from` became `to`; both must be of one length. */
void replace_in(const char *folder, const char *name, const char *from, const char *to);

/* verify of the folder `case` fails, with these words. */
void verify_must_say(const char *folder, const char *words);

/* The manifest of somebody who knows how to make one. */
void make_manifest_anew(const char *folder);

/* How many names the folder has, "." and ".." among them. */
size_t names_in(const char *folder);

#endif
