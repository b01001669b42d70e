/* beamtally: finds the command, sets up what the whole program shares, and exits. */
#include "cli.h"
#include "ended.h"

#include <errno.h>
#include <fcntl.h>
#include <gsl/gsl_errno.h>
#include <locale.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/* The clinic's wall clock as civil time; the epoch given in the environment takes its place. */
static bool read_clock(cli_context *cli) {
  const char *epoch = getenv("SOURCE_DATE_EPOCH");
  if (epoch != NULL && *epoch != '\0') {
    char *end;
    long long seconds = strtoll(epoch, &end, 10);
    if (*end != '\0' || seconds < 0 || seconds > 253402300799) {
      cli_say("SOURCE_DATE_EPOCH is \"%s\"; it must be a whole number of seconds since 1970, at "
              "most 253402300799, the last of the year 9999",
              epoch);
      return false;
    }
    cli->now = (bt_time)seconds;
    cli->epoch_given = true;
    return true;
  }
  time_t seconds = time(NULL);
  struct tm local;
  if (seconds == (time_t)-1 || localtime_r(&seconds, &local) == NULL) {
    cli_say("the system's clock can't be read");
    return false;
  }
  bt_civil civil = {.year = local.tm_year + 1900,
                    .month = local.tm_mon + 1,
                    .day = local.tm_mday,
                    .hour = local.tm_hour,
                    .minute = local.tm_min,
                    .second = local.tm_sec > 59 ? 59 : local.tm_sec};
  cli->now = bt_time_of(&civil);
  return true;
}

static cli_exit run(int argc, char **argv) {
  const char *no_colour = getenv("NO_COLOR"), *terminal = getenv("TERM");
  bool plain = (no_colour != NULL && *no_colour != '\0') ||
               (terminal != NULL && strcmp(terminal, "dumb") == 0);
  const char *ledger = getenv("BEAMTALLY_LEDGER");
  cli_context shared = {.ledger = ledger != NULL && *ledger != '\0' ? ledger : CLI_LEDGER,
                        .colour = isatty(STDOUT_FILENO) && !plain};
  bool version = false;
  int first;
  if (!cli_first_options(&shared, argc, argv, &version, &first))
    return CLI_USAGE;
  if (version)
    return cli_print("beamtally " BEAMTALLY_VERSION "\n");
  const char *name = first < argc ? argv[first] : NULL;
  if (name == NULL)
    return cli_overview(shared.help);

  shared.command = name;
  if (strcmp(name, "help") == 0)
    return cli_ask(&shared, argc - first, argv + first);
  const cli_command *command = cli_find_command(name);
  if (command == NULL)
    return cli_unknown_command(name);
  if (!read_clock(&shared))
    return CLI_USAGE;
  return command->run(&shared, argc - first, argv + first);
}

/* Else a file that is made while standard error is closed (`2>&-`) would get its number, and our
 * words. Each stays as useless as it was: nothing is read from the first, none takes a word. True
 * where standard error was open: who closes it asks for no words. */
static bool hold_the_closed(void) {
  bool hears = true;
  for (int number = STDIN_FILENO; number <= STDERR_FILENO; number++)
    if (fcntl(number, F_GETFD) < 0 && errno == EBADF) {
      (void)open("/dev/null", number == STDIN_FILENO ? O_WRONLY : O_RDONLY);
      hears = hears && number != STDERR_FILENO;
    }
  return hears;
}

int main(int argc, char **argv) {
  bool hears = hold_the_closed();
  cli_ended_begin();
  /* LC_NUMERIC stays "C": numbers are written one way everywhere. A write past a file-size limit
   * must come back as an error, not as a signal; so must a closed pipe. */
  (void)setlocale(LC_CTYPE, "C.UTF-8");
  (void)signal(SIGXFSZ, SIG_IGN);
  (void)signal(SIGPIPE, SIG_IGN);
  (void)gsl_set_error_handler_off();

  cli_exit result = run(argc, argv);
  errno = 0;
  bool lost = fflush(stdout) != 0 || ferror(stdout) != 0; /* fclose says nothing of these */
  bool gone = cli_reader_is_gone();
  if ((fclose(stdout) != 0 || lost) && result == CLI_DONE) {
    cli_say_lost();
    result = CLI_FAILED;
  }
  if (hears && ferror(stderr) != 0 && result == CLI_DONE)
    result = CLI_FAILED; /* something was said, and was lost */
  if (gone) {            /* as a shell expects of a program whose reader went early */
    (void)signal(SIGPIPE, SIG_DFL);
    (void)raise(SIGPIPE);
  }
  return (int)result;
}
