/* All cases of csv-spectrum 1.0.0 (Debian package node-csv-spectrum), a collection of CSV files
 * with the same data as JSON for whoever writes a CSV reader: field by field through lines and
 * records.
 */
#include "records.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <jansson.h>
#include <stdio.h>
#include <string.h>

#define SPECTRUM "/usr/share/nodejs/csv-spectrum"

enum { CASES = 11, MOST_FIELDS = 8, FIELD_BYTES = 64 };

/* Reads the header's names, and compares each further row with its object. */
static void compare(intake_records *records, const json_t *rows, const char *name) {
  char header[MOST_FIELDS][FIELD_BYTES];
  size_t columns = 0, row = 0;
  bt_error error = {0};
  for (bool first = true;; first = false) {
    cr_assert_eq(intake_records_next(records, &error), BT_OK, "%s: %s", name, error.text);
    if (records->at_end)
      break;
    cr_assert_null(records->bad, "%s: %s", name, records->bad);
    intake_fields *fields = &records->fields;
    if (first) {
      columns = fields->n;
      cr_assert_leq(columns, MOST_FIELDS, "%s", name);
      for (size_t i = 0; i < columns; i++)
        (void)snprintf(header[i], FIELD_BYTES, "%s", intake_field(fields, i));
      continue;
    }
    const json_t *object = json_array_get(rows, row++);
    cr_assert_not_null(object, "%s: more rows than %zu", name, json_array_size(rows));
    cr_assert_eq(fields->n, columns, "%s, row %zu", name, row);
    cr_assert_eq(json_object_size(object), columns, "%s, row %zu", name, row);
    for (size_t i = 0; i < columns; i++) {
      const char *expected = json_string_value(json_object_get(object, header[i]));
      cr_assert_not_null(expected, "%s: no \"%s\"", name, header[i]);
      cr_expect_str_eq(intake_field(fields, i), expected, "%s, row %zu, \"%s\"", name, row,
                       header[i]);
    }
  }
  cr_expect_eq(row, json_array_size(rows), "%s", name);
}

static void check_case(const char *name, int stem) {
  char csv[512], json[512];
  (void)snprintf(csv, sizeof csv, SPECTRUM "/csvs/%s", name);
  (void)snprintf(json, sizeof json, SPECTRUM "/json/%.*s.json", stem, name);
  json_error_t why;
  json_t *rows = json_load_file(json, 0, &why);
  cr_assert_not_null(rows, "%s: %s", json, why.text);
  intake_records records;
  bt_error error = {0};
  cr_assert_eq(intake_records_open(&records, csv, -1, "UTF-8", '\n', ',', &error), BT_OK, "%s",
               error.text);
  compare(&records, rows, name);
  intake_records_close(&records);
  json_decref(rows);
}

Test(intake_csv_spectrum, every_case) {
  DIR *folder = opendir(SPECTRUM "/csvs");
  cr_assert_not_null(folder, "the package node-csv-spectrum is not installed");
  int cases = 0;
  for (const struct dirent *entry; (entry = readdir(folder)) != NULL;) {
    const char *end = strrchr(entry->d_name, '.');
    if (end == NULL || strcmp(end, ".csv") != 0)
      continue;
    check_case(entry->d_name, (int)(end - entry->d_name));
    cases++;
  }
  (void)closedir(folder);
  cr_expect_eq(cases, CASES);
}
