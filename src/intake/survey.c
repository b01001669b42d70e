/* The first pass: how a log is to be read, decided from the whole of it. */
#include "columns.h"
#include "done.h"
#include "event_words.h"
#include "evidence.h"
#include "hints.h"
#include "match.h"
#include "named.h"
#include "preview.h"
#include "reading_text.h"
#include "records.h"
#include "row.h"
#include "sniff.h"
#include "unmeant.h"
#include "unseen.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Evidence of the columns that are read, and in a preview of those that nothing names yet. */
enum { NAMED, UNNAMED, EVIDENCES };

typedef struct heard {
  intake_evidence evidence[EVIDENCES];
  intake_standing standing; /* in long form */
} heard;

static void free_borrowed(const char *text) {
  free((char *)(uintptr_t)text);
}

static void forget_columns(bt_survey *survey) {
  for (size_t i = 0; i < survey->columns_n; i++) {
    bt_survey_column *column = &survey->columns[i];
    free(column->header);
    free(column->key);
    for (size_t k = 0; k < column->first_n; k++)
      free(column->first[k]);
    intake_forget_texts(column);
  }
  free(survey->columns);
  survey->columns = NULL;
  survey->columns_n = 0;
  intake_forget_names(survey);
}

void bt_survey_free(bt_survey *survey) {
  if (survey == NULL)
    return;
  forget_columns(survey);
  intake_forget_questions(survey);
  intake_forget_hints(survey);
  free_borrowed(survey->source.name);
  free_borrowed(survey->source.reading);
  free(survey->path);
  free(survey->encoding);
  free(survey->unit);
  if (survey->spool >= 0)
    (void)close(survey->spool);
  free(survey);
}

/* A refill that doesn't say whether it came before or after the reading can't be placed; every such
 * row would be refused, so the file is, with the way out. */
static bt_status check_refill(const intake_plan *plan, size_t column, const char *text,
                              int64_t line, bt_error *error) {
  bt_refill refill;
  char shown[INTAKE_SHORT_BYTES], header[INTAKE_SHORT_BYTES];
  if (intake_is_missing(text) || intake_refill_of(text, &refill) ||
      intake_plan_means(plan, column, text))
    return BT_OK;
  (void)intake_show(text, shown, sizeof shown);
  (void)intake_show(plan->columns[column].header, header, sizeof header);
  bool yes = intake_says_yes(text) || intake_event_guess(text) == BT_EVENT_GAS_REFILL;
  return bt_fail(error, BT_INPUT,
                 "the column \"%s\" notes a gas refill (line %lld: \"%s\") but not whether it "
                 "came before or after the row's reading; say it in a column map, under [values]: "
                 "event.gas_refill = %s, %s, before (or after)",
                 header, (long long)line, shown, header, yes ? shown : "ITS WORD FOR YES");
}

/* Asks for the words of a refill; in a preview once. */
static bt_status hear_refill(bt_survey *survey, const intake_plan *plan, size_t column,
                             const char *text, int64_t line, intake_evidence *evidence,
                             bt_error *error) {
  size_t asked = survey->questions_n;
  if (evidence->refill_asked)
    return BT_OK;
  bt_status status = intake_ask(survey, check_refill(plan, column, text, line, error), error);
  evidence->refill_asked = survey->questions_n > asked;
  return status;
}

/* Takes the evidence of one row's columns. */
static bt_status hear_columns(bt_survey *survey, const intake_plan *plan, intake_records *records,
                              intake_evidence *evidence, bt_error *error) {
  intake_fields *fields = &records->fields;
  size_t n = fields->n < plan->columns_n ? fields->n : plan->columns_n;
  bt_status status = BT_OK;
  for (size_t i = 0; i < n && status == BT_OK; i++) {
    intake_role role = plan->columns[i].role;
    bool number = intake_is_number(role);
    if (!number && role != INTAKE_ROLE_DATE && role != INTAKE_ROLE_TIME &&
        role != INTAKE_ROLE_REFILL)
      continue;
    const char *text = intake_field(fields, i);
    if (intake_is_missing(text))
      continue;
    if (role == INTAKE_ROLE_TIME)
      evidence->clock = true;
    else if (role == INTAKE_ROLE_DATE)
      intake_hear_date(evidence, text, records->first_line);
    else if (number)
      intake_hear_number(evidence, text, plan->thousands, records->first_line);
    else
      status = hear_refill(survey, plan, i, text, records->first_line, evidence, error);
  }
  return status;
}

/* Takes one row's evidence. */
static bt_status hear_row(bt_survey *survey, intake_plan *plan, intake_records *records, heard *h,
                          bt_error *error) {
  intake_fields *fields = &records->fields;
  const intake_name *name = NULL;
  bt_status status = hear_columns(survey, plan, records, &h->evidence[NAMED], error);
  if (status == BT_OK && plan->values_n > 0)
    intake_hear_meanings(plan, fields, records->first_line);
  if (status == BT_OK && plan->values_n > 0 &&
      !intake_hear_unmeant(plan, fields, records->first_line))
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = intake_keep_texts(survey, plan, fields, error);
  if (status == BT_OK && plan->long_form && fields->n >= plan->least_n) {
    status = intake_hear_named(survey, plan, records, &h->standing, &name, error);
    const char *value = intake_field(fields, plan->value_column);
    bool number = name != NULL && intake_is_number(name->column.role);
    if (number && !intake_is_missing(value))
      intake_hear_number(&h->evidence[NAMED], value, plan->thousands, records->first_line);
    else if (status == BT_OK && name != NULL && name->column.role == INTAKE_ROLE_REFILL)
      status = hear_refill(survey, plan, plan->value_column, value, records->first_line,
                           &h->evidence[NAMED], error);
  }
  bool looked_at = survey->preview || (plan->kind == BT_SOURCE_CHECKS && !plan->long_form &&
                                       !intake_has_readings(survey)); /* may be a diary */
  if (status != BT_OK || !looked_at)
    return status;
  bool secret = name != NULL && intake_header_is_identity(name->text);
  if (survey->preview)
    intake_suspect(survey, records, &h->evidence[UNNAMED]);
  return intake_keep_first_cells(survey, fields, secret ? plan->value_column : SIZE_MAX, error);
}

/* Reads all rows: count, sum, evidence. */
static bt_status read_rows(bt_survey *survey, heard *h, intake_seen *seen, bt_error *error) {
  intake_plan plan = {0};
  intake_records records = {.lines = {.bytes = {.descriptor = -1}}};
  bt_status status = intake_ask(survey, intake_plan_make(survey, &plan, error), error);
  survey->rows = 0;
  survey->source.kind = plan.kind;
  if (status == BT_OK)
    status = intake_open_log(survey, survey->delimiter, &records, error);
  while (status == BT_OK) {
    status = intake_records_next(&records, error);
    if (status != BT_OK || records.at_end)
      break;
    seen->not_utf8 = seen->not_utf8 || records.not_utf8;
    if (records.first_line <= survey->header_line)
      continue;
    if (records.bad == NULL && intake_row_is_empty(&records.fields))
      continue;
    survey->rows++;
    if (records.bad == NULL)
      status = hear_row(survey, &plan, &records, h, error);
  }
  if (status == BT_OK)
    status = intake_hint_unseen(survey, &plan, error);
  if (status == BT_OK)
    status = intake_hint_unmeant(survey, &plan, error);
  if (status == BT_OK) {
    survey->source.bytes = records.lines.bytes.count;
    intake_bytes_sha256(&records.lines.bytes, survey->source.sha256);
    seen->multibyte = seen->multibyte || records.lines.multibyte;
  }
  intake_records_close(&records);
  intake_plan_free(&plan);
  return status;
}

/* S2 of sniff.c: a file that isn't UTF-8 is Windows-1252, unless it is both. */
static bt_status read_in_its_encoding(bt_survey *survey, bool settled, heard *h, bt_error *error) {
  intake_seen seen = {false, false};
  bool header = true;
  bt_status status = intake_sniff_header(survey, settled, &seen, &header, error);
  bool read_on = settled || !seen.not_utf8;
  if (status == BT_OK && read_on && !header)
    status = intake_guess_header(survey, error);
  if (status == BT_OK && read_on && !header)
    status = intake_ask(survey, intake_not_recognised(survey, error), error);
  if (status == BT_OK && read_on)
    status = intake_take_units(survey, error);
  if (status == BT_OK && read_on)
    status = intake_match_columns(survey, header, error);
  if (status == BT_OK && read_on)
    status = read_rows(survey, h, &seen, error);
  if (status != BT_OK || settled || !seen.not_utf8)
    return status;

  forget_columns(survey);
  intake_forget_questions(survey);
  intake_forget_hints(survey);
  intake_standing_free(&h->standing);
  *h = (heard){0};
  free(survey->encoding);
  survey->encoding = bt_copy(seen.multibyte ? "UTF-8" : "WINDOWS-1252");
  if (survey->encoding == NULL)
    return bt_fail_memory(error);
  if (seen.multibyte)
    status = bt_fail(error, BT_INPUT,
                     "some lines are UTF-8 and others are not; save the log anew in one encoding, "
                     "or name it with --encoding UTF-8 or --encoding WINDOWS-1252");
  status = intake_ask(survey, status, error);
  if (status != BT_OK)
    return status;
  return read_in_its_encoding(survey, true, h, error);
}

/* The file's name without folders. */
static const char *name_of(const char *path) {
  const char *slash = strrchr(path, '/');
  if (strcmp(path, "-") == 0)
    return bt_input_name(path);
  return slash == NULL ? path : slash + 1;
}

static bt_status decide(bt_survey *survey, const heard *h, bt_error *error) {
  static const bt_reading_choices none;
  const bt_reading_choices *choices = survey->choices == NULL ? &none : survey->choices;
  const intake_evidence *evidence = &h->evidence[NAMED];
  bt_status status = intake_ask(
      survey, intake_decide_dates(evidence, choices->dates, &survey->dates, error), error);
  size_t asked = survey->questions_n;
  bt_decimal_mark stated = choices->decimal;
  if (status == BT_OK)
    status = intake_thousands_check(choices->thousands, &stated, error);
  if (status == BT_OK)
    status = intake_ask(
        survey, intake_decide_decimal(evidence, stated, survey->delimiter, &survey->decimal, error),
        error);
  survey->decimal_open = survey->questions_n > asked;
  bt_text doubt = {0};
  intake_doubt_order(evidence, choices->dates, &doubt);
  if (status == BT_OK && !bt_text_empty(&doubt))
    status = intake_add_hint(survey, &doubt, error);
  bt_text_free(&doubt);
  survey->days_alone = !evidence->clock;
  survey->months_named = choices->dates == BT_DATES_AUTO && evidence->named && !evidence->numbered;
  if (status == BT_OK && survey->long_form)
    status = intake_ask(survey, intake_check_standing(&h->standing, survey->dates, error), error);
  if (status != BT_OK)
    return status;
  if (!intake_has_key(survey, "unit") && choices->unit != NULL) {
    survey->unit = bt_copy(choices->unit);
    if (survey->unit == NULL)
      return bt_fail_memory(error);
  }
  if (survey->preview)
    status = intake_ask(survey, intake_check_unit(survey, error), error);
  bool short_years = choices->dates != BT_DATES_AUTO && evidence->date[INTAKE_DATE_SHORT].line != 0;
  survey->source.reading = intake_reading_text(survey, short_years);
  return survey->source.reading == NULL ? bt_fail_memory(error) : status;
}

static bt_status survey_file(const char *path, const bt_reading_choices *choices, bool preview,
                             bt_survey **survey, bt_error *error) {
  heard h = {0};
  bool marked = false;
  bt_status status = BT_OK;
  bt_survey *made = bt_new(1, sizeof *made);
  if (made == NULL)
    return bt_fail_memory(error);
  made->spool = -1;
  made->choices = choices;
  made->preview = preview;
  made->line_end = "LF";
  made->path = bt_copy(path);
  made->source.name = bt_copy(name_of(path));
  if (made->path == NULL || made->source.name == NULL)
    status = bt_fail_memory(error);
  if (status == BT_OK)
    status = intake_spool(path, choices, &made->spool, error);
  if (status == BT_OK)
    status = intake_sniff_bytes(made, &marked, error);
  if (status == BT_OK)
    status = read_in_its_encoding(made, marked || strcmp(made->encoding, "UTF-8") != 0, &h, error);
  if (status == BT_OK)
    status = decide(made, &h, error);
  if (status == BT_OK && preview)
    intake_follow(made, &h.evidence[UNNAMED]);
  if (status == BT_OK)
    intake_find_done(made);
  if (status == BT_OK)
    status = intake_hint_no_readings(made, error);
  if (status == BT_OK && preview)
    status = intake_ask_by(made, &h.evidence[UNNAMED], error);
  if (status == BT_OK && preview)
    status = intake_ask_thousands(made, &h.evidence[NAMED], &h.evidence[UNNAMED], error);
  if (status == BT_OK)
    status = intake_hint_events(made, error);
  if (status == BT_OK && preview)
    status = intake_give_hints(made, error);
  intake_standing_free(&h.standing);
  if (status != BT_OK) {
    bt_survey_free(made);
    return status;
  }
  *survey = made;
  return BT_OK;
}

bt_status bt_survey_file(const char *path, const bt_reading_choices *choices, bt_survey **survey,
                         bt_error *error) {
  return survey_file(path, choices, false, survey, error);
}

bt_status bt_preview_file(const char *path, const bt_reading_choices *choices, bt_survey **survey,
                          bt_error *error) {
  bt_error own = {0}; /* questions are read from it */
  return survey_file(path, choices, true, survey, error == NULL ? &own : error);
}
