/* Runs the built program from tests, and other programs over what it wrote.
 *
 * Each test has a fresh temporary folder whose name holds a blank; nothing goes through a shell. A
 * failure in here (and any report of a sanitizer) fails the test at once. */
#ifndef CLI_TEST_PROGRAM_H
#define CLI_TEST_PROGRAM_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <sys/resource.h>

/* The program's clock in these tests, 2026-10-01T08:00: the day after the demo's last check. */
#define TEST_NOW "1790841600"

/* How a run differs from a plain one in a folder; zeroed fields ask for nothing. */
typedef struct run_setting {
  const char *folder;             /* working folder */
  const char *executable;         /* instead of the program under test */
  const char *input;              /* file on standard input; else nothing to read */
  const char *output;             /* where standard output goes; else it is captured */
  const char *error;              /* the same of standard error */
  const char *const *environment; /* "NAME=value" over the usual ones, ended by NULL */
  rlim_t file_limit;              /* largest file that may be written, bytes */
  bool may_give_up;               /* it may say that a library gave up; else that fails the test */
  bool as_nobody;     /* with the rights of nobody, where the test itself runs as root */
  long kill_after_us; /* killed after so many microseconds, if it still runs */
  unsigned seconds;   /* of processor time, and six times that by the clock: then it is ended */
} run_setting;

/* What came of it. `status` is the exit status, or the negated number of the signal. */
typedef struct run_result {
  int status;
  char *out, *err; /* NUL-terminated */
  size_t out_n;
} run_result;

/* Exit statuses of the program. */
enum { DONE, FAILED, USAGE, ATTENTION };

/* words: the arguments, ended by NULL. The result is freed by run_free. */
run_result run_with(const run_setting *setting, const char *const *words);
void run_free(run_result *result);

/* A plain run in a folder, and one that must exit 0; the latter returns its standard output. */
#define RUN(folder, ...)      run_plain((folder), (const char *const[]){__VA_ARGS__, NULL})
#define RUN_DONE(folder, ...) run_done((folder), (const char *const[]){__VA_ARGS__, NULL})
run_result run_plain(const char *folder, const char *const *words);
char *run_done(const char *folder, const char *const *words);

/* A run that must end with that status and say this, on either stream. */
#define MUST_BE(folder, status, said, ...)                                                         \
  run_must_be((folder), (status), (said), (const char *const[]){__VA_ARGS__, NULL})
void run_must_be(const char *folder, int status, const char *said, const char *const *words);

/* The same, which must say all of WORDS. */
#define WORDS(...) ((const char *const[]){__VA_ARGS__, NULL})
#define MUST_SAY(folder, status, said, ...)                                                        \
  run_must_say((folder), (status), said, (const char *const[]){__VA_ARGS__, NULL})
void run_must_say(const char *folder, int status, const char *const *said,
                  const char *const *words);

/* Runs another program, which must end with that status; its standard output, owned. TOOL: one of
 * /usr/bin that must exit 0. */
#define TOOL(folder, name, ...)                                                                    \
  tool_with((folder), "/usr/bin/" name, DONE, (const char *const[]){__VA_ARGS__, NULL})
char *tool_with(const char *folder, const char *path, int status, const char *const *words);

/* A PDF's text, owned, with its line ends as blanks: words are looked for however they are wrapped.
 * Of its page `page` alone; NULL: of all. */
char *pdf_words(const char *folder, const char *pdf, const char *page);

/* A fresh folder, owned; folder_end removes it with all that is in it, and frees. */
char *folder_begin(void);
void folder_end(char *folder);

/* "folder/name", owned. */
char *path_in(const char *folder, const char *name);
/* A file of sampledata, owned. */
char *sample(const char *name);

char *file_read(const char *path, size_t *n); /* owned, NUL-terminated */
void file_write(const char *path, const char *bytes, size_t n);
void file_put(const char *folder, const char *name, const char *text);
bool file_exists(const char *path);
void files_must_be_same(const char *one, const char *other);

/* The demo clinic's ledger, as "beamtally.sqlite" in that folder; and in a fresh one. */
void demo_into(const char *folder);
char *demo_folder(void);

/* Makes each run of blanks and line ends one space: what has been wrapped to lines reads on. */
void unwrap(char *text);

/* The ledger state that verify prints, in groups of four digits; owned. */
char *state_of(const char *folder);

/* analyse --format json of that ledger; `more` (may be NULL) are further words, ended by NULL. */
json_t *analysis_of(const char *folder, const char *unit, const char *characteristic,
                    const char *const *more);

/* All units and characteristics of the demo as one text, for comparing ledgers; owned. */
char *all_of_demo(const char *folder);

/* Fields of a JSON object that must be there and of that kind. */
double number_of(const json_t *object, const char *key);
const char *text_of(const json_t *object, const char *key);

#endif
