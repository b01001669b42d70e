/* What resolve's files share. */
#ifndef CLI_RESOLVE_H
#define CLI_RESOLVE_H

#include "cli.h"

/* The sentence where no episode's id begins with these digits, as BT_NOTFOUND: which episode has
 * the days of the one that had that id, and the command with the words of `said`. */
bt_status resolve_not_found(bt_ledger *ledger, char *const *units, size_t n, bt_time until,
                            const char *digits, const bt_disposition *said,
                            bt_error *error) BT_MUST_CHECK;

/* Appends `beamtally resolve ID --cause ... --action ... --by ...` with the words of `said`. */
void resolve_add_command(const char *id, const bt_disposition *said, bt_text *out);

/* The key of the kind of event that the action hints at, where none was noted since that time; or
 * NULL. Borrowed. */
const char *resolve_hinted_event(const bt_unit_study *study, bt_time since, const char *action);

#endif
