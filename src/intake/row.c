/* A record to a check or an event.
 *
 * W1  Refused: what can't be read, a sign that can't be, a time that can't be. Zero and wild values
 *     are kept: they may be the laser failing.
 * W2  The first field that can't be taken refuses the row, with its column, key, value and reason.
 * W3  Missing is absent, never zero.
 * W4  Of a refused row it is told whether a failing self-test, a remark or a gas refill is lost
 *     with it (row_lost.c).
 * W5  In long form a row brings one reading to its check; one without a value brings nothing
 *     (row_named.c). */
#include "row.h"
#include "moment.h"
#include "words.h"

#include <stdio.h>
#include <string.h>

/* 1985-01-01: no log of such a laser is older. */
static const bt_time earliest = 5479 * BT_DAY;

bool intake_row_is_empty(intake_fields *fields) {
  for (size_t i = 0; i < fields->n; i++)
    if (intake_field(fields, i)[0] != '\0')
      return false;
  return true;
}

static const char *text_of(const intake_plan *plan, intake_fields *fields,
                           const intake_column *column) {
  size_t i = column == NULL ? fields->n : (size_t)(column - plan->columns);
  return i < fields->n ? intake_field(fields, i) : "";
}

void intake_row_moment(const intake_plan *plan, intake_fields *fields, const char **date,
                       const char **clock) {
  *date = text_of(plan, fields, plan->date);
  *clock = text_of(plan, fields, plan->clock);
  if (intake_is_missing(*clock))
    *clock = NULL;
}

/* Logs that were joined bring their headers. */
static bool is_header_again(const intake_plan *plan, intake_fields *fields) {
  const char *text = text_of(plan, fields, plan->date);
  return plan->date != NULL && plan->date->header != NULL && *text != '\0' &&
         intake_is_header(text, plan->date->header);
}

/* A spreadsheet's last line: what stands in the date's place is no date but a word for what was
 * made of the rows above. */
static bool is_summary(const char *date) {
  static const char *const words[] = {
      "total",      "totals",    "sum",     "mean",         "average",  "avg",     "median",
      "min",        "max",       "minimum", "maximum",      "summe",    "gesamt",  "mittel",
      "mittelwert", "schnitt",   "ø",       "durchschnitt", "promedio", "media",   "suma",
      "moyenne",    "somme",     "totale",  "somma",        "média",    "soma",    "totaal",
      "gemiddelde", "gemiddeld", "som",     "toplam",       "ortalama", "średnia", "razem"};
  char first[24];
  size_t length = strcspn(date, " :=.(;");
  if (length == 0 || length >= sizeof first)
    return false;
  memcpy(first, date, length);
  first[length] = '\0';
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (bt_same_name(first, words[i]))
      return true;
  return false;
}

/* Two words or more where the time of day stands, and nothing in the row but a day and a laser. */
static bool is_event_by_itself(const intake_plan *plan, intake_fields *fields) {
  const char *words = text_of(plan, fields, plan->clock);
  for (size_t i = 0; i < plan->columns_n && i < fields->n; i++) {
    intake_role role = plan->columns[i].role;
    if (role != INTAKE_ROLE_DATE && role != INTAKE_ROLE_TIME && role != INTAKE_ROLE_UNIT &&
        !intake_is_missing(intake_field(fields, i)))
      return false;
  }
  return plan->clock != NULL && strpbrk(words, "0123456789") == NULL && strchr(words, ' ') != NULL;
}

static bool take_moment(const intake_plan *plan, intake_fields *fields, intake_row *row) {
  const intake_column *date = plan->date, *clock = plan->clock;
  const char *date_text = NULL, *clock_text = NULL;
  char iso[BT_TIME_TEXT];
  intake_row_moment(plan, fields, &date_text, &clock_text);
  if (intake_is_missing(date_text)) {
    intake_row_refuse(row, date, date_text, "the row has no date; fill it in");
    return false;
  }
  intake_moment moment;
  if (!intake_moment_read(date_text, clock_text, plan->dates, plan->dates_stated, &moment)) {
    if (is_header_again(plan, fields)) {
      intake_row_refuse(row, date, date_text,
                        "the header stands here once more, as where logs were joined; take the "
                        "line out");
      return false;
    }
    if (!moment.clock_is_wrong && is_summary(date_text)) {
      intake_row_refuse(
          row, date, date_text,
          "it looks like a total or a mean of the rows above, which is no check; take "
          "the line out");
      return false;
    }
    if (moment.clock_is_wrong && is_event_by_itself(plan, fields)) {
      intake_row_refuse(row, clock, clock_text,
                        "there are words in the time's place and no reading beside them, as of "
                        "something that was done to the laser: take that in with `beamtally "
                        "event`, and the line out");
      return false;
    }
    intake_row_refuse(row, moment.clock_is_wrong ? clock : date,
                      moment.clock_is_wrong ? clock_text : date_text, "%s", moment.reason);
    return false;
  }
  bool future = moment.time > plan->latest;
  if (future || moment.time < earliest) {
    (void)bt_time_day_iso(moment.time, iso);
    intake_row_refuse(row, date, date_text, "%s is %s; correct the date%s", iso,
                      future ? "in the future" : "before 1985, too early for a log of such a laser",
                      plan->dates_stated ? ", or the order stated with --dates" : "");
    row->refusal.clock = future ? BT_CLOCK_LATE : BT_CLOCK_EARLY;
    return false;
  }
  row->check.time = row->event.time = moment.time;
  row->check.has_clock = row->event.has_clock = moment.has_clock && !plan->days_alone;
  return true;
}

/* Between commas a field behind the header's last name: "1,5" read as 1 and 5 pushes one there. */
static bool is_pushed_out(const intake_plan *plan, intake_fields *fields) {
  for (size_t i = plan->least_n; fields->delimiter == ',' && i < fields->n; i++)
    if (intake_field(fields, i)[0] != '\0')
      return true;
  return false;
}

/* A row with more or fewer fields is read shifted, "1,5" as 1 and 5, if it is read at all. */
static bool has_right_width(const intake_plan *plan, intake_records *records, intake_row *row) {
  intake_fields *fields = &records->fields;
  if (fields->n >= plan->least_n && fields->n <= plan->columns_n && !is_pushed_out(plan, fields))
    return true;
  char lines[96] = "";
  if (records->last_line > records->first_line)
    (void)snprintf(lines, sizeof lines, " (lines %lld to %lld were read as one row)",
                   (long long)records->first_line, (long long)records->last_line);
  intake_row_refuse(
      row, NULL, NULL,
      "the row has %zu field%s where the header has %zu%s; look for a missing or an unquoted "
      "delimiter",
      fields->n, fields->n == 1 ? "" : "s", plan->least_n, lines);
  return false;
}

static void read_fields(intake_plan *plan, intake_records *records, intake_row *row) {
  intake_fields *fields = &records->fields;
  if (!has_right_width(plan, records, row) || !take_moment(plan, fields, row))
    return;
  row->check.unit = row->event.unit = plan->unit;
  for (size_t i = 0; i < fields->n; i++) {
    char *text = intake_field(fields, i);
    const intake_column *column = &plan->columns[i];
    if (column->role == INTAKE_ROLE_NAME || column->role == INTAKE_ROLE_VALUE ||
        column->role == INTAKE_ROLE_MEASURE)
      continue;
    if (intake_is_missing(text) && !(column->meanings && intake_plan_means(plan, i, text))) {
      if (column->role == INTAKE_ROLE_UNIT || column->role == INTAKE_ROLE_EVENT) {
        intake_row_refuse(row, column, text, "the row has no %s; fill it in", column->key);
        return;
      }
      continue;
    }
    if (!intake_row_take_cell(plan, i, text, row))
      return;
  }
  if (plan->long_form)
    intake_row_read_named(plan, fields, row);
  else if (plan->kind == BT_SOURCE_CHECKS && row->also == 0 && bt_check_says_nothing(&row->check))
    intake_row_refuse(row, NULL, NULL, "the row has a date but no reading; complete it");
}

void intake_row_read(intake_plan *plan, intake_records *records, intake_row *row) {
  intake_fields *fields = &records->fields;
  int64_t first = records->first_line, last = records->last_line;
  row->check = (bt_check){.line = first, .last_line = last, .own = row->own};
  row->event = (bt_event){.line = first, .last_line = last};
  if (plan->choices != NULL && plan->choices->all_events)
    row->event.kind = plan->choices->event;
  row->refusal = (bt_refusal){.line = first};
  row->also = row->worded = row->named_texts = 0;
  row->implied = 0;
  row->named_state = row->named_refill = false;
  row->kind = plan->kind == BT_SOURCE_EVENTS ? INTAKE_ROW_EVENT : INTAKE_ROW_CHECK;
  if (records->bad != NULL) {
    intake_row_refuse(row, NULL, NULL, "%s", records->bad);
    return;
  }
  if (intake_row_is_empty(fields)) {
    row->kind = INTAKE_ROW_EMPTY;
    return;
  }
  read_fields(plan, records, row);
  if (row->kind != INTAKE_ROW_REFUSED || is_header_again(plan, fields))
    return;
  intake_row_weigh(plan, fields, row);
}
