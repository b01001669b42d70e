/* Files and folders that are made under a passing name. One that stands in the list goes when the
 * program is ended. No signal is heard between the making of one and its entry, nor while the list
 * is changed, so that a handler in the same thread finds all of them, and a whole list. */
#include "beamtally/base.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct passing {
  struct passing *before; /* made before it: a folder comes after the files in it */
  char path[];
} passing;

static passing *last;

static void hold_signals(sigset_t *held) {
  sigset_t all;
  (void)sigfillset(&all);
  (void)sigprocmask(SIG_BLOCK, &all, held);
}

static void let_signals(const sigset_t *held) {
  int reason = errno;
  (void)sigprocmask(SIG_SETMASK, held, NULL);
  errno = reason;
}

/* NULL, and errno, without memory. */
static passing *entry_of(const char *path) {
  size_t length = strlen(path) + 1;
  passing *entry = malloc(sizeof *entry + length);
  if (entry == NULL)
    errno = ENOMEM;
  else
    memcpy(entry->path, path, length);
  return entry;
}

static void enter(passing *entry) {
  entry->before = last;
  last = entry;
}

int bt_passing_file(const char *path) {
  sigset_t held;
  passing *entry = entry_of(path);
  if (entry == NULL)
    return -1;
  hold_signals(&held);
  int descriptor = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (descriptor >= 0)
    enter(entry);
  let_signals(&held);
  if (descriptor < 0)
    free(entry);
  return descriptor;
}

bool bt_passing_folder(const char *path) {
  sigset_t held;
  passing *entry = entry_of(path);
  if (entry == NULL)
    return false;
  hold_signals(&held);
  bool made = mkdir(path, 0777) == 0;
  if (made)
    enter(entry);
  let_signals(&held);
  if (!made)
    free(entry);
  return made;
}

bool bt_passing_new_folder(char *pattern) {
  sigset_t held;
  passing *entry = entry_of(pattern);
  if (entry == NULL)
    return false;
  hold_signals(&held);
  bool made = mkdtemp(pattern) != NULL;
  if (made) {
    memcpy(entry->path, pattern, strlen(pattern) + 1);
    enter(entry);
  }
  let_signals(&held);
  if (!made)
    free(entry);
  return made;
}

int bt_passing_nameless(char *pattern) {
  sigset_t held;
  hold_signals(&held);
  int descriptor = mkstemp(pattern);
  if (descriptor >= 0 && unlink(pattern) != 0) {
    int reason = errno;
    (void)close(descriptor);
    descriptor = -1;
    errno = reason;
  }
  let_signals(&held);
  return descriptor;
}

bool bt_passing_note(const char *path) {
  sigset_t held;
  passing *entry = entry_of(path);
  if (entry == NULL)
    return false;
  hold_signals(&held);
  enter(entry);
  let_signals(&held);
  return true;
}

int bt_passing_link(const char *from, const char *to) {
  sigset_t held;
  passing *entry = entry_of(to);
  if (entry == NULL)
    return -1;
  hold_signals(&held);
  bool made = link(from, to) == 0;
  if (made)
    enter(entry);
  let_signals(&held);
  if (!made)
    free(entry);
  return made ? 0 : -1;
}

static bool is_or_is_in(const char *path, const char *folder) {
  size_t length = strlen(folder);
  return strncmp(path, folder, length) == 0 && (path[length] == '\0' || path[length] == '/');
}

void bt_passing_forget(const char *path) {
  sigset_t held;
  passing *gone = NULL;
  hold_signals(&held);
  for (passing **at = &last; *at != NULL;) {
    passing *entry = *at;
    if (!is_or_is_in(entry->path, path)) {
      at = &entry->before;
      continue;
    }
    *at = entry->before;
    entry->before = gone;
    gone = entry;
  }
  let_signals(&held);
  while (gone != NULL) {
    passing *entry = gone;
    gone = entry->before;
    free(entry);
  }
}

void bt_passing_remove(void) {
  for (const passing *entry = last; entry != NULL; entry = entry->before)
    if (unlink(entry->path) != 0)
      (void)rmdir(entry->path);
}
