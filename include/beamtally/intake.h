/* The intake room: log files, column maps and settings files to records and setups.
 *
 * Two passes over a log. The *survey* reads it once and decides how it is to be read; the *load*
 * reads it again, hashes it again and hands each row to a sink. Memory does not grow with the file.
 * What is ambiguous is refused with the option that settles it, never guessed. Nothing here knows
 * the ledger, prints, or reads the clock.
 *
 * Ownership: a survey owns what it points to, until bt_survey_free. Records handed to a sink live
 * until the sink returns. */
#ifndef BEAMTALLY_INTAKE_H
#define BEAMTALLY_INTAKE_H

#include "beamtally/base.h"
#include "beamtally/record.h"
#include "beamtally/setup.h"

enum { BT_FIRST_VALUES = 3, BT_TEXTS_MOST = 12 };

/* One column of the log, in its order. */
typedef struct bt_survey_column {
  char *header;  /* as written, trimmed, UTF-8; what stands on several lines, on one */
  char *key;     /* canonical column that it is read as; NULL: not stored */
  bool identity; /* header looks like a patient's identity: warned about, never stored */
  size_t first_n;
  char *first[BT_FIRST_VALUES]; /* in a preview, and of checks without a column of readings: its
                                   first filled cells, cut at 80 bytes; none of a column that looks
                                   like an identity */
  size_t texts_n;
  char *texts[BT_TEXTS_MOST]; /* its different texts: in a preview of a column that nothing reads,
                                 or as remarks; of checks without a column of readings, of any; else
                                 of one of events those that are none */
  int64_t texts_rows[BT_TEXTS_MOST]; /* how many rows have each */
  bool texts_more;                   /* it has more of them, or longer ones */
} bt_survey_column;

typedef struct bt_survey {
  bt_source source; /* its strings belong to the survey */
  char *path;
  char *encoding; /* "UTF-8", "UTF-16LE", "WINDOWS-1252", ... */
  char delimiter;
  const char *line_end;    /* "LF", "CRLF", "CR" */
  bt_decimal_mark decimal; /* AUTO only where no number has a fraction */
  bool decimal_open;       /* in a preview: numbers with a mark leave it open */
  bt_thousands grouped;    /* in a preview: the mark that stands as one of thousands in some cell,
                              where nobody said one */
  bt_date_order dates;
  bool months_named;    /* every date names its month, and no order was told or is needed */
  bool days_alone;      /* no row has a time of day: 00:00 behind each date is a spreadsheet's */
  int64_t header_line;  /* the last of the header: of its units, where they have a line */
  int64_t header_first; /* the first of the header, whose names may go over several; 0: no header */
  int64_t
      names_line; /* the line above that one, with the names; 0: the header has no units' line */
  bool units_line_words; /* that line of units holds words that are no units */
  int64_t rows;          /* rows of data, refused ones too */
  size_t columns_n;
  bt_survey_column *columns;
  char *unit; /* unit of all rows where the log has no unit column; or NULL */
  int spool;  /* "-", a pipe or a device was read: descriptor of a copy without a name; else -1 */
  const bt_reading_choices *choices; /* borrowed: must outlive the survey */
  bool preview;                      /* made by bt_preview_file */
  bool long_form;                    /* one row a reading: columns characteristic and value */
  bool no_readings;   /* in a preview: no column holds numbers or is read as readings or events */
  bool has_done;      /* no column is read as events, but one seems to hold them: of a preview, or
                         of a log without a column of readings */
  size_t done_column; /* that column */
  size_t names_n;     /* of a log in long form: */
  bt_survey_column *names; /* names of its readings, each as a column is: in a preview the
                              first 64, else those that look like a patient's identity */
  size_t questions_n;
  char **questions; /* in a preview: what is to be settled before a load, a sentence each */
  size_t hints_n;
  char **hints; /* what speaks against how it is read, a sentence each; in a preview also what may
                   be done further */
} bt_survey;

/* Reads the file once. `choices` holds what the person or the map settled; NULL for none.
 * BT_INPUT with a sentence when the file can't be read as a log (not a text file, a workbook, no
 * header, no date column, ambiguous dates or numbers, no known column ...); BT_SYSTEM when it can't
 * be opened. The sentence leaves the file's name to the caller. */
bt_status bt_survey_file(const char *path, const bt_reading_choices *choices, bt_survey **survey,
                         bt_error *error) BT_MUST_CHECK;
void bt_survey_free(bt_survey *survey);

/* The same for a person to look at: what bt_survey_file would refuse, but for a file that is no
 * text or can't be opened, becomes a question of the survey, and so does a log that doesn't say
 * which laser it is of; columns carry their first values. Where no line names a known column, the
 * header is the line whose number of fields most lines have. */
bt_status bt_preview_file(const char *path, const bt_reading_choices *choices, bt_survey **survey,
                          bt_error *error) BT_MUST_CHECK;

/* Where a load puts its rows, in file order. Each function may refuse to go on by its status. */
typedef struct bt_sink {
  void *context;
  bt_status (*check)(void *context, const bt_check *check, bt_error *error);
  bt_status (*event)(void *context, const bt_event *event, bt_error *error);
  bt_status (*refusal)(void *context, const bt_refusal *refusal, bt_error *error);
} bt_sink;

/* Reads the surveyed file again into the sink. In long form adjacent rows of one unit and time make
 * one check, which comes to the sink behind the refused lines among them. `latest` is the last
 * moment that a time may have (the end of tomorrow); later ones are refused. BT_INPUT when the file
 * changed since the survey, or when a preview has questions; a sink's status is passed on. */
bt_status bt_load_file(const bt_survey *survey, bt_time latest, const bt_sink *sink,
                       bt_error *error) BT_MUST_CHECK;

/* The canonical column that a header names ("Energy (mJ)" is energy_mj), or NULL. Without the
 * clinic's own characteristics. */
const char *bt_canonical_column(const char *header);

/* The reading that the survey's column is likely to be: a word and the unit of its header both
 * speak for it, and no other column is read as it. Else NULL; and NULL where the map has meanings
 * for the column's texts. */
const char *bt_likely_reading(const bt_survey *survey, const bt_survey_column *column);

/* What each column of a preview that nothing reads probably is: the key that bt_map_starter offers
 * for it, where a word or unit of its header, or dates and times of day in it, speak for that; NULL
 * for every other. `keys` has room for survey->columns_n; borrowed. */
void bt_probable_keys(const bt_survey *survey, const char **keys);

/* The same of a name of readings in a log of long form, of survey->names. */
const char *bt_probable_name(const bt_survey *survey, const bt_survey_column *name);

/* True for a column of Beamtally's own export that tells of the row and is never read. */
bool bt_is_bookkeeping(const char *header);

/* What sentences call a file that is read: "standard input" for "-", else the path. Borrowed. */
const char *bt_input_name(const char *path);

/* Reads a column map (INI, strictly: an unknown or repeated key is refused with file and line);
 * "-" is standard input.
 * own and own_n of *choices, set before, are kept: the map may name those characteristics. All else
 * of *choices is written over, and only where BT_OK is returned. */
bt_status bt_map_read(const char *path, bt_reading_choices *choices, bt_error *error) BT_MUST_CHECK;

/* Appends a map to start from: what the survey decided, its columns with their keys, and as
 * comments those that are not stored, with the keys they might have. bt_map_read takes it as it is.
 */
void bt_map_starter(const bt_survey *survey, bt_text *map);

/* Reads a settings file (INI, strictly); "-" is standard input. */
bt_status bt_settings_read(const char *path, bt_settings *settings, bt_error *error) BT_MUST_CHECK;

/* Puts one KEY=VALUE, as a person types it, into a check: a canonical reading (bt_number_typed),
 * text or state, or a characteristic of the clinic's own; an empty VALUE takes what is there out.
 * Texts and readings are the check's own then (bt_check_free). BT_INPUT with what was expected. */
bt_status bt_check_put(bt_check *check, const char *key_value, const bt_own_characteristic *own,
                       size_t own_n, bt_error *error) BT_MUST_CHECK;

/* A text as a person types it, kept as that of a log's cell would be: without blanks at its ends
 * and with one kind of line end. It is changed in place; returned is where it begins, NULL where it
 * says nothing (blank, "-", "NA", "n/a"). */
char *bt_typed_text(char *text);

/* Reads one number without thousands separators. True when the whole text is a finite number. Never
 * depends on the locale. */
bool bt_number_parse(const char *text, bt_decimal_mark decimal, double *number) BT_MUST_CHECK;

/* Reads one number as a person types it: with a decimal point, or with a comma where that can be
 * nothing else (100,4). BT_INPUT, with a clause that says what is wrong with the text, where it is
 * no number, and where it may be thousands (1,234 with both its readings). */
bt_status bt_number_typed(const char *text, double *number, bt_error *error) BT_MUST_CHECK;

#endif
