/* Tables as CSV and JSON: quoting, formulas, odd bytes, numbers that read back, failures. */
#include "beamtally/emit.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

static bt_cell text_of(const char *text) {
  return (bt_cell){.type = BT_CELL_TEXT, .text = text};
}

static bt_cell real_of(double real) {
  return (bt_cell){.type = BT_CELL_REAL, .real = real};
}

static bt_cell time_of(bt_cell_type type, const char *iso) {
  bt_time time = 0;
  cr_assert(bt_time_parse(iso, &time, NULL));
  return (bt_cell){.type = type, .integer = time};
}

/* What a table of those columns and rows is written as. Owned. */
static char *written(bool json, const char *const *names, size_t n, const bt_cell *cells,
                     size_t rows) {
  char *text = NULL;
  size_t size = 0;
  bt_error error;
  bt_table_writer writer;
  FILE *stream = open_memstream(&text, &size);
  bt_table_sink sink = bt_table_writer_open(&writer, stream, json);
  cr_assert_eq(sink.columns(sink.context, names, n, &error), BT_OK);
  for (size_t r = 0; r < rows; r++)
    cr_assert_eq(sink.row(sink.context, cells + r * n, n, &error), BT_OK);
  cr_assert_eq(bt_table_writer_close(&writer, &error), BT_OK);
  (void)fclose(stream);
  return text;
}

/* One cell of one column, as it stands in the file; line ends taken off. */
static char *one(bool json, bt_cell cell) {
  static const char *const names[] = {"a"};
  char *text = written(json, names, 1, &cell, 1);
  size_t head = strlen(json ? "[{\"a\":" : "a\r\n"), tail = strlen(json ? "}]\n" : "\r\n");
  size_t length = strlen(text);
  cr_assert(length >= head + tail);
  text[length - tail] = '\0';
  memmove(text, text + head, length - tail - head + 1);
  return text;
}

static void is(bool json, bt_cell cell, const char *expected) {
  char *text = one(json, cell);
  cr_expect_str_eq(text, expected, "%s instead of %s", text, expected);
  free(text);
}

Test(table, csv_quotes_what_needs_it) {
  is(false, text_of("plain"), "plain");
  is(false, text_of("a,b"), "\"a,b\"");
  is(false, text_of("5\" plate"), "\"5\"\" plate\"");
  is(false, text_of("two\nlines"), "\"two\nlines\"");
  is(false, text_of("two\rlines"), "\"two\rlines\"");
  is(false, text_of(" blanks "), " blanks ");
  is(false, text_of("a;b"), "a;b");
  is(false, text_of(""), "");
}

Test(table, csv_takes_formulas_from_texts_only) {
  is(false, text_of("=1+1"), "'=1+1");
  is(false, text_of("+1"), "'+1");
  is(false, text_of("-1"), "'-1");
  is(false, text_of("@sum"), "'@sum");
  is(false, text_of("\tx"), "'\tx");
  is(false, text_of("\rx"), "\"'\rx\"");
  is(false, text_of("=\"x\",1"), "\"'=\"\"x\"\",1\"");
  is(false, text_of("'=1"), "''=1");
  is(false, text_of("'plain"), "'plain");
  is(false, text_of("'"), "'");
  is(false, text_of("a=1"), "a=1");
  is(false, real_of(0.1), "0.1");
  is(false, real_of(0.30000000000000004), "0.30000000000000004");
  is(true, real_of(0.30000000000000004), "0.30000000000000004");
  is(false, real_of(-0.5), "-0.5");
  is(false, (bt_cell){.type = BT_CELL_INTEGER, .integer = -7}, "-7");
  is(true, text_of("=1+1"), "\"=1+1\"");
}

Test(table, json_escapes) {
  is(true, text_of("a \"b\" \\ /"), "\"a \\\"b\\\" \\\\ /\"");
  is(true, text_of("\n\t\x01\x1f"), "\"\\u000a\\u0009\\u0001\\u001f\"");
  is(true, text_of("\x7f"), "\"\x7f\"");
  is(true, text_of(""), "\"\"");
}

/* Kept when it is UTF-8 of whatever plane; else a replacement for each byte, in both forms. */
Test(table, bytes_that_are_no_utf8_are_replaced) {
  static const char *const kept[] = {"\xC3\xA4\xC2\xB5\xE2\x88\x92", "\xF0\x9F\x94\xAC",
                                     "\xEF\xBB\xBF", "\xE2\x80\xAE", "\xF4\x8F\xBF\xBF"};
  for (size_t i = 0; i < sizeof kept / sizeof *kept; i++) {
    char quoted[32];
    (void)snprintf(quoted, sizeof quoted, "\"%s\"", kept[i]);
    is(false, text_of(kept[i]), kept[i]);
    is(true, text_of(kept[i]), quoted);
  }
  static const struct {
    const char *bytes, *text;
  } odd[] = {{"a\xE4z", "a\xEF\xBF\xBDz"},                             /* Latin-1 */
             {"\xC3", "\xEF\xBF\xBD"},                                 /* cut at the end */
             {"\xE2\x88", "\xEF\xBF\xBD\xEF\xBF\xBD"},                 /* likewise */
             {"\xC0\x80", "\xEF\xBF\xBD\xEF\xBF\xBD"},                 /* overlong */
             {"\xED\xA0\x80", "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"}, /* half a surrogate pair */
             {"\xFFz", "\xEF\xBF\xBDz"},
             {"\xE2\"", "\xEF\xBF\xBD\""}}; /* the quotation mark isn't swallowed */
  for (size_t i = 0; i + 1 < sizeof odd / sizeof *odd; i++) {
    char quoted[32];
    (void)snprintf(quoted, sizeof quoted, "\"%s\"", odd[i].text);
    is(false, text_of(odd[i].bytes), odd[i].text);
    is(true, text_of(odd[i].bytes), quoted);
  }
  is(false, text_of("\xE2\""), "\"\xEF\xBF\xBD\"\"\"");
  is(true, text_of("\xE2\""), "\"\xEF\xBF\xBD\\\"\"");
}

Test(table, numbers_read_back) {
  static const double entered[] = {
      0,      1,        -1,  0.1,    1.61,      0.000123456789012345, 1e300, 1e-300, 2.5e15,
      123456, 99999.99, 0.3, 100000, 1234567.89};
  for (size_t i = 0; i < sizeof entered / sizeof *entered; i++)
    for (int json = 0; json < 2; json++) {
      char *text = one(json == 1, real_of(entered[i]));
      char *end = NULL;
      cr_expect_eq(strtod(text, &end), entered[i], "%s", text);
      cr_expect_str_empty(end);
      free(text);
    }
  is(false, real_of(0.1 + 0.2), "0.30000000000000004");
  is(true, real_of(0.0042), "0.0042");
  is(true, real_of(-0.0), "0");
  is(false, (bt_cell){.type = BT_CELL_INTEGER, .integer = INT64_MIN}, "-9223372036854775808");
}

Test(table, what_is_not_there) {
  static const bt_cell empty = {.type = BT_CELL_EMPTY};
  is(false, empty, "");
  is(true, empty, "null");
  is(false, text_of(NULL), "");
  is(true, text_of(NULL), "null");
  is(true, real_of(0.0 / 0.0), "null");
  is(false, real_of(1.0 / 0.0), "");
}

Test(table, times) {
  is(false, time_of(BT_CELL_DAY, "2026-08-17T08:05"), "2026-08-17");
  is(true, time_of(BT_CELL_DAY, "2026-08-17"), "\"2026-08-17\"");
  is(false, time_of(BT_CELL_CLOCK, "2026-08-17T08:05"), "08:05");
  is(false, time_of(BT_CELL_CLOCK, "2026-08-17T08:05:09"), "08:05:09");
  is(true, time_of(BT_CELL_CLOCK, "1969-12-31T23:59"), "\"23:59\"");
  is(false, time_of(BT_CELL_MOMENT, "2026-08-17T08:05"), "2026-08-17T08:05");
  is(true, time_of(BT_CELL_MOMENT, "2026-08-17T08:05:30"), "\"2026-08-17T08:05:30\"");
}

Test(table, rows_and_columns) {
  static const char *const names[] = {"unit", "x", "=n"};
  const bt_cell cells[] = {text_of("A"),
                           real_of(1.5),
                           {.type = BT_CELL_INTEGER, .integer = 2},
                           text_of("B, C"),
                           {.type = BT_CELL_EMPTY},
                           {.type = BT_CELL_EMPTY}};
  char *text = written(false, names, 3, cells, 2);
  cr_expect_str_eq(text, "unit,x,'=n\r\nA,1.5,2\r\n\"B, C\",,\r\n");
  free(text);
  text = written(true, names, 3, cells, 2);
  cr_expect_str_eq(text, "[{\"unit\":\"A\",\"x\":1.5,\"=n\":2},\n"
                         " {\"unit\":\"B, C\",\"x\":null,\"=n\":null}]\n");
  json_t *document = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
  cr_expect_eq(json_array_size(document), 2);
  json_decref(document);
  free(text);
}

Test(table, an_empty_table) {
  static const char *const names[] = {"unit", "x"};
  char *text = written(false, names, 2, NULL, 0);
  cr_expect_str_eq(text, "unit,x\r\n");
  free(text);
  text = written(true, names, 2, NULL, 0);
  cr_expect_str_eq(text, "[]\n");
  free(text);
}

Test(table, a_row_of_another_length_is_refused) {
  static const char *const names[] = {"a", "b"};
  const bt_cell cell = text_of("x");
  char *text = NULL;
  size_t size = 0;
  bt_error error = {0};
  bt_table_writer writer;
  FILE *stream = open_memstream(&text, &size);
  bt_table_sink sink = bt_table_writer_open(&writer, stream, true);
  cr_assert_eq(sink.columns(sink.context, names, 2, &error), BT_OK);
  cr_expect_eq(sink.row(sink.context, &cell, 1, &error), BT_USAGE);
  cr_expect_not_null(strstr(error.text, "1 cells in a table of 2"));
  cr_assert_eq(bt_table_writer_close(&writer, &error), BT_OK);
  (void)fclose(stream);
  free(text);
}

/* The names are freed whatever happens (the leak checker sees to that). */
Test(table, a_full_disk_is_told) {
  static const char *const names[] = {"a"};
  for (int json = 0; json < 2; json++) {
    char small[8];
    bt_error error = {0};
    bt_table_writer writer;
    const bt_cell cell = text_of("longer than the file");
    FILE *stream = fmemopen(small, sizeof small, "w");
    (void)setvbuf(stream, NULL, _IONBF, 0);
    bt_table_sink sink = bt_table_writer_open(&writer, stream, json == 1);
    cr_assert_eq(sink.columns(sink.context, names, 1, &error), BT_OK);
    cr_expect_eq(sink.row(sink.context, &cell, 1, &error), BT_SYSTEM);
    cr_expect_not_null(strstr(error.text, "disk"));
    error = (bt_error){0};
    cr_expect_eq(bt_table_writer_close(&writer, &error), BT_SYSTEM);
    cr_expect_eq(error.status, BT_SYSTEM);
    (void)fclose(stream);
  }
}
