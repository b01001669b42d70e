/* A reading is rewritten in the file and the chain computed anew, entry by entry, with every digest
 * and every SHA-256: such a ledger is whole by itself. What was printed before tells of it. */
#include "../unit/ledger/forge.h"
#include "program.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

static const char pdf[] = "out/room-1-2026-04-rev1.pdf";

/* A ledger with a report issued, an evidence folder made of it and an entry after them. */
static char *folder_with_papers(void) {
  static const char log[] = "date,time,unit,target_mj,energy_mj\n"
                            "2026-04-13,07:30,Room 1,1.61,1.605\n"
                            "2026-04-14,07:30,Room 1,1.61,1.25\n";
  char *folder = folder_begin(), *path = path_in(folder, "first.csv");
  file_write(path, log, strlen(log));
  free(path);
  free(RUN_DONE(folder, "import", "first.csv"));
  free(RUN_DONE(folder, "report", "--month", "2026-04", "--issue", "--by", "KL", "-o", "out"));
  free(RUN_DONE(folder, "evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "case"));
  free(
      RUN_DONE(folder, "event", "--unit", "Room 1", "--at", "2026-04-15", "--by", "KL", "service"));
  return folder;
}

/* The 24 characters of the state behind those words; owned. */
static char *state_in(char *said, const char *words) {
  char *at = strstr(said, words);
  cr_assert_not_null(at, "%s", said);
  char *state = strndup(at + strlen(words), 24);
  free(said);
  return state;
}

static void must_tell(const char *folder, int status, const char *words,
                      const char *const *command) {
  run_result result = run_plain(folder, command);
  cr_expect_eq(result.status, status, "status %d: %s", result.status, result.err);
  cr_expect_not_null(strstr(status == 0 ? result.out : result.err, words), "%s%s", result.out,
                     result.err);
  run_free(&result);
}
#define MUST_TELL(folder, status, words, ...)                                                      \
  must_tell((folder), (status), (words), (const char *const[]){__VA_ARGS__, NULL})

Test(forged, what_was_printed_before_shows_a_chain_computed_anew) {
  static const char not_there[] = "does not stand in this ledger's chain";
  char *folder = folder_with_papers(), *ledger = path_in(folder, "beamtally.sqlite");
  char *on_page = state_in(RUN_DONE(folder, "verify", pdf), "the state before it, ");
  char *on_case = state_in(RUN_DONE(folder, "verify", "case"), "that it lists); state ");
  char *last = state_in(RUN_DONE(folder, "verify"), "; state ");
  free(RUN_DONE(folder, "verify", "--state", on_page));
  free(RUN_DONE(folder, "verify", "--state", on_case));

  forge_reading(ledger, 3, 1.6, false);
  MUST_TELL(folder, 0, "whole: 4 entries, 2 checks, 1 event", "verify");
  MUST_TELL(folder, 1, not_there, "verify", "--state", on_page);
  MUST_TELL(folder, 1, not_there, "verify", "--state", on_case);
  MUST_TELL(folder, 1, not_there, "verify", "--state", last);
  MUST_TELL(folder, 1, "the chain was computed anew; use a backup", "verify", pdf);
  MUST_TELL(folder, 1, "the folder's ledger state does not stand in the ledger", "verify", "case");

  /* Also the states that the ledger says its reports print: those on the page are others. */
  forge_reading(ledger, 3, 1.61, true);
  MUST_TELL(folder, 0, "whole: 4 entries, 2 checks, 1 event", "verify");
  MUST_TELL(folder, 1, not_there, "verify", "--state", on_page);
  MUST_TELL(folder, 1, "the folder's ledger state does not stand in the ledger", "verify", "case");
  MUST_TELL(folder, 0,
            "hold these digits against those that the report prints: others there mean that the "
            "chain was computed anew since",
            "verify", pdf);
  char *claimed = state_in(RUN_DONE(folder, "verify", pdf), "the state before it, ");
  cr_expect_str_neq(claimed, on_page);
  free(claimed);
  free(on_page);
  free(on_case);
  free(last);
  free(ledger);
  folder_end(folder);
}
