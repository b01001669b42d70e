/* What chart and report share: the span shown, the paper, and writing a document. */
#ifndef CLI_PAGES_H
#define CLI_PAGES_H

#include "cli.h"

#include "beamtally/draw.h"
#include "beamtally/report.h"

enum { PAGES_MONTHS_SHOWN = 6 };

bool pages_paper(const char *text, bt_paper *paper) BT_MUST_CHECK;

/* When the document is said to be made: the ledger's last entry, or $SOURCE_DATE_EPOCH. */
bt_status pages_created(const cli_context *cli, bt_ledger *ledger, bt_time *created,
                        bt_error *error) BT_MUST_CHECK;

/* A unit's name as part of a file name: letters and digits in lower case, the rest one hyphen. */
void pages_file_part(const char *name, bt_text *out);

/* Says how many characters no font had, once the pages are drawn. */
void pages_say_missing(const bt_draw *draw);

#endif
