/* What is no log is refused before it is copied, and a log has a bound: a device or a pipe that
 * never ends must not fill the disk. */
#include "gather.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static void must_be_refused(const char *path, const bt_reading_choices *choices, const char *says) {
  bt_survey *survey = NULL;
  bt_error error = {0};
  cr_expect_eq(bt_survey_file(path, choices, &survey, &error), BT_INPUT, "%s", path);
  cr_expect_not_null(strstr(error.text, says), "%s: %s", path, error.text);
}

/* Runs in an empty folder, which must be empty in the end. */
Test(intake_bounds, devices_pipes_and_long_files) {
  char folder[] = "/tmp/bt-bounds-XXXXXX";
  cr_assert_not_null(mkdtemp(folder));
  cr_assert_eq(chdir(folder), 0);
  bt_reading_choices choices = {.encoding = NULL};
  char utf16[] = "UTF-16LE";
  must_be_refused("/dev/zero", NULL, "the file is not a text: it begins with zeros alone");
  choices.encoding = utf16;
  must_be_refused("/dev/zero", &choices, "it begins with zeros alone");

  /* A pipe that goes on behind the bound; a log of just that length is read. */
  static const char log[] = "date,unit,energy_mj\n2026-08-17,A,1.5\n2026-08-18,A,1.5\n";
  for (int short_by = 0; short_by < 2; short_by++) {
    cr_assert_eq(mkfifo("pipe", 0600), 0);
    pid_t writer = fork();
    if (writer == 0) {
      FILE *pipe = fopen("pipe", "wb");
      _exit(pipe == NULL || fputs(log, pipe) < 0 || fclose(pipe) != 0);
    }
    choices = (bt_reading_choices){.most_bytes = (int64_t)strlen(log) - short_by};
    if (short_by == 1) {
      must_be_refused("pipe", &choices, "no log of checks is: nothing of it was kept");
    } else {
      kept k;
      gather("pipe", &choices, &k);
      cr_expect_eq(k.checks_n, 2, "%s", k.error.text);
      gather_free(&k);
    }
    cr_expect_eq(unlink("pipe"), 0);
  }

  /* A plain file isn't copied; one beyond the bound, most of it a hole here, isn't read. */
  FILE *file = fopen("long.csv", "wb");
  cr_assert_not_null(file);
  for (int i = 0; i < 2000; i++)
    cr_assert(fputs(log, file) >= 0);
  cr_assert_eq(fflush(file), 0);
  cr_assert_eq(ftruncate(fileno(file), ((off_t)1 << 30) + 1), 0);
  cr_assert_eq(fclose(file), 0);
  must_be_refused("long.csv", NULL, "it is longer than 1073741824 bytes");
  cr_expect_eq(unlink("long.csv"), 0);
  cr_assert_eq(chdir("/"), 0);
  cr_expect_eq(rmdir(folder), 0, "a temporary file was left behind");
}
