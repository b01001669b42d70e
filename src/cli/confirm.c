/* A question at the terminal before something is done that can't be taken back. */
#include "cli.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

cli_exit cli_confirm(const cli_context *cli) {
  char answer[16];
  if (cli->yes)
    return CLI_DONE;
  if (isatty(STDIN_FILENO) == 0) {
    cli_say("nothing was changed: nobody is at a terminal to say yes to this; give --yes where it "
            "is what you want");
    return CLI_USAGE;
  }
  (void)fputs("Go on? [yes/no] ", stderr);
  if (fgets(answer, sizeof answer, stdin) == NULL)
    answer[0] = '\0';
  answer[strcspn(answer, "\r\n")] = '\0';
  if (bt_same_name(answer, "yes") || bt_same_name(answer, "y"))
    return CLI_DONE;
  cli_say("nothing was changed");
  return CLI_FAILED;
}
