/* What all rows together say about the order of dates and the decimal mark. */
#ifndef INTAKE_EVIDENCE_H
#define INTAKE_EVIDENCE_H

#include "date.h"
#include "number.h"
#include "thousands.h"

enum { INTAKE_SAID_BYTES = 24 };

/* The first line that says a thing, with its text, and how many do; line 0: none does. */
typedef struct intake_said {
  int64_t line, rows;
  char text[INTAKE_SAID_BYTES];
} intake_said;

typedef struct intake_evidence {
  intake_said date[INTAKE_DATE_SHORT + 1];        /* by intake_date_says */
  intake_said mark[INTAKE_MARK_COMMA_EITHER + 1]; /* by intake_mark */
  /* Numbers with a mark of thousands, by it, where the decimal mark is a point, and a comma. */
  intake_said grouped[2][BT_THOUSANDS_APOSTROPHE + 1];
  bool named, numbered; /* of the dates that need no order: some name the month, some don't */
  bool clock;           /* some row has a time of day, other than midnight behind its date */
  bool refill_asked;    /* in a preview: when its refills were is a question already */
} intake_evidence;

void intake_hear_date(intake_evidence *evidence, const char *text, int64_t line);
/* `thousands`: the mark that a person said there is. */
void intake_hear_number(intake_evidence *evidence, const char *text, bt_thousands thousands,
                        int64_t line);

/* BT_INPUT with the option that settles it, where the rows don't. */
bt_status intake_decide_dates(const intake_evidence *evidence, bt_date_order stated,
                              bt_date_order *order, bt_error *error) BT_MUST_CHECK;
bt_status intake_decide_decimal(const intake_evidence *evidence, bt_decimal_mark stated,
                                char delimiter, bt_decimal_mark *mark,
                                bt_error *error) BT_MUST_CHECK;

/* A person said the order although rows show another, or both: what can be read either way may be
 * wrong. Appends a sentence of it; nothing where the rows don't contradict. */
void intake_doubt_order(const intake_evidence *evidence, bt_date_order stated, bt_text *sentence);

#endif
