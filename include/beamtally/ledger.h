/* The ledger room: one SQLite file that holds the whole record, append-only and chained.
 *
 * Every change is an *entry*: an import, an event typed in, settings, a baseline. An entry's
 * SHA-256 covers the entry before it and the digests of what it brought; the last one, cut to 20
 * hex digits, is the *ledger state* that reports print. One transaction an entry: the ledger is
 * either before or after, never between.
 *
 * Nothing here reads the clock: `now` is handed in. Ownership: a ledger and an import are owned by
 * whoever opened them; histories, settings and lists go with their free functions. */
#ifndef BEAMTALLY_LEDGER_H
#define BEAMTALLY_LEDGER_H

#include "beamtally/base.h"
#include "beamtally/record.h"
#include "beamtally/series.h"
#include "beamtally/setup.h"

typedef struct bt_ledger bt_ledger;
typedef struct bt_import bt_import;

typedef enum bt_ledger_mode {
  BT_LEDGER_READ,  /* must exist */
  BT_LEDGER_WRITE, /* must exist */
  BT_LEDGER_CREATE /* made when it isn't there, and taken away when it's closed with no entry */
} bt_ledger_mode;

/* Opens a ledger defensively. A file that isn't one, or is of a newer version, is BT_REFUSED; one
 * that is damaged, or whose schema is not ours, BT_DAMAGED; a missing or empty (0 bytes) one
 * BT_NOTFOUND; one that this person may not read or write BT_SYSTEM: each with its sentence.
 * Writers wait for each other for 10 seconds, then fail with a sentence. A ledger is used by one
 * thread at a time.
 *
 * A ledger of an older version is brought to today's, in all modes, as an entry of its own, after a
 * copy of it was made beside it; where that can't be written, BT_SYSTEM says what to do. */
bt_status bt_ledger_open(const char *path, bt_ledger_mode mode, bt_ledger **ledger,
                         bt_error *error) BT_MUST_CHECK;

/* Opens for reading also a ledger whose triggers another program took away, so that
 * bt_ledger_verify can say what was edited then; nothing else may be done with it. */
bt_status bt_ledger_open_unguarded(const char *path, bt_ledger **ledger,
                                   bt_error *error) BT_MUST_CHECK;

/* What the opening of a ledger of an older version left beside it. */
typedef struct bt_migration {
  const char *copy;      /* path of the ledger as it was; NULL: nothing was brought up to date */
  bool copy_was_there;   /* made whole by a migration that was killed after it */
  int64_t parts_removed; /* unfinished copies of migrations that were killed */
} bt_migration;

/* Paths are borrowed. */
bt_migration bt_ledger_migrated(const bt_ledger *ledger);
void bt_ledger_close(bt_ledger *ledger);

/* ---- Writing --------------------------------------------------------------------------------- */

/* That a file is to be read again in another way, and by whom and why. */
typedef struct bt_again {
  const char *by, *why;
  const char *instead_of; /* or that it takes the place of another, which was mended: the name of
                             that one, or the first digits of its SHA-256; NULL: its own */
} bt_again;

/* Begins the entry of one source. When this very file was imported before: last read in the same
 * way, *repeated is true and there is nothing more to do (*import is NULL); read in another way,
 * BT_REFUSED, unless `again` is given: then its rows supersede those of the earlier imports of that
 * file (but not what a person has corrected or settled since) in this one entry, and those of their
 * conflicts that nobody has settled are closed. A file that was read in the same way is none the
 * less *repeated no more once checks or events of its units were read again from another file after
 * it: what it attests may be gone, and comes back. A file in whose place a mended one was put is
 * *repeated. With `again->instead_of` the rows of that file are superseded, and the conflicts
 * closed, in place of its own; BT_NOTFOUND and BT_USAGE where that names no file, or several.
 * `new_units`: unit names not yet in the ledger are taken; without it, in a ledger that has units,
 * a check or event of a unit that is neither there nor named in the settings in force is BT_REFUSED
 * with the nearest name, when the import is committed: all such names are told at once. A ledger
 * has one import at a time (BT_USAGE); until its end nothing else can be written. The source's
 * texts are read only here. */
bt_status bt_import_begin(bt_ledger *ledger, const bt_source *source, const bt_again *again,
                          bool new_units, bt_time now, bt_import **import, bool *repeated,
                          bt_error *error) BT_MUST_CHECK;

/* Checks and events may come in any order; those of one unit and time are numbered in the order in
 * which they come. BT_INPUT for what no record can hold (a reading that isn't finite, say). After a
 * failure of any of these three the import can't be committed any more. */
bt_status bt_import_check(bt_import *import, const bt_check *check, bt_error *error) BT_MUST_CHECK;
bt_status bt_import_event(bt_import *import, const bt_event *event, bt_error *error) BT_MUST_CHECK;
bt_status bt_import_refusal(bt_import *import, const bt_refusal *refusal,
                            bt_error *error) BT_MUST_CHECK;

/* Whether a log of the same name had that refused line before: same number, column and reason.
 * *first is then when that was for the first time. To be asked in the order of lines, once each. */
bt_status bt_import_refused_before(bt_import *import, const bt_refusal *refusal, bool *before,
                                   bt_time *first, bt_error *error) BT_MUST_CHECK;

/* Compares with what the ledger holds (per unit and time, as multisets of readings), stores what is
 * new, commits and frees the import. Compared is what logs and people put in, corrected or
 * withdrawn records too, so that an export that still holds the old reading brings no conflict, nor
 * one that was mended as well. What was read again in another way is not. What a conflict
 * was settled against is known as well. On failure nothing is stored; the import is freed as well.
 * Within one source all checks are kept. Remark, operator and line don't count in the comparison.
 * Where ledger and source contradict each other, all the source's rows of that unit and time are
 * held back. A file that comes again is met more kindly: where its row holds less than one that
 * stands, and nothing else, the row is known; where it holds more, and is read `again`, it takes
 * that one's place. A text that a person had removed from a check or event of that unit and time is
 * not stored again. Events are compared by unit, time and kind, as multisets too. A source that
 * brings nothing new is an entry all the same. */
bt_status bt_import_commit(bt_import *import, bt_import_counts *counts,
                           bt_error *error) BT_MUST_CHECK;

/* Names of other logs, imported before and of the same units, that held rows which the ledger had
 * already: after a file was read again they may attest what it no longer does, and should be
 * imported again. Owned (bt_names_free). */
bt_status bt_ledger_attesting(bt_ledger *ledger, const bt_source *source, char ***names, size_t *n,
                              bt_error *error) BT_MUST_CHECK;

/* Checks of a file that another log has with the same readings for that unit and day, the one with
 * a time of day and the other without. */
typedef struct bt_doubled {
  int64_t n;    /* days' rows without a time of day that have such a one; 0: none */
  bool without; /* those without are of this file */
  char *other;  /* what bt_again.instead_of names the other log by: the one with most. Owned */
} bt_doubled;

/* Of the last import of that file, among the checks that stand from the day of `oldest` to
 * `newest`. The clinic's own readings and texts don't count. `doubled->other` is to be freed. */
bt_status bt_ledger_doubled(bt_ledger *ledger, const bt_source *source, bt_time oldest,
                            bt_time newest, bt_doubled *doubled, bt_error *error) BT_MUST_CHECK;

/* Nothing of the import is stored. Frees it; accepts NULL. */
void bt_import_abandon(bt_import *import);

/* Each of these is one entry of its own. `by` and `why` must not be empty where asked for
 * (BT_USAGE). An event that is *known, with its note if it has one, adds no entry; a further note
 * of one that is there is stored as an event of its own. One of an unseen unit is BT_REFUSED with
 * the nearest name, unless new_unit. */
bt_status bt_ledger_add_event(bt_ledger *ledger, const bt_event *event, bool new_unit,
                              const char *by, bt_time now, bool *known,
                              bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_add_settings(bt_ledger *ledger, const bt_settings *settings, const char *by,
                                 const char *why, bt_time now, bt_error *error) BT_MUST_CHECK;

/* A baseline to be stored, with its by and why and what was left out of it; *version is set. */
typedef struct bt_new_baseline {
  const bt_baseline *baseline; /* borrowed, as the exclusions */
  const bt_baseline_exclusion *exclusions;
  size_t exclusions_n;
  int64_t version;
} bt_new_baseline;

/* Stores frozen baselines, each in an entry of its own as the next version of its unit and
 * characteristic; all of them or none. A key of the clinic's own must stand in the settings in
 * force. */
bt_status bt_ledger_add_baselines(bt_ledger *ledger, const char *unit, bt_new_baseline *wanted,
                                  size_t n, bt_time now, bt_error *error) BT_MUST_CHECK;

/* One check typed in by hand. *known: the ledger has one of that unit and time with the same
 * readings, and nothing was added; other readings at that very time are BT_REFUSED (correct it
 * instead). */
bt_status bt_ledger_add_check(bt_ledger *ledger, const bt_check *check, bool new_unit,
                              const char *by, bt_time now, bool *known,
                              bt_error *error) BT_MUST_CHECK;

/* ---- Corrections ----------------------------------------------------------------------------- */

/* The check of that unit, time and sequence as it stands, not superseded; its texts and arrays are
 * owned (bt_check_free). Without has_sequence there must be only one at that time, else BT_USAGE
 * says which there are. BT_NOTFOUND names the nearest time that has one. */
bt_status bt_ledger_find_check(bt_ledger *ledger, const char *unit, bt_time time, bool has_sequence,
                               int32_t sequence, bt_check *check, bt_error *error) BT_MUST_CHECK;

/* Puts `replacement` in the place of a check that stands, or (NULL) withdraws it, in one entry. The
 * old record stays. The replacement's unit may be another known one and its time another; it is
 * numbered anew. BT_USAGE when nothing would change. */
bt_status bt_ledger_correct_check(bt_ledger *ledger, const char *unit, bt_time time,
                                  int32_t sequence, const bt_check *replacement, const char *by,
                                  const char *why, bt_time now, bt_error *error) BT_MUST_CHECK;

/* The same for an event, by the ledger's number. */
bt_status bt_ledger_find_event(bt_ledger *ledger, int64_t number, bt_event *event,
                               bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_correct_event(bt_ledger *ledger, int64_t number, const bt_event *replacement,
                                  const char *by, const char *why, bt_time now,
                                  bt_error *error) BT_MUST_CHECK;

/* Records that say the same text as one that is to be removed, beyond that one and its history. */
typedef struct bt_text_holders {
  int64_t checks, events; /* that stand */
  int64_t past;           /* that no longer stand, or are held back */
  int64_t logs;           /* files that they came from */
  bool typed;             /* some were typed in */
} bt_text_holders;

/* "2 further checks and 1 further event (of 1 log)" */
void bt_say_text_holders(const bt_text_holders *holders, bt_text *out);

/* How a text is removed: `only_count` removes nothing, but finds out, and refuses, all the same;
 * `everywhere`: from further records too. */
typedef struct bt_removal {
  bool only_count, everywhere;
} bt_removal;

/* Removes the body and salt of one text for good: of a check's field, or of an event's note. The
 * digests stay true, since the text's own digest is kept. A text is known by its bytes: what is
 * removed is nowhere in the ledger any more. *further: the records beyond the named one and its
 * history that say it too; where there are some, BT_REFUSED unless `everywhere`. BT_NOTFOUND when
 * there is no text; BT_REFUSED as well when `why` repeats the text, or a word of it that may be a
 * name (a capital, four letters or more). */
bt_status bt_ledger_redact_check(bt_ledger *ledger, const char *unit, bt_time time,
                                 int32_t sequence, bt_text_field field, const char *by,
                                 const char *why, bt_time now, bt_removal how,
                                 bt_text_holders *further, bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_redact_event(bt_ledger *ledger, int64_t number, const char *by, const char *why,
                                 bt_time now, bt_removal how, bt_text_holders *further,
                                 bt_error *error) BT_MUST_CHECK;

/* Corrections that concern the unit (all units when NULL), in order of their entry. */
bt_status bt_ledger_corrections(bt_ledger *ledger, const char *unit, bt_correction **corrections,
                                size_t *n, bt_error *error) BT_MUST_CHECK;

/* ---- Refused lines --------------------------------------------------------------------------- */

/* A refused line, by the columns `source` and `number` of the table of refused lines. */
typedef struct bt_refused_place {
  int64_t source, number;
} bt_refused_place;

/* Leaves out n refused lines that nobody can mend, in one entry: they stay on record, and neither
 * they nor the same lines of later states of their log wait for anybody. BT_NOTFOUND; BT_REFUSED
 * where one is refused no more, was left out before or is named twice. */
bt_status bt_ledger_leave_out(bt_ledger *ledger, const bt_refused_place *lines, size_t n,
                              const char *by, const char *why, bt_time now,
                              bt_error *error) BT_MUST_CHECK;

/* ---- Conflicts ------------------------------------------------------------------------------- */

/* Conflicts that concern the unit (all units when NULL), settled ones too, in order of unit and
 * time. */
bt_status bt_ledger_conflicts(bt_ledger *ledger, const char *unit, bt_conflict **conflicts,
                              size_t *n, bt_error *error) BT_MUST_CHECK;

/* Settles n of them, each in an entry of its own, all or none: OLD leaves what stands, NEW puts the
 * rows held back in its place, BOTH adds those of them that what stands lacks. ids: 8 digits each,
 * or as many of the first as no other conflict has. BT_NOTFOUND, BT_REFUSED when one was settled
 * before. */
bt_status bt_ledger_settle(bt_ledger *ledger, const char *const *ids, size_t n, bt_keep keep,
                           const char *by, const char *why, bt_time now,
                           bt_error *error) BT_MUST_CHECK;

/* ---- Dispositions, issued reports ------------------------------------------------------------ */

/* First 8 hex digits of the SHA-256 of the episode's canonical form: the unit's name, folded, the
 * characteristic's key, time and sequence of its first signalling point. */
bt_status bt_episode_id(const char *unit, const char *characteristic, bt_time at, int32_t sequence,
                        char id[BT_ID_DIGITS + 1], bt_error *error) BT_MUST_CHECK;

/* The disposition's by, cause and action must not be empty; its `at` is now. */
bt_status bt_ledger_add_disposition(bt_ledger *ledger, const char *unit,
                                    const bt_disposition *disposition, bt_time now,
                                    bt_error *error) BT_MUST_CHECK;

/* Those of a unit that were entered before `until`, in order of their entry. */
bt_status bt_ledger_dispositions(bt_ledger *ledger, const char *unit, bt_time until,
                                 bt_disposition **dispositions, size_t *n,
                                 bt_error *error) BT_MUST_CHECK;

/* Appends an issued report: its number is the next revision of its unit and month, its state that
 * of the ledger before. Both are set in *issued. BT_REFUSED when the ledger's state is no longer
 * issued->state, the one that the PDF prints, or bt_ledger_still_whole refuses. */
bt_status bt_ledger_add_issued(bt_ledger *ledger, bt_issued *issued, bt_time now,
                               bt_error *error) BT_MUST_CHECK;

/* Where a file stands among the issued reports. */
typedef struct bt_issued_place {
  int64_t entry;   /* by which it was issued */
  int64_t before;  /* entry after which the ledger had the state that it prints; 0: none has it */
  int64_t later;   /* later revisions of its unit and month */
  int64_t reports; /* that were issued from this ledger; said for a file that is none of them too */
} bt_issued_place;

/* The report whose PDF has that SHA-256: an owned list of 1. BT_NOTFOUND when none has. Says
 * nothing of the chain itself: verify it first. */
bt_status bt_ledger_find_issued(bt_ledger *ledger, const unsigned char *sha256, bt_issued **issued,
                                bt_issued_place *place, bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_issued(bt_ledger *ledger, const char *unit, bt_time month, bt_issued **issued,
                           size_t *n, bt_error *error) BT_MUST_CHECK;

/* ---- Reading --------------------------------------------------------------------------------- */

/* Names of all units, in the order in which they came. */
bt_status bt_ledger_units(bt_ledger *ledger, char ***names, size_t *n,
                          bt_error *error) BT_MUST_CHECK;
void bt_names_free(char **names, size_t n);

/* The unit's name as the ledger has it, owned; BT_NOTFOUND with the nearest name. */
bt_status bt_ledger_find_unit(bt_ledger *ledger, const char *name, char **found,
                              bt_error *error) BT_MUST_CHECK;

/* All checks and events of a unit with a time before `until` that stand (superseded ones don't), in
 * order of (time, sequence). BT_NOTFOUND for an unknown unit; BT_DAMAGED for a check, of whatever
 * time, that is not as its digest has it. */
bt_status bt_ledger_history(bt_ledger *ledger, const char *unit, bt_time until, bt_history *history,
                            bt_error *error) BT_MUST_CHECK;

/* The settings in force (the latest version); all defaults when there are none. */
bt_status bt_ledger_settings(bt_ledger *ledger, bt_settings *settings,
                             bt_error *error) BT_MUST_CHECK;

/* Frozen baselines of a unit and characteristic whose period had ended by `until`, in order of
 * their `from`. A later version of its derivation that begins on the same day or before takes a
 * baseline's place.
 * Those of a characteristic of the clinic's own are found by its key in the settings in force:
 * while these don't name it, they can't be asked for (BT_USAGE). Owned array. */
bt_status bt_ledger_baselines(bt_ledger *ledger, const char *unit, bt_characteristic characteristic,
                              bt_time until, bt_baseline **baselines, size_t *n,
                              bt_error *error) BT_MUST_CHECK;

/* The first baseline: the days that were frozen first of all (in order of the entries, not of the
 * days) for that derivation and had ended by `until`, with the numbers of the newest version of
 * exactly those days. So days that are frozen anew after a correction count as corrected, while no
 * baseline of other days, earlier, later or overlapping, ever takes the first one's place. version
 * 0: there is none. Owned (bt_baseline_free). */
bt_status bt_ledger_first_baseline(bt_ledger *ledger, const char *unit,
                                   bt_characteristic characteristic, int64_t derivation,
                                   bt_time until, bt_baseline *first,
                                   bt_error *error) BT_MUST_CHECK;

/* Counts for the footer and the data page: sources, checks, events, refused lines, conflicts that
 * concern the unit (all units when NULL), and the ledger state. A source concerns each unit that it
 * had rows of, known ones too; all its refused lines are counted with each of them, until the file
 * is read in another way (it stays one source), or a later log of its name held again all rows that
 * went in from it: that one tells which lines are still refused. */
bt_status bt_ledger_provenance(bt_ledger *ledger, const char *unit, bt_provenance *provenance,
                               bt_error *error) BT_MUST_CHECK;

/* Numbers of the sources that had rows of the unit, known and held ones too, in rising order; what
 * was typed in is a source as well. Owned array. */
bt_status bt_ledger_unit_sources(bt_ledger *ledger, const char *unit, int64_t **numbers, size_t *n,
                                 bt_error *error) BT_MUST_CHECK;

/* Time of the last entry: the creation date of what is made from the ledger. BT_NOTFOUND when
 * nothing was entered yet. */
bt_status bt_ledger_last_entry(bt_ledger *ledger, bt_time *at, bt_error *error) BT_MUST_CHECK;

/* Sources with rows of the unit, their refused lines, all versions of the settings, the unit's
 * frozen baselines, and the entries after number `after` that concern the unit. Owned
 * (bt_book_free). */
bt_status bt_ledger_book(bt_ledger *ledger, const char *unit, int64_t after, bt_book *book,
                         bt_error *error) BT_MUST_CHECK;

/* From now on histories, settings, baselines, dispositions and corrections, a unit's sources, and
 * of the tables those of checks, events, held rows, refusals, sources and dispositions are read as
 * they stood after that entry; 0: as they are. Texts that were removed since are gone all the same;
 * provenance and all that writes see the ledger of today. */
void bt_ledger_as_of(bt_ledger *ledger, int64_t entry);

/* ---- Everything, for an export --------------------------------------------------------------- */

/* Tables of an export: X(ID, file name without ending). What holds checks or events has the
 * canonical columns, so that an import takes it as it is. */
#define BT_TABLES(X)                                                                               \
  X(CHECKS, checks)                                                                                \
  X(EVENTS, events)                                                                                \
  X(SUPERSEDED_CHECKS, superseded_checks) /* with what became of each, when, by whom, why */       \
  X(SUPERSEDED_EVENTS, superseded_events)                                                          \
  X(HELD, held_back)                                                                               \
  X(REFUSALS, refused_lines)                                                                       \
  X(SOURCES, sources)                                                                              \
  X(SETTINGS, settings)                                                                            \
  X(TOLERANCES, tolerances)                                                                        \
  X(UNITS, units)                                                                                  \
  X(OWN_CHARACTERISTICS, own_characteristics)                                                      \
  X(BASELINES, baselines)                                                                          \
  X(DISPOSITIONS, dispositions)                                                                    \
  X(ISSUED, issued_reports)                                                                        \
  X(REMOVED_TEXTS, removed_texts)                                                                  \
  X(UNIT_SOURCES, unit_sources)                                                                    \
  X(ENTRIES, entries)

typedef enum bt_table {
#define X(ID, name) BT_TABLE_##ID,
  BT_TABLES(X)
#undef X
      BT_TABLE_COUNT
} bt_table;

/* "checks", "events" ... */
const char *bt_table_name(bt_table table);

/* Hands out all rows of a table, in a fixed order. The names and cells live until the sink
 * returns. */
bt_status bt_ledger_table(bt_ledger *ledger, bt_table table, const bt_table_sink *sink,
                          bt_error *error) BT_MUST_CHECK;

/* ---- Verifying and copying ------------------------------------------------------------------- */

/* Called many times a second while the ledger is read or written; must not use the ledger. */
typedef struct bt_watcher {
  void (*tick)(void *context);
  void *context;
} bt_watcher;

/* From now on; NULL: no longer. The watcher, borrowed, must live until then, or till the ledger is
 * closed. */
void bt_ledger_watch(bt_ledger *ledger, bt_watcher *watcher);

/* What was looked at. */
typedef struct bt_verification {
  int64_t entries, checks, held, events, removed_texts;
  char state[21];      /* ledger state, 20 hex digits */
  bt_time last;        /* date of the last entry; no time for entry 1 */
  int64_t backward;    /* entries dated before the entry before them */
  int64_t backward_at; /* the first of them, 0 without any; its date and that of the one before: */
  bt_time backward_date, backward_before;
} bt_verification;

/* Computes every digest and the chain of entries anew, as one moment of the ledger has them, after
 * SQLite's own checks. BT_DAMAGED names the first difference: a check by unit, time, source and
 * line, or an entry. What was edited together with all digests after it does not show: the state
 * that a report printed does that (bt_ledger_find_state). */
bt_status bt_ledger_verify(bt_ledger *ledger, bt_verification *found,
                           bt_error *error) BT_MUST_CHECK;

/* For whoever reads: all that the ledger holds beside the readings of single checks is as it was
 * entered, and no check was taken out; what bt_ledger_history and the other readers of checks hand
 * out they hold to its digest themselves. BT_DAMAGED names the first entry or record that differs.
 * Takes a fifth to a quarter of a verification's time. */
bt_status bt_ledger_hold_entries(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* For papers that people sign: verifies, unless that was done on this ledger and nobody else has
 * written into its file since. Then what is read is what was verified as long as
 * bt_ledger_still_whole says so: else BT_REFUSED, something was written meanwhile, whether or not
 * it was taken back. */
bt_status bt_ledger_hold_whole(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;
bt_status bt_ledger_still_whole(bt_ledger *ledger, bt_error *error) BT_MUST_CHECK;

/* Where a printed state stands in the chain. */
typedef struct bt_state_place {
  int64_t entry; /* number of the entry that it was the state after; 1 is the empty ledger */
  bt_time at;    /* when it was entered; no time for entry 1 */
  int64_t after; /* entries that came since */
} bt_state_place;

/* digits: 20 hex digits, blanks between them allowed (else BT_USAGE). BT_NOTFOUND when no entry has
 * that state. Says nothing of the chain itself: verify it first. */
bt_status bt_ledger_find_state(bt_ledger *ledger, const char *digits, bt_state_place *place,
                               bt_error *error) BT_MUST_CHECK;

/* What a folder has under the name of a source. */
typedef enum bt_at_hand {
  BT_AT_HAND_SAME,      /* the file with the source's SHA-256 */
  BT_AT_HAND_DIFFERENT, /* a file that no import ever took in under that name */
  BT_NOT_AT_HAND        /* nothing that can be read, or the file of another source of that name */
} bt_at_hand;

typedef struct bt_source_file {
  char *name;
  bt_at_hand at_hand;
} bt_source_file;

/* Hashes them: one for each file that was imported, in order of their names. Owned list. */
bt_status bt_ledger_compare_files(bt_ledger *ledger, const char *folder, bt_source_file **files,
                                  size_t *n, bt_error *error) BT_MUST_CHECK;
void bt_source_files_free(bt_source_file *files, size_t n);

/* Copies the ledger into an empty file, as one moment has it, and verifies the copy. On failure
 * what the file holds is no ledger to use. */
bt_status bt_ledger_copy(bt_ledger *ledger, const char *path, bt_verification *found,
                         bt_error *error) BT_MUST_CHECK;

#endif
