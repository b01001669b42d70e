/* The demo clinic's files: each suite's log in its own house style, the events, and the list of the
 * lines that no reader can take. */
#include <stdlib.h>
#include <string.h>

#include "demo.h"

typedef struct demo_file {
  log_file *log;
  const char *name;
} demo_file;

enum { FILES = 6 };

static void name_files(demo_files *files, demo_file all[FILES]) {
  all[0] = (demo_file){&files->north, "suite-north.csv"};
  all[1] = (demo_file){&files->third_quarter, "suite-north-2026-q3.csv"};
  all[2] = (demo_file){&files->south, "suite-south.txt"};
  all[3] = (demo_file){&files->events, "events.csv"};
  all[4] = (demo_file){&files->refused, "refused.csv"};
  all[5] = (demo_file){&files->truth, "truth.csv"};
}

bool open_files(demo_files *files, const char *folder, const char **failed) {
  demo_file all[FILES];
  name_files(files, all);
  for (size_t i = 0; i < FILES; i++) {
    size_t size = strlen(folder) + strlen(all[i].name) + 2;
    char *path = malloc(size);
    *failed = all[i].name;
    if (path == NULL)
      return false;
    snprintf(path, size, "%s/%s", folder, all[i].name);
    *all[i].log = (log_file){.file = fopen(path, "wb"), .name = all[i].name};
    free(path);
    if (all[i].log->file == NULL)
      return false;
  }
  return true;
}

bool close_files(demo_files *files, const char **failed) {
  demo_file all[FILES];
  name_files(files, all);
  bool written = true;
  for (size_t i = 0; i < FILES; i++) {
    bool good = ferror(all[i].log->file) == 0;
    good = fclose(all[i].log->file) == 0 && good;
    if (!good)
      *failed = all[i].name;
    written = written && good;
  }
  return written;
}

/* A number with that many decimals; with a decimal comma where `mark` says so. */
static void put_number(FILE *out, double value, int decimals, char mark) {
  char text[40];
  snprintf(text, sizeof text, "%.*f", decimals, value);
  char *point = strchr(text, '.');
  if (point != NULL)
    *point = mark;
  fputs(text, out);
}

static void put_cell(FILE *out, char delimiter, const char *missing, double value, int decimals,
                     char mark) {
  putc(delimiter, out);
  if (missing != NULL)
    fputs(missing, out);
  else
    put_number(out, value, decimals, mark);
}

/* The energy as it stands in the log: with its typing error or a sign that can't be. */
static void put_energy(FILE *out, char delimiter, const check *r, int decimals, char mark) {
  char text[40];
  snprintf(text, sizeof text, "%s%.*f", r->oddity == NEGATIVE ? "-" : "", decimals, r->energy);
  char *point = strchr(text, '.');
  if (r->oddity == BAD_NUMBER)
    point[1] = 'o'; /* an o for the digit: "1.o12" */
  *point = mark;
  fprintf(out, "%c%s", delimiter, text);
}

static void note_refused(demo_files *files, const log_file *log, const check *r, const char *date,
                         const char *energy) {
  const char *column = NULL, *words = NULL;
  switch (r->oddity) {
  case BAD_NUMBER:
    column = energy;
    words = "letter o typed for a digit";
    break;
  case BAD_DATE:
    column = date;
    words = "a day that no calendar has";
    break;
  case NEGATIVE:
    column = energy;
    words = "an energy below zero";
    break;
  default:
    return;
  }
  fprintf(files->refused.file, "%s,%d,%s,%s\n", log->name, log->lines, column, words);
}

static void write_north(demo_files *files, log_file *log, const check *r) {
  FILE *out = log->file;
  calendar_day c = calendar_of(r->day);
  if (r->oddity == BAD_DATE)
    fputs("2026-02-30", out);
  else
    fprintf(out, "%04d-%02d-%02d", c.year, c.month, c.day);
  fprintf(out, ",%02d:%02d,%s", r->minute / 60, r->minute % 60, suites[NORTH].name);
  put_cell(out, ',', NULL, r->target, 2, '.');
  put_energy(out, ',', r, 4, '.');
  put_cell(out, ',', r->missing[SPREAD_CELL], r->spread, 2, '.');
  put_cell(out, ',', r->missing[FLUENCE_CELL], r->fluence, 1, '.');
  put_cell(out, ',', r->missing[TRACKER_CELL], r->x, 1, '.');
  put_cell(out, ',', r->missing[TRACKER_CELL], r->y, 1, '.');
  fprintf(out, ",pass,%d,%d,%s", r->selftest_passed, suites[NORTH].selftests,
          r->selftest_passed < suites[NORTH].selftests ? "cooling flow" : "");
  put_cell(out, ',', r->missing[TEMPERATURE_CELL], r->temperature, 1, '.');
  put_cell(out, ',', r->missing[HUMIDITY_CELL], r->humidity, 0, '.');
  fprintf(out, ",%s,T%d,%s\n", r->day < day_of(METER_CHANGED) ? "M1" : "M2", r->who, r->remark);
  log->lines++;
  note_refused(files, log, r, "date", "energy_mj");
}

/* Windows-1252, lines end with CR LF. */
static void write_south(demo_files *files, log_file *log, const check *r) {
  FILE *out = log->file;
  calendar_day c = calendar_of(r->day);
  if (r->oddity == BAD_DATE)
    fputs("31.11.2025", out);
  else
    fprintf(out, "%02d.%02d.%04d", c.day, c.month, c.year);
  fprintf(out, ";%02d:%02d", r->minute / 60, r->minute % 60);
  put_cell(out, ';', NULL, r->target, 3, ',');
  put_energy(out, ';', r, 3, ',');
  put_cell(out, ';', r->missing[SPREAD_CELL], r->spread, 2, ',');
  put_cell(out, ';', r->missing[FLUENCE_CELL], r->fluence, 1, ',');
  put_cell(out, ';', r->missing[TRACKER_CELL], r->x, 1, ',');
  put_cell(out, ';', r->missing[TRACKER_CELL], r->y, 1, ',');
  fprintf(out, ";%d;%d", r->selftest_passed, suites[SOUTH].selftests);
  put_cell(out, ';', NULL, r->voltage, 2, ',');
  fprintf(out, ";%s\r\n", r->remark);
  log->lines++;
  note_refused(files, log, r, "Datum", "E Ist (mJ)");
}

void write_check(demo_files *files, int which, const check *r) {
  if (which == SOUTH) {
    write_south(files, &files->south, r);
    return;
  }
  if (r->day <= day_of(FIRST_EXPORT_TO))
    write_north(files, &files->north, r);
  if (r->day >= day_of(SECOND_EXPORT))
    write_north(files, &files->third_quarter, r);
}

void write_event(demo_files *files, int which, int64_t day, const char *time, const char *event,
                 const char *note) {
  calendar_day c = calendar_of(day);
  fprintf(files->events.file, "%04d-%02d-%02d,%s,%s,%s,%s\n", c.year, c.month, c.day, time,
          suites[which].name, event, note);
}

void write_headers(demo_files *files) {
  static const char north[] =
      "date,time,unit,target_mj,energy_mj,energy_sd_pct,fluence_mj_cm2,offset_x_um,offset_y_um,"
      "pattern,selftest_passed,selftest_total,selftest_failed,temp_c,rh_pct,meter,operator,"
      "remark\n";
  fputs(north, files->north.file);
  fputs(north, files->third_quarter.file);
  files->north.lines = files->third_quarter.lines = 1;
  fputs("Kalibrierbuch Suite South\r\n"
        "Quellmoor Eye Clinic - Auszug f\xfcr die Qualit\xe4tssicherung\r\n"
        "Datum;Uhrzeit;E Soll (mJ);E Ist (mJ);Streuung %;Fluenz mJ/cm\xb2;x (\xb5m);y (\xb5m);"
        "Selbsttest ok;Selbsttest gesamt;HV kV;Bemerkung\r\n",
        files->south.file);
  files->south.lines = 3;
  fputs("date,time,unit,event,note\n", files->events.file);
  fputs("file,line,column,words\n", files->refused.file);
}
