/* The base room: error text, checked allocation, growing text, passing files, civil time,
 * encodings.
 *
 * Ownership: a pointer that a function returns is borrowed unless its comment says "owned"; an
 * out-pointer is owned by the caller. Every free function accepts NULL or a zeroed value. */
#ifndef BEAMTALLY_BASE_H
#define BEAMTALLY_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A status that the caller must not drop. */
#define BT_MUST_CHECK        __attribute__((warn_unused_result))
#define BT_PRINTF(at, first) __attribute__((format(printf, at, first)))

/* ---- Errors ---------------------------------------------------------------------------------- */

typedef enum bt_status {
  BT_OK = 0,
  BT_INPUT,    /* what was read is wrong: a log, a map, a setting */
  BT_USAGE,    /* what was asked for is wrong */
  BT_REFUSED,  /* could be done, but must not be without a person's word */
  BT_NOTFOUND, /* a unit, characteristic, file or period that isn't there */
  BT_SYSTEM,   /* the operating system or a library failed: disk, permission, lock */
  BT_DAMAGED,  /* a ledger or folder that is not as it was written */
  BT_MEMORY    /* no memory */
} bt_status;

/* A status with its sentence: what, where, what to do. Bounded, so that reporting never fails. */
typedef struct bt_error {
  bt_status status;
  char text[1024];
} bt_error;

/* Sets *error (which may be NULL) and returns status, so that a caller can `return bt_fail(...)`.
 * The sentence ends without a newline and is cut, at a whole UTF-8 character, at its bound. Bytes
 * that are no UTF-8, and control characters, become question marks. */
bt_status bt_fail(bt_error *error, bt_status status, const char *format, ...)
    BT_PRINTF(3, 4) BT_MUST_CHECK;

/* Puts "prefix: " (file and line, say) before the sentence of *error. */
void bt_error_prefix(bt_error *error, const char *format, ...) BT_PRINTF(2, 3);

/* bt_fail with BT_MEMORY and its sentence. */
bt_status bt_fail_memory(bt_error *error) BT_MUST_CHECK;

/* ---- Memory ---------------------------------------------------------------------------------- */

/* count zeroed items of size bytes, owned; NULL without memory or when the product overflows.
 * count 0 gives a pointer that can be freed. */
void *bt_new(size_t count, size_t size) BT_MUST_CHECK;

/* A copy of a C string, owned; NULL without memory, or when text is NULL. */
char *bt_copy(const char *text) BT_MUST_CHECK;

/* Makes *array hold at least `needed` items of `size` bytes, growing by half as much again; new
 * items are zeroed. *capacity is updated. False without memory: *array stays as it was. */
bool bt_grow(void *array, size_t *capacity, size_t needed, size_t size) BT_MUST_CHECK;

/* ---- Growing text ---------------------------------------------------------------------------- */

/* Text that grows by appending. A failed append is remembered: append as often as you like, and
 * check bt_text_ok once. A zeroed bt_text is empty and valid. */
typedef struct bt_text {
  char *data; /* NUL-terminated, owned; NULL while empty */
  size_t length;
  size_t capacity;
  bool failed;
} bt_text;

void bt_text_add(bt_text *text, const char *piece);
void bt_text_add_bytes(bt_text *text, const char *bytes, size_t length);
void bt_text_format(bt_text *text, const char *format, ...) BT_PRINTF(2, 3);
/* The word as a POSIX shell takes it: in single quotes where it holds more than plain letters. */
void bt_text_add_shell_word(bt_text *text, const char *word);
void bt_text_clear(bt_text *text); /* empties, keeps the memory; a failure stays */
void bt_text_free(bt_text *text);
bool bt_text_ok(const bt_text *text) BT_MUST_CHECK;

/* "1a2b 3c4d ...": up to 64 digits in groups of four, as people read them off paper; returns
 * `grouped`. */
enum { BT_IN_FOURS_TEXT = 80 };
const char *bt_in_fours(const char *digits, char grouped[BT_IN_FOURS_TEXT]);

/* Nothing was to be appended. False after a failure: whoever leaves out what is empty must not
 * leave out what there was no memory for. */
bool bt_text_empty(const bt_text *text) BT_MUST_CHECK;
const char *bt_text_get(const bt_text *text); /* "" while empty, borrowed until the next append */
char *bt_text_take(bt_text *text) BT_MUST_CHECK; /* owned string, NULL after a failure; empties */

/* ---- Names and paths ------------------------------------------------------------------------- */

/* True when text[0..length) is well-formed UTF-8 without NUL. */
bool bt_utf8_valid(const char *text, size_t length);

/* True when two names are the same but for case (A-Z and the Latin, Greek and Cyrillic letters of
 * Europe), for blanks at the ends, and for letters with marks being one code point or several. */
bool bt_same_name(const char *a, const char *b);

/* True when the name, folded, holds that part, which is folded already. */
bool bt_name_has(const char *name, const char *part);

/* Without blanks at the ends and in lower case, owned; NULL without memory. Ledgers hold it and
 * digests come from it, so that letters with marks stay as they are written: names that are the
 * same to bt_same_name may have two such forms. */
char *bt_fold_name(const char *name) BT_MUST_CHECK;

/* Number of edits (insert, delete, replace, swap of neighbours) between two names, folded; for
 * "did you mean". At most 64 bytes of each are compared. */
size_t bt_name_distance(const char *a, const char *b);

/* The folder of a file's path, owned: "." where it names none, "/" for the root; NULL without
 * memory. */
char *bt_folder_of(const char *path) BT_MUST_CHECK;

/* ---- Passing files --------------------------------------------------------------------------- */

/* A file or folder that is made under a passing name, until it is whole and gets its own, stands in
 * a list, and what stands there goes when the program is ended by a signal (src/cli/ended.c). No
 * signal gets between its making and its entry. One thread makes them all. */

/* Makes a file, opens it for writing and enters it; its descriptor, or -1 and errno: EEXIST where
 * something of that name is there. */
int bt_passing_file(const char *path) BT_MUST_CHECK;

/* The same of a folder; false and errno. What is made in it has to be entered after it. */
bool bt_passing_folder(const char *path) BT_MUST_CHECK;

/* The same by a name that nothing has: the XXXXXX that `pattern` ends with are replaced. */
bool bt_passing_new_folder(char *pattern) BT_MUST_CHECK;

/* Makes a file by such a name, open for reading and writing, and takes the name away at once: it
 * goes with its descriptor. -1 and errno. */
int bt_passing_nameless(char *pattern) BT_MUST_CHECK;

/* Enters the name that a file will have which something else makes; false and errno. */
bool bt_passing_note(const char *path) BT_MUST_CHECK;

/* Gives a file a second name, never over another, which is entered with it: for one that counts
 * only once something else says so. -1 and errno. */
int bt_passing_link(const char *from, const char *to) BT_MUST_CHECK;

/* It has its own name, or was removed; with all that was in it. */
void bt_passing_forget(const char *path);

/* Removes all that stand in the list. For a signal's handler, in the thread that makes them. */
void bt_passing_remove(void);

/* ---- Civil time ------------------------------------------------------------------------------ */

/* Seconds since 1970-01-01T00:00:00 on the clinic's wall clock, as written: no zone, no
 * conversion, so that output never depends on where it is made. */
typedef int64_t bt_time;

#define BT_MINUTE ((bt_time)60)
#define BT_HOUR   ((bt_time)3600)
#define BT_DAY    ((bt_time)86400)

typedef struct bt_civil {
  int year, month, day; /* month and day from 1 */
  int hour, minute, second;
} bt_civil;

/* False when the fields are no date of the proleptic Gregorian calendar (years 1 to 9999) or no
 * time of day; 24:00 and leap seconds are refused. */
bool bt_civil_valid(const bt_civil *civil);

bt_time bt_time_of(const bt_civil *civil); /* civil must be valid */
bt_civil bt_civil_of(bt_time time);

/* Days since 1970-01-01, rounded towards the past. */
int64_t bt_day_of(bt_time time);

/* 1 Monday .. 7 Sunday (ISO 8601). */
int bt_weekday_of(bt_time time);

/* First moment of the month of `time`, moved by `months`. */
bt_time bt_month_start(bt_time time, int months);

/* Reads YYYY-MM-DD, YYYY-MM-DDTHH:MM or YYYY-MM-DDTHH:MM:SS (a blank may stand for T). True when
 * the whole of text is one; *has_clock (may be NULL) tells whether it had a time of day. */
bool bt_time_parse(const char *text, bt_time *time, bool *has_clock) BT_MUST_CHECK;

/* Room for any form below with its NUL. */
enum { BT_TIME_TEXT = 40 };

/* Each writes into buffer (BT_TIME_TEXT bytes) and returns it.
 * iso: 2026-08-17T08:05, with :SS only where seconds are not zero, the day alone without clock;
 * day: 17 August 2026; short_day: 17 Aug; month: August 2026. Words are English, always. */
const char *bt_time_iso(bt_time time, bool has_clock, char *buffer);
const char *bt_time_day_iso(bt_time time, char *buffer);
const char *bt_time_day(bt_time time, char *buffer);
const char *bt_time_short_day(bt_time time, char *buffer);
const char *bt_time_month(bt_time time, char *buffer);

/* ---- Encodings ------------------------------------------------------------------------------- */

/* A converter from one encoding ("UTF-16LE", "WINDOWS-1252", ...) to UTF-8, over glibc's iconv. */
typedef struct bt_decoder bt_decoder;

bt_status bt_decoder_open(const char *encoding, bt_decoder **decoder,
                          bt_error *error) BT_MUST_CHECK;
void bt_decoder_close(bt_decoder *decoder);

/* Converts bytes and appends them to *out. A sequence cut at the end is kept for the next call;
 * with `last` true it is an error, as is a sequence that isn't of the encoding (BT_INPUT). */
bt_status bt_decoder_feed(bt_decoder *decoder, const char *bytes, size_t length, bool last,
                          bt_text *out, bt_error *error) BT_MUST_CHECK;

#endif
