/* resolve leads on from the id of an episode that is no more. */
#include "episode_parts.h"
#include "resolve.h"

#include <string.h>

/* `beamtally resolve ID --cause ... --action ... --by ...`, as the person has said it. */
void resolve_add_command(const char *id, const bt_disposition *said, bt_text *out) {
  bt_text_format(out, "`beamtally resolve %s --cause ", id);
  bt_text_add_shell_word(out, said->cause);
  bt_text_add(out, " --action ");
  bt_text_add_shell_word(out, said->action);
  bt_text_add(out, " --by ");
  bt_text_add_shell_word(out, said->by);
  bt_text_add(out, said->restart ? " --restart`" : "`");
}

/* Where the days of an episode that is no more are now. */
static void add_lost(const bt_study *of, const char *unit, const cli_lost *lost, const char *digits,
                     const bt_disposition *said, bt_text *out) {
  char at[BT_TIME_TEXT];
  const bt_episode *next = lost->instead != NULL ? lost->instead : lost->open;
  bt_text_format(out, "episode %s, which began on %s in %s of ", digits,
                 bt_time_day_iso(lost->at, at), of->quantity.key);
  (void)cli_plain(out, unit, SIZE_MAX);
  bt_text_add(out,
              ", is no more: a baseline, a correction or a setting that came since ended it. ");
  if (next == NULL) {
    bt_text_add(out,
                "No signal stands on that day now, and none is open in it; `beamtally signals` "
                "lists what was");
    return;
  }
  bt_text_add(out,
              lost->instead == NULL ? "No signal stands on that day now; open in it is episode "
              : lost->whole         ? "Its days are now those of episode "
                            : "Of its days the first that have a signal now are those of episode ");
  cli_add_episode(of, next, out);
  if (lost->instead != NULL && lost->whole)
    cli_add_others(lost->others, unit, out);
  else if (lost->instead != NULL) {
    bt_text_add(out, ", later ones perhaps of others (`beamtally signals --unit ");
    bt_text_add_shell_word(out, unit);
    bt_text_add(out, "` lists all)");
  }
  bt_text_add(out, ": ");
  resolve_add_command(next->id, said, out);
}

/* Leads on from an id that no episode has any more; nothing is added where it never was one. */
static bt_status look_for_lost(bt_ledger *ledger, const char *unit, bt_time until,
                               const char *digits, const bt_disposition *said, bt_text *out,
                               bt_error *error) {
  bt_study_request request = {.unit = unit, .until = until};
  bt_unit_study *study = NULL;
  bt_status status = bt_study_unit(ledger, &request, &study, error);
  for (size_t s = 0; status == BT_OK && out->length == 0 && s < study->studies_n; s++) {
    cli_lost lost;
    status = cli_lost_episode(study, study->studies[s], digits, &lost, error);
    if (status == BT_OK && lost.known)
      add_lost(study->studies[s], unit, &lost, digits, said, out);
  }
  bt_unit_study_free(study);
  return status;
}

/* Fewer digits fit too many points by chance. */
enum { LEAST_OF_LOST = 6 };

bt_status resolve_not_found(bt_ledger *ledger, char *const *units, size_t n, bt_time until,
                            const char *digits, const bt_disposition *said, bt_error *error) {
  bt_text lost = {0};
  bt_status status = BT_OK;
  for (size_t i = 0; status == BT_OK && i < n && strlen(digits) >= LEAST_OF_LOST; i++)
    if (lost.length == 0)
      status = look_for_lost(ledger, units[i], until, digits, said, &lost, error);
  if (status == BT_OK && !bt_text_ok(&lost))
    status = bt_fail_memory(error);
  else if (status == BT_OK && lost.length > 0)
    status = bt_fail(error, BT_NOTFOUND, "%s", bt_text_get(&lost));
  else if (status == BT_OK)
    status = bt_fail(error, BT_NOTFOUND,
                     "there is no episode %s; `beamtally signals` lists them, and a correction or "
                     "a new baseline can end one",
                     digits);
  bt_text_free(&lost);
  return status;
}
