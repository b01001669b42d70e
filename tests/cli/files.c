/* Temporary folders and files, the demo's ledger, and what the program says of one. */
#include "program.h"

#include <criterion/criterion.h>
#include <criterion/hooks.h>
#include <errno.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

char *path_in(const char *folder, const char *name) {
  size_t size = strlen(folder) + strlen(name) + 2;
  char *path = malloc(size);
  cr_assert_not_null(path);
  (void)snprintf(path, size, "%s/%s", folder, name);
  return path;
}

char *sample(const char *name) {
  return path_in(BEAMTALLY_TREE "/sampledata", name);
}

char *folder_begin(void) {
  const char *base = getenv("TMPDIR");
  char *folder = path_in(base == NULL || *base == '\0' ? P_tmpdir : base, "beamtally cli XXXXXX");
  cr_assert_not_null(mkdtemp(folder), "%s", strerror(errno));
  cr_assert_eq(chmod(folder, 0755), 0); /* nobody may look in */
  return folder;
}

static int remove_one(const char *path, const struct stat *found, int kind, struct FTW *place) {
  (void)found, (void)kind, (void)place;
  return remove(path);
}

void folder_end(char *folder) {
  cr_expect_eq(nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS), 0, "%s is left", folder);
  free(folder);
}

char *file_read(const char *path, size_t *n) {
  FILE *file = fopen(path, "rb");
  cr_assert_not_null(file, "%s: %s", path, strerror(errno));
  size_t length = 0, size = 1 << 16;
  char *bytes = malloc(size);
  cr_assert_not_null(bytes);
  size_t got;
  while ((got = fread(bytes + length, 1, size - length - 1, file)) > 0) {
    length += got;
    if (size - length < 2) {
      bytes = realloc(bytes, size *= 2);
      cr_assert_not_null(bytes);
    }
  }
  cr_assert_eq(ferror(file), 0);
  (void)fclose(file);
  bytes[length] = '\0';
  if (n != NULL)
    *n = length;
  return bytes;
}

void file_write(const char *path, const char *bytes, size_t n) {
  FILE *file = fopen(path, "wb");
  cr_assert_not_null(file, "%s: %s", path, strerror(errno));
  cr_assert_eq(fwrite(bytes, 1, n, file), n);
  cr_assert_eq(fclose(file), 0);
}

void file_put(const char *folder, const char *name, const char *text) {
  char *path = path_in(folder, name);
  file_write(path, text, strlen(text));
  free(path);
}

bool file_exists(const char *path) {
  struct stat found;
  return lstat(path, &found) == 0;
}

void files_must_be_same(const char *one, const char *other) {
  size_t n, m;
  char *a = file_read(one, &n), *b = file_read(other, &m);
  cr_expect(n == m && memcmp(a, b, n) == 0, "%s and %s differ", one, other);
  free(a);
  free(b);
}

/* ---- The demo's ledger ----------------------------------------------------------------------- */

static void make_demo(const char *folder) {
  char *settings = sample("settings.ini"), *north = sample("suite-north.csv");
  char *quarter = sample("suite-north-2026-q3.csv"), *south = sample("suite-south.txt");
  char *map = sample("suite-south.map.ini"), *events = sample("events.csv");
  free(RUN_DONE(folder, "settings", settings, "--by", "tester", "--why", "first settings"));
  free(RUN_DONE(folder, "import", north, quarter));
  free(RUN_DONE(folder, "import", "--map", map, south)); /* the settings name it */
  free(RUN_DONE(folder, "import", events));
  free(settings);
  free(north);
  free(quarter);
  free(south);
  free(map);
  free(events);
}

/* It is made once a run of a test program, by the first test that wants it, and copied from then
 * on. Each test is a process of its own: what they share is the runner that started them. */
static char *demo_kept_by(pid_t runner) {
  const char *base = getenv("TMPDIR");
  char name[64];
  (void)snprintf(name, sizeof name, "beamtally demo %ld.sqlite", (long)runner);
  return path_in(base == NULL || *base == '\0' ? P_tmpdir : base, name);
}

ReportHook(POST_ALL)(struct criterion_global_stats *stats) {
  (void)stats;
  char *kept = demo_kept_by(getpid());
  (void)unlink(kept);
  free(kept);
}

void demo_into(const char *folder) {
  char *ledger = path_in(folder, "beamtally.sqlite"), *kept = demo_kept_by(getppid());
  size_t n;
  if (file_exists(kept)) {
    char *bytes = file_read(kept, &n);
    file_write(ledger, bytes, n);
    free(bytes);
  } else {
    make_demo(folder);
    char *copy = path_in(folder, "kept"), *bytes = file_read(ledger, &n);
    file_write(copy, bytes, n);
    cr_assert_eq(rename(copy, kept), 0, "%s", strerror(errno)); /* whole from the first moment */
    free(bytes);
    free(copy);
  }
  free(kept);
  free(ledger);
}

char *demo_folder(void) {
  char *folder = folder_begin();
  demo_into(folder);
  return folder;
}

/* ---- What is said of it ---------------------------------------------------------------------- */

void unwrap(char *text) {
  char *to = text;
  for (const char *from = text; *from != '\0'; from++) {
    bool space = *from == ' ' || *from == '\n';
    if (!space || (to > text && to[-1] != ' '))
      *to++ = *from == '\n' ? ' ' : *from;
  }
  *to = '\0';
}

char *state_of(const char *folder) {
  char *said = RUN_DONE(folder, "verify");
  char *at = strstr(said, "; state ");
  cr_assert_not_null(at, "%s", said);
  char *state = strndup(at + 8, strcspn(at + 8, "\n"));
  cr_assert(state != NULL && strlen(state) == 24, "%s", said);
  free(said);
  return state;
}

json_t *analysis_of(const char *folder, const char *unit, const char *characteristic,
                    const char *const *more) {
  const char *words[32] = {"analyse",      "--unit",   unit,  "--characteristic",
                           characteristic, "--format", "json"};
  for (size_t i = 0; more != NULL && more[i] != NULL && i < 16; i++)
    words[7 + i] = more[i];
  char *text = run_done(folder, words);
  json_error_t error;
  json_t *analysis = json_loads(text, JSON_REJECT_DUPLICATES, &error);
  cr_assert_not_null(analysis, "%s, %s: %s", unit, characteristic, error.text);
  free(text);
  return analysis;
}

char *all_of_demo(const char *folder) {
  static const char *const units[] = {"Suite North", "Suite South"};
  static const char *const keys[] = {"energy_ratio", "demand", "fluence", "tracker_radial",
                                     "energy_spread"};
  size_t length = 0, size = 1;
  char *all = calloc(1, 1);
  for (size_t u = 0; u < 2; u++)
    for (size_t c = 0; c < sizeof keys / sizeof *keys; c++) {
      char *text = RUN_DONE(folder, "analyse", "--unit", units[u], "--characteristic", keys[c],
                            "--format", "json");
      size += strlen(text);
      all = realloc(all, size);
      cr_assert_not_null(all);
      memcpy(all + length, text, strlen(text) + 1);
      length = size - 1;
      free(text);
    }
  return all;
}

double number_of(const json_t *object, const char *key) {
  const json_t *value = json_object_get(object, key);
  cr_assert(json_is_number(value), "\"%s\" is no number", key);
  return json_number_value(value);
}

const char *text_of(const json_t *object, const char *key) {
  const char *value = json_string_value(json_object_get(object, key));
  cr_assert_not_null(value, "\"%s\" is no text", key);
  return value;
}
