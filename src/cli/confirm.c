/* A question at the terminal before something is done that can't be taken back. */
#include "cli.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* The question itself; a person is at the terminal. */
static cli_exit ask(void) {
  char answer[16];
  (void)fputs("Go on? [yes/no] ", stderr);
  if (fgets(answer, sizeof answer, stdin) == NULL)
    answer[0] = '\0';
  answer[strcspn(answer, "\r\n")] = '\0';
  if (bt_same_name(answer, "yes") || bt_same_name(answer, "y"))
    return CLI_DONE;
  cli_say("nothing was changed");
  return CLI_FAILED;
}

cli_exit cli_confirm_effect(const cli_context *cli, const bt_text *effect) {
  if (cli->yes || isatty(STDIN_FILENO) == 0)
    return CLI_DONE;
  if (!bt_text_ok(effect)) {
    cli_say("out of memory; nothing was changed");
    return CLI_FAILED;
  }
  (void)cli_put_seen(bt_text_get(effect), stderr);
  return ask();
}

cli_exit cli_confirm(const cli_context *cli) {
  if (cli->yes)
    return CLI_DONE;
  if (isatty(STDIN_FILENO) == 0) {
    cli_say("nothing was changed: nobody is at a terminal to say yes to this; give --yes where it "
            "is what you want");
    return CLI_USAGE;
  }
  return ask();
}
