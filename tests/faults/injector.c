/* Faults on demand, linked into a copy of the program (beamtally_faulty).
 *
 * BEAMTALLY_FAULT=KIND:N fails the Nth call of that kind, BEAMTALLY_FAULT=KIND:N+ the Nth and all
 * after it. Kinds: memory (allocations of our own code), sqlite_memory (those of SQLite), disk
 * (SQLite's writes, syncs, truncations and deletions), step (an SQL statement is interrupted), file
 * (opening, writing, syncing and renaming of files by our own code). At its end the program writes
 * how many calls of each kind there were, whether the fault came, and how many places there were
 * for a signal, to the file BEAMTALLY_FAULT_REPORT.
 *
 * BEAMTALLY_LATE=1 lets two seconds pass between any two looks at the running clock, so that what
 * shows progress after one second shows it, however quick the machine.
 *
 * BEAMTALLY_SIGNAL=NUMBER:N has the program hear that signal right after its Nth call that makes,
 * opens, brings to the disk, names or removes a file or folder: before the call comes back.
 *
 * A unit program that is linked with it asks for its faults by injector.h.
 *
 * The calls of our code are caught by the linker (--wrap); those of SQLite by its own hooks. */
#include "injector.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static const char *const kinds[] = {"memory", "sqlite_memory", "disk", "step", "file"};
enum { MEMORY, SQLITE_HEAP, DISK, STEP, FILES, KINDS };

enum { BROKEN = 97 }; /* exit status when the injector itself doesn't work */

static struct {
  int kind; /* KINDS: none */
  long nth;
  bool and_all_after;
  long calls[KINDS];
  bool came;
} fault = {.kind = KINDS};

static long asked_calls; /* of the kind last asked for, until fault_end */

static int kind_of(const char *name, size_t n) {
  for (int k = 0; k < KINDS; k++)
    if (strlen(kinds[k]) == n && strncmp(kinds[k], name, n) == 0)
      return k;
  return KINDS;
}

void fault_begin(const char *kind, long nth, bool and_all_after) {
  memset(fault.calls, 0, sizeof fault.calls);
  fault.came = false;
  fault.nth = nth;
  fault.and_all_after = and_all_after;
  fault.kind = kind_of(kind, strlen(kind));
}

bool fault_end(void) {
  asked_calls = fault.kind == KINDS ? 0 : fault.calls[fault.kind];
  fault.kind = KINDS;
  return fault.came;
}

long fault_calls(void) {
  return asked_calls;
}

/* Counts a call; true when it is to fail. */
static bool fails(int kind) {
  long call = ++fault.calls[kind];
  bool now = kind == fault.kind && (call == fault.nth || (fault.and_all_after && call > fault.nth));
  fault.came = fault.came || now;
  return now;
}

/* ---- The running clock ----------------------------------------------------------------------- */

int __real_clock_gettime(clockid_t clock, struct timespec *now);
int __wrap_clock_gettime(clockid_t clock, struct timespec *now);

int __wrap_clock_gettime(clockid_t clock, struct timespec *now) {
  static int looks;
  int result = __real_clock_gettime(clock, now);
  if (getenv("BEAMTALLY_LATE") != NULL)
    now->tv_sec += 2 * (time_t)looks;
  looks++;
  return result;
}

/* ---- Signals --------------------------------------------------------------------------------- */

static long file_calls;

/* Between two calls on files nothing is made that a signal could leave: these are all places. */
static void after_file_call(void) {
  static long nth;
  static int which = -1;
  int reason = errno;
  if (which < 0) {
    const char *asked = getenv("BEAMTALLY_SIGNAL");
    if (asked == NULL || sscanf(asked, "%d:%ld", &which, &nth) != 2)
      which = 0;
  }
  if (++file_calls == nth && which > 0)
    (void)raise(which);
  errno = reason;
}

/* ---- Memory of our own code ------------------------------------------------------------------ */

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
char *__real_strndup(const char *text, size_t n);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);
char *__wrap_strndup(const char *text, size_t n);

void *__wrap_malloc(size_t size) {
  return fails(MEMORY) ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size) {
  return fails(MEMORY) ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *old, size_t size) {
  return fails(MEMORY) ? NULL : __real_realloc(old, size);
}

char *__wrap_strndup(const char *text, size_t n) {
  return fails(MEMORY) ? NULL : __real_strndup(text, n);
}

/* ---- Files of our own code ------------------------------------------------------------------- */

/* With files of any size (_FILE_OFFSET_BITS, CMakeLists.txt) the C library's header has these calls
 * go to names that end in 64, and the linker wraps names. */

FILE *__real_fopen64(const char *path, const char *mode);
FILE *__real_fdopen(int descriptor, const char *mode);
size_t __real_fwrite(const void *bytes, size_t size, size_t n, FILE *stream);
int __real_ferror(FILE *stream);
int __real_fflush(FILE *stream);
int __real_fsync(int descriptor);
int __real_rename(const char *from, const char *to);
int __real_link(const char *from, const char *to);
int __real_mkdir(const char *path, mode_t mode);
int __real_open64(const char *path, int flags, ...);
int __real_unlink(const char *path);
int __real_mkstemp64(char *pattern);
char *__real_mkdtemp(char *pattern);
FILE *__wrap_fopen64(const char *path, const char *mode);
FILE *__wrap_fdopen(int descriptor, const char *mode);
size_t __wrap_fwrite(const void *bytes, size_t size, size_t n, FILE *stream);
int __wrap_ferror(FILE *stream);
int __wrap_fflush(FILE *stream);
int __wrap_fsync(int descriptor);
int __wrap_rename(const char *from, const char *to);
int __wrap_link(const char *from, const char *to);
int __wrap_mkdir(const char *path, mode_t mode);
int __wrap_open64(const char *path, int flags, ...);
int __wrap_unlink(const char *path);
int __wrap_mkstemp64(char *pattern);
char *__wrap_mkdtemp(char *pattern);

static bool file_fails(int reason) {
  if (!fails(FILES))
    return false;
  errno = reason;
  return true;
}

/* A stream to which a write failed says so ever after. */
static FILE *spoilt;

static FILE *fresh(FILE *stream) {
  if (stream == spoilt)
    spoilt = NULL;
  return stream;
}

FILE *__wrap_fopen64(const char *path, const char *mode) {
  return file_fails(EMFILE) ? NULL : fresh(__real_fopen64(path, mode));
}

FILE *__wrap_fdopen(int descriptor, const char *mode) {
  FILE *stream = file_fails(ENOMEM) ? NULL : fresh(__real_fdopen(descriptor, mode));
  after_file_call();
  return stream;
}

/* Words to standard error get through: what they say is looked at. */
size_t __wrap_fwrite(const void *bytes, size_t size, size_t n, FILE *stream) {
  if (stream == stderr || !file_fails(ENOSPC))
    return __real_fwrite(bytes, size, n, stream);
  spoilt = stream;
  return 0;
}

int __wrap_ferror(FILE *stream) {
  return stream == spoilt || __real_ferror(stream) != 0;
}

int __wrap_fflush(FILE *stream) {
  return file_fails(ENOSPC) ? EOF : __real_fflush(stream);
}

int __wrap_fsync(int descriptor) {
  int result = file_fails(EIO) ? -1 : __real_fsync(descriptor);
  after_file_call();
  return result;
}

int __wrap_rename(const char *from, const char *to) {
  int result = file_fails(EACCES) ? -1 : __real_rename(from, to);
  after_file_call();
  return result;
}

int __wrap_link(const char *from, const char *to) {
  int result = file_fails(EPERM) ? -1 : __real_link(from, to);
  after_file_call();
  return result;
}

int __wrap_mkdir(const char *path, mode_t mode) {
  int result = file_fails(EACCES) ? -1 : __real_mkdir(path, mode);
  after_file_call();
  return result;
}

/* These never fail by a fault. */
int __wrap_open64(const char *path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  mode_t mode = (flags & O_CREAT) != 0 ? va_arg(rest, mode_t) : 0;
  va_end(rest);
  int descriptor = __real_open64(path, flags, mode);
  after_file_call();
  return descriptor;
}

int __wrap_unlink(const char *path) {
  int result = __real_unlink(path);
  after_file_call();
  return result;
}

int __wrap_mkstemp64(char *pattern) {
  int descriptor = __real_mkstemp64(pattern);
  after_file_call();
  return descriptor;
}

char *__wrap_mkdtemp(char *pattern) {
  char *made = __real_mkdtemp(pattern);
  after_file_call();
  return made;
}

/* ---- SQLite's memory ------------------------------------------------------------------------- */

static sqlite3_mem_methods heap;

static void *heap_malloc(int size) {
  return fails(SQLITE_HEAP) ? NULL : heap.xMalloc(size);
}

static void *heap_realloc(void *old, int size) {
  return fails(SQLITE_HEAP) ? NULL : heap.xRealloc(old, size);
}

/* ---- SQLite's files -------------------------------------------------------------------------- */

/* A file of ours is a header and, behind it, the file of the system's own VFS. */
typedef struct faulty_file {
  sqlite3_file base;
  sqlite3_file *real;
} faulty_file;

static sqlite3_vfs *system_vfs, faulty_vfs;

static sqlite3_file *real_of(sqlite3_file *file) {
  return ((faulty_file *)file)->real;
}

static int file_close(sqlite3_file *file) {
  return real_of(file)->pMethods->xClose(real_of(file));
}

static int file_read(sqlite3_file *file, void *bytes, int n, sqlite3_int64 at) {
  return real_of(file)->pMethods->xRead(real_of(file), bytes, n, at);
}

static int file_write(sqlite3_file *file, const void *bytes, int n, sqlite3_int64 at) {
  return fails(DISK) ? SQLITE_FULL : real_of(file)->pMethods->xWrite(real_of(file), bytes, n, at);
}

static int file_truncate(sqlite3_file *file, sqlite3_int64 size) {
  return fails(DISK) ? SQLITE_IOERR_TRUNCATE
                     : real_of(file)->pMethods->xTruncate(real_of(file), size);
}

static int file_sync(sqlite3_file *file, int flags) {
  return fails(DISK) ? SQLITE_IOERR_FSYNC : real_of(file)->pMethods->xSync(real_of(file), flags);
}

static int file_size(sqlite3_file *file, sqlite3_int64 *size) {
  return real_of(file)->pMethods->xFileSize(real_of(file), size);
}

static int file_lock(sqlite3_file *file, int level) {
  return real_of(file)->pMethods->xLock(real_of(file), level);
}

static int file_unlock(sqlite3_file *file, int level) {
  return real_of(file)->pMethods->xUnlock(real_of(file), level);
}

static int file_check_lock(sqlite3_file *file, int *held) {
  return real_of(file)->pMethods->xCheckReservedLock(real_of(file), held);
}

static int file_control(sqlite3_file *file, int what, void *argument) {
  return real_of(file)->pMethods->xFileControl(real_of(file), what, argument);
}

static int file_sector(sqlite3_file *file) {
  return real_of(file)->pMethods->xSectorSize(real_of(file));
}

static int file_traits(sqlite3_file *file) {
  return real_of(file)->pMethods->xDeviceCharacteristics(real_of(file));
}

static const sqlite3_io_methods methods = {1,
                                           file_close,
                                           file_read,
                                           file_write,
                                           file_truncate,
                                           file_sync,
                                           file_size,
                                           file_lock,
                                           file_unlock,
                                           file_check_lock,
                                           file_control,
                                           file_sector,
                                           file_traits,
                                           NULL,
                                           NULL,
                                           NULL,
                                           NULL,
                                           NULL,
                                           NULL};

static int vfs_open(sqlite3_vfs *own, const char *name, sqlite3_file *file, int flags, int *out) {
  faulty_file *ours = (faulty_file *)file;
  (void)own;
  ours->real = (sqlite3_file *)(ours + 1);
  int code = system_vfs->xOpen(system_vfs, name, ours->real, flags, out);
  ours->base.pMethods = ours->real->pMethods == NULL ? NULL : &methods;
  return code;
}

static int vfs_delete(sqlite3_vfs *own, const char *name, int sync) {
  (void)own;
  return fails(DISK) ? SQLITE_IOERR_DELETE : system_vfs->xDelete(system_vfs, name, sync);
}

/* ---- SQL statements -------------------------------------------------------------------------- */

static bool interrupting;

static int interrupt(void *unused) {
  (void)unused;
  bool now = interrupting;
  interrupting = false;
  return now;
}

int __real_sqlite3_open_v2(const char *path, sqlite3 **db, int flags, const char *vfs);
int __real_sqlite3_step(sqlite3_stmt *statement);
int __real_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **),
                        void *context, char **message);
int __wrap_sqlite3_open_v2(const char *path, sqlite3 **db, int flags, const char *vfs);
int __wrap_sqlite3_step(sqlite3_stmt *statement);
int __wrap_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **),
                        void *context, char **message);

int __wrap_sqlite3_open_v2(const char *path, sqlite3 **db, int flags, const char *vfs) {
  int code = __real_sqlite3_open_v2(path, db, flags, vfs);
  if (*db != NULL)
    sqlite3_progress_handler(*db, 1, interrupt, NULL);
  return code;
}

int __wrap_sqlite3_step(sqlite3_stmt *statement) {
  interrupting = fails(STEP);
  return __real_sqlite3_step(statement);
}

int __wrap_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **),
                        void *context, char **message) {
  interrupting = fails(STEP);
  return __real_sqlite3_exec(db, sql, row, context, message);
}

/* ---- Before main and after it ---------------------------------------------------------------- */

static void report(void) {
  char line[160];
  const char *path = getenv("BEAMTALLY_FAULT_REPORT");
  long places = file_calls; /* the next call is one, too */
  int file = path == NULL ? -1 : open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
  int n = 0;
  for (int k = 0; k < KINDS; k++)
    n += snprintf(line + n, sizeof line - (size_t)n, "%ld ", fault.calls[k]);
  n += snprintf(line + n, sizeof line - (size_t)n, "%d %ld\n", (int)fault.came, places);
  if (file < 0 || n <= 0 || write(file, line, (size_t)n) != n || close(file) != 0)
    _Exit(BROKEN);
  fault.kind = KINDS; /* a build with coverage writes its counts after this */
}

static void choose(void) {
  const char *text = getenv("BEAMTALLY_FAULT");
  const char *colon = text == NULL ? NULL : strchr(text, ':');
  if (colon == NULL) {
    if (getenv("BEAMTALLY_FAULT_REPORT") != NULL && atexit(report) != 0)
      _Exit(BROKEN);
    return;
  }
  fault.kind = kind_of(text, (size_t)(colon - text));
  char *end = NULL;
  fault.nth = strtol(colon + 1, &end, 10);
  fault.and_all_after = *end == '+';
  if (fault.kind == KINDS || fault.nth < 1 || atexit(report) != 0)
    _Exit(BROKEN);
}

void fault_disk(void) {
  if (sqlite3_vfs_register(&faulty_vfs, 1) != SQLITE_OK)
    _Exit(BROKEN);
}

__attribute__((constructor)) static void prepare(void) {
  choose();
  if (sqlite3_config(SQLITE_CONFIG_GETMALLOC, &heap) != SQLITE_OK)
    _Exit(BROKEN);
  sqlite3_mem_methods faulty = heap;
  faulty.xMalloc = heap_malloc;
  faulty.xRealloc = heap_realloc;
  int chosen = fault.kind;
  fault.kind = KINDS; /* nothing of SQLite may fail while it starts, nor "all after" it */
  if (sqlite3_config(SQLITE_CONFIG_MALLOC, &faulty) != SQLITE_OK ||
      sqlite3_initialize() != SQLITE_OK || (system_vfs = sqlite3_vfs_find(NULL)) == NULL)
    _Exit(BROKEN);
  faulty_vfs = *system_vfs;
  faulty_vfs.zName = "faulty";
  faulty_vfs.szOsFile = (int)sizeof(faulty_file) + system_vfs->szOsFile;
  faulty_vfs.xOpen = vfs_open;
  faulty_vfs.xDelete = vfs_delete;
  if (getenv("BEAMTALLY_FAULT") != NULL)
    fault_disk();
  memset(fault.calls, 0, sizeof fault.calls);
  fault.kind = chosen;
}
