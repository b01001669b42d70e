/* The table of commands. A command is one file and one line here. */
#include "cli.h"

#include "help.h"

const cli_command cli_commands[] = {
    {"import", "log files into the ledger", help_import, cli_import},
    {"columns", "how a log would be read; writes a column map to start from", help_columns,
     cli_columns},
    {"record", "one check, typed in", help_record, cli_record},
    {"event", "something done to a laser, typed in; or the list of them", help_event, cli_event},
    {"correct", "a right record in the place of a wrong one, or a text removed for good",
     help_correct, cli_correct},
    {"conflicts", "rows that contradict the ledger, and settling them", help_conflicts,
     cli_conflicts},
    {"settings", "units, tolerances and choices of the clinic", help_settings, cli_settings},
    {"baseline", "freeze the period that limits come from", help_baseline, cli_baseline},
    {"status", "one screen: what the record shows, what to do next", help_status, cli_status},
    {"analyse", "limits, rules and signals of one characteristic", help_analyse, cli_analyse},
    {"drift", "slow drift: since when, gas or not, when it will matter", help_drift, cli_drift},
    {"signals", "all signals, and what was concluded of them", help_signals, cli_signals},
    {"resolve", "what was concluded of a signal", help_resolve, cli_resolve},
    {"chart", "one characteristic's chart as PNG, PDF or SVG", help_chart, cli_chart},
    {"report", "the monthly PDF, as a draft or issued", help_report, cli_report},
    {"evidence", "a folder for the manufacturer's engineer, to be checked without Beamtally",
     help_evidence, cli_evidence},
    {"runlength", "what rules and limits cost, and how soon they find a shift", help_runlength,
     cli_runlength},
    {"verify", "is the ledger, a case or an issued report as it was made; a printed state",
     help_verify, cli_verify},
    {"backup", "a verified copy of the ledger", help_backup, cli_backup},
    {"export", "everything in the ledger as open files", help_export, cli_export},
    {NULL, NULL, NULL, NULL},
};
