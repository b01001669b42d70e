/* Every byte value at the edges of what is read at once: lines against a plain loop over the bytes,
 * fields against what each byte means. */
#include "gather.h"
#include "records.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

enum { READ_AT_ONCE = 65536, EDGES = 2, ROOM = (EDGES + 1) * READ_AT_ONCE };

/* Rows "f,b,y" up to one whose middle field is the byte `value` at offset `target`. */
static size_t place(char *bytes, size_t at, size_t target, int value) {
  static const char filler[] = "f,b,y\n";
  while (at + 2 * (sizeof filler - 1) < target) {
    memcpy(bytes + at, filler, sizeof filler - 1);
    at += sizeof filler - 1;
  }
  while (at < target - 1)
    bytes[at++] = 'f';
  bytes[at++] = ',';
  bytes[at++] = (char)value;
  memcpy(bytes + at, ",y\n", 3);
  return at + 3;
}

static void check_lines(const char *path, const char *bytes, size_t length, int value) {
  intake_lines lines;
  intake_line line;
  bt_error error = {0};
  const char *from = bytes, *end = bytes + length;
  int64_t number = 0;
  cr_assert_eq(intake_lines_open(&lines, path, -1, "UTF-8", '\n', &error), BT_OK);
  for (;;) {
    cr_assert_eq(intake_lines_next(&lines, &line, &error), BT_OK);
    if (line.number == 0)
      break;
    const char *after = memchr(from, '\n', (size_t)(end - from));
    cr_assert(after != NULL && line.number == ++number, "byte %d", value);
    size_t n = (size_t)(after - from) + 1;
    intake_line_problem problem = memchr(from, '\0', n) != NULL ? INTAKE_LINE_NUL
                                  : !bt_utf8_valid(from, n)     ? INTAKE_LINE_NOT_UTF8
                                                                : INTAKE_LINE_FINE;
    cr_assert(line.length == n && memcmp(line.text, from, n) == 0, "byte %d, line %lld", value,
              (long long)number);
    cr_assert_eq(line.problem, problem, "byte %d, line %lld", value, (long long)number);
    from += n;
  }
  cr_assert_eq(from, end, "byte %d", value);
  intake_lines_close(&lines);
}

/* What the record that holds the byte must be: how many fields, or 0 for a bad line. */
static size_t fields_of(int value) {
  if (value == '\0' || value == '"' || value == '\r' || value >= 0x80)
    return 0;
  return value == ',' ? 4 : value == '\n' ? 2 : 3;
}

static void check_fields(const char *path, int value) {
  intake_records records;
  bt_error error = {0};
  size_t odd = 0, bad = 0, expected = fields_of(value);
  bool blank = value == ' ' || value == '\t';
  cr_assert_eq(intake_records_open(&records, path, -1, "UTF-8", '\n', ',', &error), BT_OK);
  for (;;) {
    cr_assert_eq(intake_records_next(&records, &error), BT_OK);
    if (records.at_end)
      break;
    bad += records.bad != NULL;
    if (records.bad != NULL)
      continue;
    const char *middle = intake_field(&records.fields, 1);
    bool filler = records.fields.n == 3 && strcmp(middle, "b") == 0;
    if (filler && value != 'b')
      continue;
    odd += !filler;
    cr_assert_eq(records.fields.n, expected, "byte %d", value);
    if (expected == 3)
      cr_assert(blank ? middle[0] == '\0' : middle[0] == (char)value && middle[1] == '\0',
                "byte %d", value);
  }
  size_t rows = value == '\n' ? 2 * EDGES : value == 'b' ? 0 : EDGES;
  cr_expect_eq(bad, expected == 0 ? EDGES : 0, "byte %d", value);
  cr_expect_eq(odd, expected == 0 ? 0 : rows, "byte %d", value);
  intake_records_close(&records);
}

Test(intake_edges, every_byte_at_every_edge) {
  char *bytes = malloc(ROOM);
  cr_assert_not_null(bytes);
  for (int value = 0; value < 256; value++)
    for (size_t before = 0; before < 2;
         before++) { /* the first byte behind the edge, the last before */
      size_t length = 0;
      for (size_t edge = 1; edge <= EDGES; edge++)
        length = place(bytes, length, edge * READ_AT_ONCE - before, value);
      const char *path = file_of(bytes, length);
      check_lines(path, bytes, length, value);
      check_fields(path, value);
    }
  free(bytes);
}
