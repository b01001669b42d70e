/* Running the program: fork, a few settings, exec; standard output and error into unlinked files.
 */
#include "program.h"

#include "../counted.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum {
  NOT_STARTED = 125,
  SANITIZER_REPORT = 99,
  MOST_VARIABLES = 32,
  NOBODY = 65534,
  SUPPRESSIONS = 63 /* descriptor of tests/lsan.supp in the program; far from all in use */
};

/* A sanitizer's report ends the program with a status that is none of its own. The search for leaks
 * takes as long as the start of the program: done where BEAMTALLY_LEAKS says so, one test that goes
 * through every command, and all of them in a long run. */
static const char *const usual[] = {
    "SOURCE_DATE_EPOCH=" TEST_NOW,
    "ASAN_OPTIONS=exitcode=99",
    "UBSAN_OPTIONS=exitcode=99:halt_on_error=1",
    "LSAN_OPTIONS=exitcode=99:print_suppressions=0:suppressions=/proc/self/fd/63",
};

static const char *usual_setting(size_t i) {
  bool memory = strncmp(usual[i], "ASAN_OPTIONS=", 13) == 0;
  return memory && getenv("BEAMTALLY_LEAKS") == NULL ? "ASAN_OPTIONS=exitcode=99:detect_leaks=0"
                                                     : usual[i];
}

static bool names(const char *const *settings, const char *one, size_t length) {
  for (size_t k = 0; settings != NULL && settings[k] != NULL; k++)
    if (strncmp(settings[k], one, length) == 0)
      return true;
  return false;
}

/* Time zone and locale that the whole suite runs under (tests/run --long), so that they reach every
 * run that doesn't ask for its own. */
static size_t add_surroundings(const char *const *own, const char **all) {
  static char passed[3][128];
  static const char *const name[] = {"TZ", "LC_ALL", "LOCPATH"};
  size_t n = 0;
  for (size_t i = 0; i < sizeof name / sizeof *name; i++) {
    const char *value = getenv(name[i]);
    int length =
        snprintf(passed[i], sizeof passed[i], "%s=%s", name[i], value == NULL ? "" : value);
    if (value != NULL && length > 0 && (size_t)length < sizeof passed[i] &&
        !names(own, passed[i], strlen(name[i]) + 1))
      all[n++] = passed[i];
  }
  return n;
}

/* An entry of `own` goes over the usual one of its name; "NAME=" gives an empty value. */
static void set_environment(const char *const *own, const char **all) {
  size_t n = add_surroundings(own, all);
  for (size_t i = 0; i < sizeof usual / sizeof *usual; i++) {
    if (!names(own, usual[i], (size_t)(strchr(usual[i], '=') - usual[i]) + 1))
      all[n++] = usual_setting(i);
  }
  for (size_t k = 0; own != NULL && own[k] != NULL && n + 1 < MOST_VARIABLES; k++)
    all[n++] = own[k];
  all[n] = NULL;
}

static char *whole(FILE *stream, size_t *n) {
  cr_assert_eq(fseek(stream, 0, SEEK_END), 0);
  long length = ftell(stream);
  cr_assert(length >= 0);
  rewind(stream);
  char *text = malloc((size_t)length + 1);
  cr_assert_not_null(text);
  cr_assert_eq(fread(text, 1, (size_t)length, stream), (size_t)length);
  text[length] = '\0';
  if (n != NULL)
    *n = (size_t)length;
  return text;
}

/* The child's part; never returns. */
static void start(const run_setting *setting, const char *const *words, int in, int out, int err) {
  const char *argv[64] = {"beamtally"};
  const char *environment[MOST_VARIABLES];
  for (size_t i = 0; words[i] != NULL && i + 2 < sizeof argv / sizeof *argv; i++)
    argv[i + 1] = words[i];
  set_environment(setting->environment, environment);
  /* Opened before any right is given up: nobody may not even enter the folder of the tree. */
  const char *executable = setting->executable == NULL ? BEAMTALLY_PROGRAM : setting->executable;
  int program = open(executable, O_RDONLY | O_CLOEXEC);
  int suppressions = open(BEAMTALLY_TREE "/tests/lsan.supp", O_RDONLY | O_CLOEXEC);
  bool ready = program >= 0 && suppressions >= 0 && dup2(suppressions, SUPPRESSIONS) >= 0 &&
               dup2(in, STDIN_FILENO) >= 0 && dup2(out, STDOUT_FILENO) >= 0 &&
               dup2(err, STDERR_FILENO) >= 0 &&
               (setting->folder == NULL || chdir(setting->folder) == 0);
  if (ready && setting->as_nobody && geteuid() == 0)
    ready = setgid(NOBODY) == 0 && setuid(NOBODY) == 0;
  if (ready && setting->file_limit > 0) {
    struct rlimit limit = {setting->file_limit, setting->file_limit};
    ready = setrlimit(RLIMIT_FSIZE, &limit) == 0;
  }
  if (ready && setting->seconds > 0) { /* both stand through the exec */
    struct rlimit limit = {setting->seconds, setting->seconds + 1};
    ready = setrlimit(RLIMIT_CPU, &limit) == 0;
    (void)alarm(6 * setting->seconds);
  }
  if (ready)
    (void)fexecve(program, (char *const *)argv, (char *const *)environment);
  _exit(NOT_STARTED);
}

static void wait_and_kill(pid_t child, long after_us) {
  struct timespec span = {after_us / 1000000, after_us % 1000000 * 1000};
  (void)nanosleep(&span, NULL);
  cr_assert_eq(kill(child, SIGKILL), 0);
}

static int open_or_fail(const char *path, int flags) {
  int file = open(path, flags | O_NOCTTY, 0666);
  cr_assert(file >= 0, "%s: %s", path, strerror(errno));
  return file;
}

/* The program's own words (src/cli/ended.c) turn a signal into exit status 1. */
static bool gave_up(const run_result *result) {
  return strstr(result->err, "a library that it uses gave up") != NULL;
}

/* A signal that nobody sent, or a sanitizer's report. */
static bool crashed(const run_result *result) {
  switch (-result->status) {
  case SIGSEGV:
  case SIGBUS:
  case SIGABRT:
  case SIGTRAP: /* GLib gives up by it */
  case SIGSYS:
  case SIGFPE:
  case SIGILL:
  case SIGXCPU: /* ran longer than it was given */
  case SIGALRM:
    return true;
  default:
    return result->status == SANITIZER_REPORT;
  }
}

run_result run_with(const run_setting *setting, const char *const *words) {
  FILE *out = tmpfile(), *err = tmpfile();
  cr_assert(out != NULL && err != NULL);
  int in = open_or_fail(setting->input == NULL ? "/dev/null" : setting->input, O_RDONLY);
  int to = setting->output == NULL ? fileno(out) : open_or_fail(setting->output, O_WRONLY);
  int errors = setting->error == NULL ? fileno(err) : open_or_fail(setting->error, O_WRONLY);
  pid_t child = fork();
  cr_assert(child >= 0);
  if (child == 0)
    start(setting, words, in, to, errors);
  if (setting->kill_after_us > 0)
    wait_and_kill(child, setting->kill_after_us);
  int status = 0;
  while (waitpid(child, &status, 0) < 0)
    cr_assert_eq(errno, EINTR);
  (void)close(in);
  if (setting->output != NULL)
    (void)close(to);
  if (setting->error != NULL)
    (void)close(errors);
  run_result result = {.status = WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status)};
  result.out = whole(out, &result.out_n);
  result.err = whole(err, NULL);
  (void)fclose(out);
  (void)fclose(err);
  cr_assert_neq(result.status, NOT_STARTED, "the program could not be started");
  counted(1, "runs of the program");
  counted(crashed(&result) || (gave_up(&result) && !setting->may_give_up), "crashes");
  cr_assert(setting->may_give_up || !gave_up(&result), "%s", result.err);
  cr_assert(result.status != SANITIZER_REPORT && strstr(result.err, "Sanitizer") == NULL &&
                strstr(result.err, "runtime error:") == NULL,
            "a sanitizer reports:\n%s", result.err);
  return result;
}

void run_free(run_result *result) {
  free(result->out);
  free(result->err);
  *result = (run_result){0};
}

run_result run_plain(const char *folder, const char *const *words) {
  return run_with(&(run_setting){.folder = folder}, words);
}

char *run_done(const char *folder, const char *const *words) {
  run_result result = run_plain(folder, words);
  cr_assert_eq(result.status, 0, "%s: exit status %d\n%s", words[0], result.status, result.err);
  free(result.err);
  return result.out;
}

void run_must_be(const char *folder, int status, const char *said, const char *const *words) {
  run_result result = run_plain(folder, words);
  cr_expect_eq(result.status, status, "%s: status %d, %s", words[0], result.status, result.err);
  cr_expect(strstr(result.err, said) != NULL || strstr(result.out, said) != NULL,
            "\"%s\" is not in: %s%s", said, result.out, result.err);
  run_free(&result);
}

void run_must_say(const char *folder, int status, const char *const *said,
                  const char *const *words) {
  run_result result = run_plain(folder, words);
  cr_expect_eq(result.status, status, "%s: status %d, %s", words[0], result.status, result.err);
  for (; *said != NULL; said++)
    cr_expect(strstr(result.err, *said) != NULL || strstr(result.out, *said) != NULL,
              "\"%s\" is not in: %s%s", *said, result.out, result.err);
  run_free(&result);
}

char *tool_with(const char *folder, const char *path, int status, const char *const *words) {
  run_setting setting = {.folder = folder,
                         .executable = path,
                         .environment =
                             (const char *const[]){"PATH=/usr/bin:/bin", "LC_ALL=C", NULL}};
  run_result result = run_with(&setting, words);
  cr_assert_eq(result.status, status, "%s: status %d\n%s%s", path, result.status, result.out,
               result.err);
  free(result.err);
  return result.out;
}

char *pdf_words(const char *folder, const char *pdf, const char *page) {
  char *text = page == NULL ? TOOL(folder, "pdftotext", pdf, "-")
                            : TOOL(folder, "pdftotext", "-f", page, "-l", page, pdf, "-");
  for (char *c = text; *c != '\0'; c++)
    *c = *c == '\n' ? ' ' : *c;
  return text;
}
