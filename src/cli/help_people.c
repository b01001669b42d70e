/* Help of the commands by which people put something into the record. */
#include "help.h"

const char help_event[] =
    "Example:  beamtally event --unit \"Suite North\" --at 2026-08-29T14:30 --by KL service \\\n"
    "                          --note \"mirror 2 replaced\"\n\n"
    "beamtally event --unit N --at TIME --by N KIND [--note T]\n"
    "beamtally event --list [--unit N]\n"
    "Notes something done to a laser. KIND is one of gas_refill, gas_bottle, optics_cleaned,\n"
    "service, recalibration, moved, meter_changed, other. Another note of the same time and kind is\n"
    "kept beside the first; both count as one event.\n\n"
    "  --unit N                 the laser\n"
    "  --at TIME                when: 2026-08-29T14:30, or the day alone, which counts as before\n"
    "                           that day's checks\n"
    "  --by N                   who says so\n"
    "  --note T                 more words\n"
    "  --list                   all events with their numbers, for `beamtally correct --event`\n"
    "  --new-unit               take a unit that the ledger doesn't know yet\n" HELP_COMMON;

const char help_settings[] =
    "Example:  beamtally settings clinic.ini --by KL --why \"tolerances of the new manual\"\n\n"
    "beamtally settings FILE --by N --why T [--new-unit]\n"
    "beamtally settings --show\n"
    "Takes the clinic's units, tolerances with their source, and choices from an INI file; each\n"
    "version is kept. --show prints those in force. At a terminal it shows what changes, and asks.\n\n"
    "  --by N                   who decided\n"
    "  --why T                  why\n"
    "  --new-unit               take a unit that the ledger has no log of yet; else its name is\n"
    "                           refused, with the nearest, once there is any unit\n"
    "  --show                   print the settings in force\n" HELP_COMMON;

const char help_baseline[] =
    "Example:  beamtally baseline --unit \"Suite North\" --characteristic energy_ratio \\\n"
    "                             --from 2025-04-01 --to 2025-07-31 --screen --by KL \\\n"
    "                             --why \"first months after delivery\"\n\n"
    "beamtally baseline --unit N --characteristic C --from D --to D [--screen] [--accept-drift]\n"
    "                   --by N --why T\n"
    "Freezes the period that centre and limits come from. They stay until the next baseline. The\n"
    "period is tested for a trend and a step; one that drifts is refused. At a terminal it shows what\n"
    "would be frozen, and asks.\n\n"
    "  --unit N                 the laser\n"
    "  --characteristic C       energy_ratio, fluence, tracker_x, ...\n"
    "  --from D, --to D         first and last day, both within\n"
    "  --screen                 leave out points beyond 3 sigma, at most one in ten\n"
    "  --accept-drift           freeze a period that drifts all the same; the pages say so\n"
    "  --by N, --why T          who decided, and why\n" HELP_COMMON;

const char help_record[] =
    "Example:  beamtally record --unit \"Suite North\" --at 2026-09-30T08:05 --by KL \\\n"
    "                           target_mj=1.61 energy_mj=1.602 offset_x_um=4 offset_y_um=-7\n\n"
    "beamtally record --unit N --at TIME --by N KEY=VALUE...\n"
    "Puts one check into the ledger that no log holds. KEY is a column of a log as README.md lists\n"
    "them, or a characteristic of the clinic's own; a number has a decimal point.\n\n"
    "  --unit N                 the laser\n"
    "  --at TIME                when: 2026-09-30T08:05, or the day alone\n"
    "  --by N                   who typed it in\n"
    "  --new-unit               take a unit that the ledger doesn't know yet\n" HELP_COMMON;

const char help_correct[] =
    "Example:  beamtally correct --unit \"Suite North\" --at 2026-09-30T08:05 energy_mj=1.602 \\\n"
    "                            --by KL --why \"typing error in the log\"\n"
    "          beamtally correct --event 12 time=2026-08-29T15:30 --by KL --why \"was later\"\n"
    "          beamtally correct --unit \"Suite North\" --at 2026-09-30T08:05 --redact remark \\\n"
    "                            --by KL --why \"a patient's name\"\n\n"
    "beamtally correct --unit N --at TIME[#SEQ] KEY=VALUE... --by N --why T\n"
    "beamtally correct --event ID KEY=VALUE... --by N --why T\n"
    "beamtally correct (--unit N --at TIME[#SEQ] | --event ID) --withdraw --by N --why T\n"
    "beamtally correct (--unit N --at TIME[#SEQ] | --event ID) --redact [FIELD] [--everywhere]\n"
    "                  --by N --why T\n"
    "Puts a right record in the place of a wrong one, takes one back, or removes one of its texts\n"
    "for good. Shows what it will do and asks; without a terminal it needs --yes. What was there\n"
    "before is kept and both show in reports; only a removed text is gone.\n\n"
    "  --unit N, --at TIME      the check; #1 behind the time is the second one of that time\n"
    "  --event ID               the event, by its number in `beamtally event --list`\n"
    "  KEY=VALUE                what is right; KEY= alone takes a reading out. A check also has\n"
    "                           time= and unit=, an event time=, kind=, note= and unit=\n"
    "  --withdraw               the record should never have been there\n"
    "  --redact [FIELD]         remove a text; FIELD is remark (an event's: note), or pattern,\n"
    "                           selftest_failed, meter, operator. Refused where other records\n"
    "                           say the same: then correct this one, or\n"
    "  --everywhere             remove the text from every check and event of the ledger\n"
    "  --by N, --why T          who says so, and why\n" HELP_COMMON;

const char help_conflicts[] =
    "Example:  beamtally conflicts\n"
    "          beamtally conflicts 3fa92b01 --keep new --by KL --why \"the first export was cut\"\n"
    "          beamtally conflicts 3fa92b01-77c0e1d2 --keep old --by KL --why \"wrong meter\"\n\n"
    "beamtally conflicts [--unit N] [--all]\n"
    "beamtally conflicts --refused [--all]\n"
    "beamtally conflicts ID... --keep old|new|both --by N --why T\n"
    "Lists rows that were held back because the ledger has other readings of that laser and time,\n"
    "and settles those that are named, all or none; at a terminal it shows what becomes of them, and\n"
    "asks. ID-ID means all from the one to the other, as they are listed.\n\n"
    "  --unit N                 one laser only\n"
    "  --refused                instead, the lines of logs that were refused and not mended since\n"
    "  --all                    settled ones, or mended lines, too\n"
    "  --keep old               " HELP_KEEP_OLD "\n"
    "  --keep new               " HELP_KEEP_NEW "\n"
    "  --keep both              " HELP_KEEP_BOTH "\n"
    "  --by N, --why T          who decided, and why\n" HELP_COMMON;

const char help_signals[] =
    "Example:  beamtally signals --open\n\n"
    "beamtally signals [--unit N] [--open] [--format text|json|csv]\n"
    "Every episode of signals: its id, side and strength, its first and last point, the rules that\n"
    "were broken, and what was concluded of it (`beamtally resolve`).\n\n"
    "  --unit N                 one laser only\n"
    "  --open                   those that reach into the last 8 judged points\n"
    "  --format text|json|csv\n" HELP_COMMON;

const char help_resolve[] =
    "Example:  beamtally resolve 3fa92b01 --cause \"beam-delivery mirror dull\" \\\n"
    "                            --action \"mirror cleaned by the service\" --by KL\n\n"
    "beamtally resolve EPISODE --cause T --action T --by N [--restart [--at TIME]]\n"
    "Notes what was concluded of an episode of signals, by its id in `beamtally signals`. It shows\n"
    "on every report; the signal itself stays. At a terminal it asks first.\n\n"
    "  --cause T                what it came from, as far as it is known\n"
    "  --action T               what was done\n"
    "  --by N                   who concluded it\n"
    "  --restart                both sums of the CUSUM start anew at the first point after the\n"
    "                           episode's last signal\n"
    "  --at TIME                or from when the action was done on: 2026-09-30T08:05, or a day\n" HELP_COMMON;
