/* Help of the commands that read logs, show the record, and look after the ledger. */
#include "help.h"

const char help_import[] =
    "Example:  beamtally import suite-north.csv events.csv\n"
    "          beamtally import --map suite-south.ini suite-south.txt\n\n"
    "beamtally import [options] FILE...|-\n"
    "Puts the checks or events of each log file into the ledger, which is made when it isn't there.\n"
    "A file goes in whole or not at all (Ctrl-C stores nothing of it); a file imported twice adds\n"
    "nothing; one that holds for two lasers needs a column unit. Lines that can't be read are counted\n"
    "and listed with their reasons.\n\n"
    "  --map FILE               how the columns are to be read\n"
    "  --unit N                 the laser, where the log has no column for it\n"
    "  --new-unit               take a unit that the ledger doesn't know yet\n"
    "  --dates dmy|mdy|ymd      order of day, month and year\n"
    "  --decimal point|comma    decimal mark\n"
    "  --encoding E             UTF-8, UTF-16LE, WINDOWS-1252, ...\n"
    "  --delimiter C            one character, or comma, semicolon, tab, pipe\n"
    "  --dry-run                read it all, store nothing\n"
    "  --rejects FILE           the refused lines as CSV, never over a file\n"
    "  --max-refused PCT        more refused lines than this stop the file (20)\n"
    "  --again --by N --why T   a file that is in the ledger is read anew in another way (another\n"
    "                           map, say); its new rows supersede the old ones, and those of its\n"
    "                           conflicts that are open are closed; at a terminal it asks\n"
    "  --instead-of NAME        with --again: FILE was mended (rows that were pasted twice taken out,\n"
    "                           say) and takes the place of the log NAME, which was imported under\n"
    "                           that name; or the first digits of its SHA-256\n" HELP_COMMON;

const char help_columns[] =
    "Example:  beamtally columns suite-south.txt\n"
    "          beamtally columns --write suite-south.ini suite-south.txt\n\n"
    "beamtally columns [reading options] [--write MAP] FILE|-\n"
    "Shows how a log would be read: encoding, delimiter, marks, each column with its first values,\n"
    "and what must be settled before it can be imported. Stores nothing.\n\n"
    "  --write MAP              also write a column map to start from; never over a file\n"
    "  --map FILE               how the columns are to be read\n"
    "  --unit N                 the laser, where the log has no column for it\n"
    "  --dates dmy|mdy|ymd      order of day, month and year\n"
    "  --decimal point|comma    decimal mark\n"
    "  --encoding E             UTF-8, UTF-16LE, WINDOWS-1252, ...\n"
    "  --delimiter C            one character, or comma, semicolon, tab, pipe\n" HELP_COMMON;

const char help_status[] =
    "Example:  beamtally status\n\n"
    "beamtally status [--unit N] [--until D]\n"
    "One screen for each laser: what the record shows and what to do next.\n\n"
    "  --unit N                 one laser only\n"
    "  --until D                as the record stood at the end of that day\n" HELP_COMMON;

const char help_analyse[] =
    "Example:  beamtally analyse --unit \"Suite North\" --characteristic energy_ratio\n\n"
    "beamtally analyse --unit N --characteristic C [options]\n"
    "Limits, rules, CUSUM and signals of one characteristic, as text, JSON or CSV.\n\n"
    "  --unit N                 the laser\n"
    "  --characteristic C       energy_ratio, demand, fluence, tracker_x, tracker_y,\n"
    "                           tracker_radial, tracker_vector, high_voltage, energy_spread,\n"
    "                           temp_c, rh_pct, or one of the clinic's own\n"
    "  --from D, --to D         what is shown; never what the limits rest on\n"
    "  --until D                as the record stood at the end of that day\n"
    "  --series raw|adjusted    raw, or moved to the baseline's mean fill age (the default where\n"
    "                           the baseline supports it)\n"
    "  --baseline D..D          a baseline for this once, first and last day\n"
    "  --centre X, --sigma S    stated instead of taken from a baseline\n"
    "  --session day|every      one point a day (the default), or each check a point\n"
    "  --format text|json|csv\n" HELP_COMMON;

const char help_drift[] =
    "Example:  beamtally drift --unit \"Suite North\" --characteristic energy_ratio\n\n"
    "beamtally drift --unit N [--characteristic C] [options]\n"
    "Is it drifting, since when, is it the gas, when will it matter, and what the data support: in\n"
    "words, or as JSON with all numbers. A change is spoken of only past a threshold that keeps\n"
    "false ones under 5 % a laser and year, though it is looked for every day.\n\n"
    "  --unit N                 the laser\n"
    "  --characteristic C       energy_ratio, demand, fluence, tracker_x, tracker_y,\n"
    "                           high_voltage, energy_spread, or one of the clinic's own; else all\n"
    "  --until D                as the record stood at the end of that day\n"
    "  --with-operator          also who checked, as a covariate, by the codes of the log\n"
    "  --format text|json\n" HELP_COMMON;

const char help_chart[] =
    "Example:  beamtally chart --unit \"Suite North\" --characteristic energy_ratio -o north.png\n\n"
    "beamtally chart --unit N --characteristic C [options] -o FILE.png|pdf|svg\n"
    "One page with the chart of one characteristic; of several, a PDF with a page for each.\n\n"
    "  --unit N                 the laser\n"
    "  --characteristic C       energy_ratio, fluence, tracker_x, ... or several: C,C,C\n"
    "  --from D, --to D         first and last day shown; else the last six months\n"
    "  --series raw|adjusted    as in analyse\n"
    "  -o, --output FILE        its ending says the format\n"
    "  --paper a4|letter\n" HELP_COMMON;

const char help_report[] =
    "Example:  beamtally report --month 2026-09 -o reports\n\n"
    "beamtally report [--unit N] --month YYYY-MM [--paper a4|letter] [--issue --by N] [-o FOLDER]\n"
    "The monthly PDF of each laser: a summary, and a page for each characteristic. A draft, until\n"
    "somebody issues it: then the file is named ...-rev1.pdf, and the ledger keeps its SHA-256, the\n"
    "ledger state that it prints, and who issued it. Issued again, it is revision 2; at\n"
    "a terminal it asks first.\n\n"
    "  --month YYYY-MM          the month; charts show it and the five before it\n"
    "  --unit N                 one laser only\n"
    "  --paper a4|letter        landscape\n"
    "  --issue --by N           issue the report; never over a file\n"
    "  -o, --output FOLDER      where the PDFs go; else reports\n" HELP_COMMON;

const char help_evidence[] =
    "Example:  beamtally evidence --unit \"Suite North\" --from 2026-02-01 -o case-suite-north\n\n"
    "beamtally evidence --unit N --from D [--to D] -o FOLDER [logs' folders]\n"
    "What the manufacturer's engineer gets: a new folder with the case as a PDF, every check with\n"
    "its line in the clinic's log, limits and signals, what was corrected, held back or refused, and\n"
    "how to check all of it with sha256sum and a spreadsheet (README.txt there). Names of people and\n"
    "free texts stay out unless asked for. Never over a folder that is there.\n\n"
    "  --from D, --to D         the span; else to the last day of the log. Which day? A month before\n"
    "                           what the case is about: the open signal (`beamtally signals --open`),\n"
    "                           or the earliest day that `beamtally drift` names. Without --from a\n"
    "                           day is worked out from the record, and the command shown\n"
    "  --event ID               the case is about this event: see `beamtally event`\n"
    "  --with-look-back         list the days that a change may have affected\n"
    "  --with-remarks           remarks, notes of events, causes and actions as people wrote them\n"
    "  --with-operator          operators, and who entered what\n"
    "  --with-sources           the log files as well, from the folders named, this one and the\n"
    "                           ledger's; refused where a column looks like a patient's identity,\n"
    "                           and asked about where nobody has looked at one (--yes answers)\n"
    "  --paper a4|letter        landscape\n"
    "  -o, --output FOLDER\n" HELP_COMMON;

const char help_runlength[] =
    "Example:  beamtally runlength --rules WE1,WE4 --checks-per-month 20\n"
    "          beamtally runlength --k 0.5 --headstart 0.5 --arl 370\n"
    "          beamtally runlength --budget 2 --checks-per-month 20 --shift 1\n\n"
    "beamtally runlength [options]\n"
    "How many checks pass until a chart signals: false signals on a laser that hasn't changed, and\n"
    "how soon a shift is found. Centre and sigma are taken as known. Without a chart named: all four\n"
    "zone rules, and the CUSUM that the charts run. Zone rules and CUSUM together are counted as one\n"
    "chart as well, by simulation. Needs no ledger.\n\n"
    "  --rules WE1,WE2..        zone rules used together, any of WE1, WE2, WE3, WE4\n"
    "  --k K, --h H             CUSUM of both sides, in sigma (0.5 and 5)\n"
    "  --headstart F            where both sums begin, as a fraction of h (0)\n"
    "  --lambda L, --limit L    EWMA, with exact limits, in its own sigma (0.2 and 2.962)\n"
    "  --constant-limits        the EWMA's limits constant, as published tables have them\n"
    "  --arl A                  find h, or the EWMA's limit, for one false signal in A checks\n"
    "  --shift S                of the mean, in sigma; else several as text, none as JSON\n"
    "  --checks-per-month N     also tell false signals a month and a year\n"
    "  --charts M               M such charts used together, as one unit has them\n"
    "  --n N                    limits from N points, none screened out: run lengths as a range\n"
    "  --budget B               which charts give at most B false signals a year, and how soon\n"
    "                           each finds the shift (1), best first; at 20 checks a month\n"
    "                           unless said; with --charts M, M charts together\n"
    "  --format text|json\n" HELP_COMMON;

const char help_verify[] =
    "Example:  beamtally verify\n"
    "          beamtally verify --state \"4c1f 09ab 77d2 e035 8b61\"\n"
    "          beamtally verify reports/suite-north-2026-09-rev1.pdf\n\n"
    "beamtally verify [FOLDER|FILE] [--state DIGITS]\n"
    "Computes the digest of every check and event and the chain of entries anew, and names the first\n"
    "that is not as it was written: exit status 1. The logs that were imported are looked for in\n"
    "this folder, by name, and hashed again; how many are as imported is counted, and --verbose\n"
    "names each. Entries that are dated before the one before them are remarked.\n\n"
    "Of a FILE: whether it is, byte for byte, a report issued from this ledger: which laser, month\n"
    "and revision, and that the state before it still stands in the chain. Any other file, an altered\n"
    "report and a draft as well, is exit status 1.\n\n"
    "Of a FOLDER that `evidence` made: every file against the manifest, and limits and signals anew\n"
    "from checks.csv alone. Where the ledger is at hand: every CSV, limits.json and README.txt made\n"
    "again as of the folder's state and compared byte by byte, copies of logs by their SHA-256; a\n"
    "folder that another version of Beamtally made may differ in its words. Without the ledger, who\n"
    "alters a file can make a new manifest: then only the manifest's own SHA-256 shows it, printed\n"
    "here, against that on the paper. evidence.pdf follows from the manifest alone.\n\n"
    "This shows damage and careless edits. Whoever can edit the file can also compute the chain\n"
    "anew, or take the newest entries off its end: to show that, give the state from a printed\n"
    "report, the newest there is. `report --issue` and `evidence` verify the ledger as well, and make\n"
    "nothing from one that is not whole.\n\n"
    "  --state DIGITS           the ledger state as a report prints it, 20 hex digits, with or\n"
    "                           without blanks: where does it stand in this ledger? Not at all is\n"
    "                           exit status 1\n" HELP_COMMON;

const char help_backup[] =
    "Example:  beamtally backup ledger-2026-09-30.sqlite\n\n"
    "beamtally backup FILE\n"
    "Copies the ledger, also while others use it, and verifies the copy before it gets its name.\n"
    "Never over a file that is there. A backup is a ledger: --ledger FILE reads it. After restoring\n"
    "one, `beamtally verify --state` shows whether a report printed since then still stands in it.\n\n" HELP_COMMON;

const char help_export[] =
    "Example:  beamtally export -o ledger-2026-09-30\n\n"
    "beamtally export [--format csv|json] [-o FOLDER]\n"
    "Everything that the ledger holds, as open files in a new folder: a CSV a table, or one JSON\n"
    "document; the settings as a file that `settings` takes; README.txt says what each file is.\n"
    "checks.csv and events.csv go back in by `import`. Never over a folder that is there.\n\n"
    "  --format csv|json\n"
    "  -o, --output FOLDER      where it goes; else export\n" HELP_COMMON;
