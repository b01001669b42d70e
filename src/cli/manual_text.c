/* What the manual page says besides the commands' help: surroundings, files and forms. Lines
 * between two fences ("```") are set as typed. */
#include "manual.h"

static const char description[] =
    "Beamtally reads an eye clinic's calibration logs as they are, keeps them in one file that is\n"
    "only ever added to (the ledger), and says what the history shows: is a laser drifting, from\n"
    "which day does the record show it, is it the gas, how far is it from the clinic's tolerance.\n"
    "What its words mean, `beamtally help words` tells.\n\n"
    "A chart is no substitute for the laser's own interlocks, the manufacturer's instructions or\n"
    "the responsible clinician. Beamtally commands no laser and is not intended to decide whether\n"
    "or how to treat. ArF lasers mean 193 nm ultraviolet, high voltage and toxic fluorine gas: only\n"
    "trained people, under local rules and the laser safety officer, do what a finding suggests.\n";

static const char common_options[] =
    "These belong to every command, and stand behind it or before it; a command's own options stand\n"
    "behind it. A long option is written in full and given once, its value stands behind a blank or\n"
    "\"=\". \"--\" ends the options; \"-\" as a log is standard input.\n\n"
    "  --ledger FILE            the ledger; else $BEAMTALLY_LEDGER, else beamtally.sqlite here\n"
    "  --strict                 exit status 3 where something wants a look\n"
    "  --yes                    answers the question that a command asks at a terminal before it\n"
    "                           settles or supersedes something\n"
    "  --quiet                  only data, warnings and failures\n"
    "  --verbose                more of what was done: verify names each log, import lists the\n"
    "                           refused lines that it knows of before as well\n"
    "  -h, --help               the command's help\n";

static const char exit_status[] =
    "  0                        done\n"
    "  1                        something failed: each file named on standard error is unchanged,\n"
    "                           the others went in. A verify that finds a difference is 1 as well,\n"
    "                           and words that could not be written, as on a full disk\n"
    "  2                        wrong usage; nothing was done\n"
    "  3                        only with --strict: done, and an open alarm, a refused line or a\n"
    "                           conflict wants a look\n\n"
    "Data goes to standard output, words to standard error. A command whose reader goes early, as\n"
    "with `| head`, ends by SIGPIPE without a word (141 in a shell).\n";

static const char environment[] =
    "  BEAMTALLY_LEDGER         the ledger where --ledger does not name one\n"
    "  NO_COLOR                 where it is not empty, no colour; there is none in a pipe either,\n"
    "                           nor where TERM is dumb, and nothing is ever told by colour alone\n"
    "  SOURCE_DATE_EPOCH        seconds since 1970: taken as the clock, so that the same ledger\n"
    "                           gives the same bytes on another day\n";

static const char files[] =
    "  beamtally.sqlite         the ledger, in the folder where beamtally is started; a copy is\n"
    "                           made by backup\n"
    "  reports                  where report puts its PDFs unless -o names a folder\n\n"
    "Beamtally reads no configuration of the system or of a person: what was decided stands in the\n"
    "ledger (settings), and so in every copy of it.\n";

static const char settings[] =
    "A file for settings is INI, read strictly: a key that is not known is refused with its line.\n"
    "Sections of several are numbered.\n\n"
    "```\n"
    "[clinic]\n"
    "name = Quellmoor Eye Clinic\n"
    "tell = the laser safety officer\n"
    "font = /usr/share/fonts/truetype/dejavu/DejaVuSans.ttf ; for characters that Inter lacks\n"
    "\n"
    "[unit 1]\n"
    "name = Suite North\n"
    "beam = gaussian                   ; or flat_top\n"
    "fluence = logged                  ; or energy, plate\n"
    "spread = 1s                       ; or 2s: what energy_sd_pct is\n"
    "refill_interval_days = 3\n"
    "expected_days = 1                 ; a check at least so often\n"
    "fill_age = days                   ; or pulses, with pulses_per_day = 12000: see README.md\n"
    "\n"
    "[tolerance 1]\n"
    "unit = Suite North\n"
    "characteristic = energy_ratio\n"
    "low = 0.97                        ; low, high, or both\n"
    "high = 1.03\n"
    "source = instructions for use, section 7.2\n"
    "from = 2026-01-01\n"
    "\n"
    "[characteristic 1]\n"
    "key = door_force                  ; letters, digits, _\n"
    "title = Door closing force\n"
    "unit = N\n"
    "decimals = 1\n"
    "\n"
    "[schedule]\n"
    "weekdays = mon tue wed thu fri\n"
    "\n"
    "[budget]\n"
    "alarms_per_unit_year = 1\n"
    "```\n";

static const char characteristics[] =
    "What is charted of a log, by the key that --characteristic and [tolerance] take (the title on a\n"
    "page is taken as well). A tolerance is in the unit given here.\n\n"
    "{charted}\n\n"
    "And the keys of the clinic's own, from [characteristic 1] on. drift looks at\n"
    "{drifting}, and at the clinic's own.\n";

static const char column_map[] =
    "A column map says how a log with other headers is read; columns --write makes one to start\n"
    "from.\n\n"
    "```\n"
    "[format]\n"
    "delimiter = semicolon             ; comma, semicolon, tab, pipe\n"
    "decimal = comma                   ; point, comma\n"
    "thousands = point                 ; only where 1.397 is 1397\n"
    "dates = dmy                       ; dmy, mdy, ymd\n"
    "unit = Suite South                ; where the log has no unit column\n"
    "form = wide                       ; long: one row a reading\n"
    "\n"
    "[columns]\n"
    "date = Datum\n"
    "energy_mj = E Ist (mJ)            ; canonical name = header, or @5: the fifth column\n"
    "\n"
    "[units]\n"
    "plate_depth_um = mm               ; the log's unit, converted\n"
    "\n"
    "[values]\n"
    "event.gas_refill = Gaswechsel, ja, before\n"
    "pattern.pass = Muster, i.O. | gut\n"
    "selftest_passed.18 = Selbsttest, bestanden\n"
    "```\n\n"
    "Canonical columns of checks:\n"
    "{columns}.\n"
    "energy_pct is the pulse energy in percent of its target, for a log that has no mJ (a ratio:\n"
    "energy_pct = 1 in [units]).\n"
    "Of events: date, time, unit, event, note.\n";

static const char json_forms[] =
    "Every document has \"format\":1; within a format no key is removed or renamed, new ones may\n"
    "come. Numbers have at most 15 significant digits; what is not there is null; times are the\n"
    "clinic's own, as 2026-09-30T08:05.\n\n"
    "  analyse                  format, unit, characteristic, series, session, n, baseline,\n"
    "                           individuals, moving_range, cusum, ewma, capability,\n"
    "                           capability_reason, autocorrelation, segments, points and more.\n"
    "                           A point has at, seq, source, line, segment, raw, value, z,\n"
    "                           moving_range, cusum_high, cusum_low (positive), ewma,\n"
    "                           fill_age_days, rules, alarm. baseline and individuals are those\n"
    "                           of the last segment of the span; fill_age_pulses_per_day of baseline\n"
    "                           is null where fill ages are elapsed time\n"
    "  drift                    format, unit, and one object for each of characteristics: below\n"
    "  signals                  format and episodes\n"
    "  runlength                format and charts\n"
    "  export                   format and one array a table\n";

static const char drift_json[] =
    "The object of a characteristic has characteristic, until, last_check, checks, covariates, dioptres\n"
    "and these keys; with --characteristic they stand beside format and unit.\n\n"
    "  fills                    n, known_before, known_since (the change), interval_days,\n"
    "                           slope_per_day with low and high, gas_per_day, slope_since, on_last_day\n"
    "                           (null: it doesn't grow), baseline, per_1000_pulses,\n"
    "                           planned_interval_days, fill_age_pulses_per_day (null: by time),\n"
    "                           end_days (that two fills and one in fifty reach), lasts (days before\n"
    "                           the mean meets the limit), suspected_refills, levels\n"
    "  level                    now, low, high, slope_per_day (Theil-Sen), slope_p, slope_of,\n"
    "                           from_first_baseline, window_from\n"
    "  notice, alarm            when the open episode of the change's side first had one\n"
    "  change                   kind (hinge, step), at, from, to, side, open (it may be older),\n"
    "                           levelled (a step that was a slope which has ended), slope_per_day (of\n"
    "                           the hinge) or step, steps, gone (now less before) with low, high and\n"
    "                           per_cent, failed (checks since), first_failed\n"
    "  newest                   the last five less the line of the change\n"
    "  before                   a change before an event that moved it, with event, event_at\n"
    "  plate                    the depth a pulse in the test plate\n"
    "  meters                   other lasers read with the same meter that stepped then\n"
    "  forecast                 limit, source, first_fail_5, first_fail_50, mean_at, from, to (null:\n"
    "                           no finite date), step_possible; forecast_reason says why there is none\n"
    "  past_forecasts           those of month ends before, made again, first_fail: the first failing\n"
    "                           check that came, result (inside: from its 1-in-20 to its 1-in-2 day;\n"
    "                           sooner, later, open, or overtaken by an event), moved_days: from its\n"
    "                           1-in-2 day to today's; past_score counts them\n"
    "  causes                   cause, strength, evidence, against\n"
    "  look                     threshold and likelihood_ratio\n"
    "  look_back                last_good, days, restored, by_tolerance (false: none is entered, so\n"
    "                           that none can be called good)\n"
    "  events                   before and after each, as_found, as_left, difference with interval and\n"
    "                           p, variance_ratio, spread_p; beyond, with interval and p: the\n"
    "                           difference less that of the fitted line\n"
    "  misread                  how many checks were left out as their retest was inside tolerance\n"
    "  of_no_age                how many points were left out as their gas age is unknown, or over a\n"
    "                           day older than any of the baseline\n"
    "  off_baseline             how many the screening of a baseline left out; of the voltage also\n"
    "                           those of another target energy\n"
    "  far                      days of points left out, alone and far from those around them\n";

static const char csv_forms[] =
    "UTF-8, commas, decimal points, one header line. A text that begins with =, +, -, @, a tab or a\n"
    "line end gets a leading \"'\", so that no spreadsheet takes it for a formula; import of such a\n"
    "file removes it. analyse --format csv has one row a point\n"
    "and these columns on one line:\n\n"
    "```\n"
    "at,source,line,checks,raw,value,fill_age_days,z,moving_range,cusum_high,cusum_low,strength,rules,\n"
    "  ewma,within_s,within_s_ucl\n"
    "```\n\n"
    "export and evidence name the columns of each of their files in a README.txt beside them.\n";

static const char examples[] =
    "From a log to the month's report:\n\n"
    "```\n"
    "beamtally columns log.csv\n"
    "beamtally import log.csv events.csv\n"
    "beamtally status\n"
    "beamtally report --month 2026-09\n"
    "```\n\n"
    "Is it the gas?\n\n"
    "```\n"
    "beamtally drift --unit \"Suite North\" --characteristic energy_ratio\n"
    "```\n\n"
    "A folder for the manufacturer's engineer, and whether it is as it was made:\n\n"
    "```\n"
    "beamtally evidence --unit \"Suite North\" --from 2026-02-01 -o case\n"
    "beamtally verify case\n"
    "```\n";

const manual_section manual_sections[] = {
    {"DESCRIPTION", description},
    {"OPTIONS", common_options},
    {"EXIT STATUS", exit_status},
    {"ENVIRONMENT", environment},
    {"FILES", files},
    {"SETTINGS", settings},
    {"CHARACTERISTICS", characteristics},
    {"COLUMN MAPS", column_map},
    {"JSON", json_forms},
    {"JSON of drift", drift_json},
    {"CSV", csv_forms},
    {"EXAMPLES", examples},
    {NULL, NULL},
};
