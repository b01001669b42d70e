/* Every delimiter, line end and encoding gives the same checks; RFC 4180's own examples; lines and
 * characters that fall on the edges of read buffers. */
#include "fields.h"
#include "gather.h"
#include "lines.h"
#include "records.h"

#include <criterion/criterion.h>
#include <iconv.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* The text in another encoding, by iconv alone. */
static size_t encode(const char *encoding, const char *text, size_t length, char *out,
                     size_t size) {
  iconv_t handle = iconv_open(encoding, "UTF-8");
  cr_assert_neq(handle, (iconv_t)-1);
  char *from = (char *)(uintptr_t)text, *to = out;
  size_t room = size;
  cr_assert_neq(iconv(handle, &from, &length, &to, &room), (size_t)-1);
  cr_assert_eq(iconv_close(handle), 0);
  return size - room;
}

/* A log with everything in it, put together with the given delimiter and line end. */
static void compose(bt_text *text, char d, const char *end, bool comma, bool preamble) {
  char m = comma ? ',' : '.';
  if (preamble)
    bt_text_format(text, "Morning checks \"all\" lasers%s%sPrinted 2026-08-20%s", end, end, end);
  bt_text_format(text, "Date%cTime%cUnit%cEnergy (mJ)%cOffset X (µm)%cSelf-test failed%cRemark%s",
                 d, d, d, d, d, d, end);
  bt_text_format(text,
                 "17/08/2026%c08:05%cSüd%c\"1%c61\"%c-3%cNA%c\"two%slines, \"\"said\"\" %c\"%s", d,
                 d, d, m, d, d, d, end, d, end);
  bt_text_format(text, "%s18/08/2026%c8:05 PM%cSüd%c\"0\"%c\"2%c5\"%cgas valve%c%s", end, d, d, d,
                 d, m, d, d, end);
  bt_text_format(text, "%c%c%c%c%c%c%s19/08/2026%c%c Süd %c-%c+4%cn/a%cµ²", d, d, d, d, d, d, end,
                 d, d, d, d, d, d);
}

static void compare(const kept *k, char d, const char *label) {
  char remark[KEPT_TEXT];
  (void)snprintf(remark, sizeof remark, "two\nlines, \"said\" %c", d);
  /* A blank before the closing quote is kept by the splitter and trimmed by us; a tab as well. */
  if (d == '\t')
    (void)snprintf(remark, sizeof remark, "two\nlines, \"said\"");
  cr_assert_eq(k->status, BT_OK, "%s: %s", label, k->error.text);
  cr_assert_eq(k->refusals_n, 0, "%s: line %lld: %s", label, (long long)k->refusals[0].line,
               k->reasons[0]);
  cr_assert_eq(k->checks_n, 3, "%s", label);
  const bt_check *c = k->checks;
  cr_expect_eq(c[0].time, at("2026-08-17T08:05"), "%s", label);
  cr_expect_eq(c[1].time, at("2026-08-18T20:05"), "%s", label);
  cr_expect_eq(c[2].time, at("2026-08-19"), "%s", label);
  cr_expect(c[0].has_clock && c[1].has_clock && !c[2].has_clock, "%s", label);
  cr_expect_eq(c[0].reading[BT_READING_ENERGY_MJ], 1.61, "%s", label);
  cr_expect_eq(c[0].reading[BT_READING_OFFSET_X_UM], -3.0, "%s", label);
  cr_expect_eq(c[1].reading[BT_READING_ENERGY_MJ], 0.0, "%s", label);
  cr_expect_eq(c[1].reading[BT_READING_OFFSET_X_UM], 2.5, "%s", label);
  cr_expect_eq(c[2].reading[BT_READING_OFFSET_X_UM], 4.0, "%s", label);
  uint32_t both = 1U << BT_READING_ENERGY_MJ | 1U << BT_READING_OFFSET_X_UM;
  cr_expect(c[0].present == both && c[1].present == both, "%s", label);
  cr_expect_eq(c[2].present, 1U << BT_READING_OFFSET_X_UM, "%s", label);
  for (int i = 0; i < 3; i++)
    cr_expect_str_eq(k->units[i], "Süd", "%s", label);
  cr_expect_str_eq(k->remarks[0], remark, "%s", label);
  cr_expect_str_eq(k->remarks[1], "(none)", "%s", label);
  cr_expect_str_eq(k->remarks[2], "µ²", "%s", label);
  cr_expect_str_eq(k->failed[0], "(none)", "%s", label);
  cr_expect_str_eq(k->failed[1], "gas valve", "%s", label);
  int64_t before = k->survey->header_line;
  cr_expect(c[0].line == before + 1 && c[0].last_line == before + 2, "%s", label);
  cr_expect(c[1].line == before + 4 && c[1].last_line == before + 4, "%s", label);
  cr_expect_eq(c[2].line, before + 6, "%s", label);
}

/* Spreadsheets write rows by one line end and line breaks of a cell by another. */
Test(intake_formats, line_ends_within_quotes_of_another_kind) {
  static const struct {
    const char *name, *row, *cell;
  } ends[] = {{"LF", "\n", "\r"}, {"CR", "\r", "\n"}, {"CRLF", "\r\n", "\n"}, {"LF", "\n", "\r\n"}};
  for (size_t e = 0; e < 4; e++) {
    bt_text text = {0};
    kept k;
    bt_text_format(&text, "date,unit,energy_mj,remark%s", ends[e].row);
    for (int i = 0; i < 3; i++)
      bt_text_format(&text, "2026-08-1%d,A,1.5,\"a%sb%sc\"%s", i, ends[e].cell, ends[e].cell,
                     ends[e].row);
    gather(file_of_text(bt_text_get(&text)), NULL, &k);
    cr_assert_eq(k.status, BT_OK, "%zu: %s", e, k.error.text);
    cr_expect_eq(k.checks_n, 3, "%zu: %s", e, k.reasons[0]);
    cr_expect_str_eq(k.survey->line_end, ends[e].name, "%zu", e);
    cr_expect_str_eq(k.remarks[2], "a\nb\nc", "%zu", e);
    gather_free(&k);
    bt_text_free(&text);
  }
}

Test(intake_formats, all_combinations) {
  static const char delimiters[] = {',', ';', '\t', '|'};
  static const struct {
    const char *name, *bytes;
  } ends[] = {{"LF", "\n"}, {"CRLF", "\r\n"}, {"CR", "\r"}};
  static const struct {
    const char *is, *mark;
  } encodings[] = {{"UTF-8", ""},
                   {"UTF-8", "\xEF\xBB\xBF"},
                   {"UTF-16LE", "\xFF\xFE"},
                   {"UTF-16BE", "\xFE\xFF"},
                   {"WINDOWS-1252", ""}};
  for (size_t d = 0; d < 4; d++)
    for (size_t l = 0; l < 3; l++)
      for (size_t e = 0; e < 5; e++)
        for (int shape = 0; shape < 4; shape++) {
          static char bytes[8192];
          bt_text text = {0};
          kept k;
          char label[96];
          (void)snprintf(label, sizeof label, "delimiter %d, %s, %s%s, shape %d", delimiters[d],
                         ends[l].name, encodings[e].is, encodings[e].mark[0] ? " marked" : "",
                         shape);
          compose(&text, delimiters[d], ends[l].bytes, (shape & 1) != 0, (shape & 2) != 0);
          size_t mark = strlen(encodings[e].mark);
          memcpy(bytes, encodings[e].mark, mark);
          size_t length = mark + encode(encodings[e].is, bt_text_get(&text), text.length,
                                        bytes + mark, sizeof bytes - mark);
          gather(file_of(bytes, length), NULL, &k);
          compare(&k, delimiters[d], label);
          if (k.survey != NULL) {
            cr_expect_str_eq(k.survey->encoding, encodings[e].is, "%s", label);
            cr_expect_str_eq(k.survey->line_end, ends[l].name, "%s", label);
            cr_expect_eq(k.survey->delimiter, delimiters[d], "%s", label);
            cr_expect_eq(k.survey->decimal, (shape & 1) != 0 ? BT_DECIMAL_COMMA : BT_DECIMAL_POINT,
                         "%s", label);
            cr_expect_eq(k.survey->header_line, (shape & 2) != 0 ? 4 : 1, "%s", label);
            cr_expect_eq(k.survey->source.bytes, (int64_t)length, "%s", label);
          }
          gather_free(&k);
          bt_text_free(&text);
        }
}

/* RFC 4180 (2005), section 2, rules 1 to 7: its own example lines, field by field. */
Test(intake_formats, rfc_4180_examples) {
  static const struct {
    const char *rule, *text;
    const char *rows[3]; /* fields joined by a bar */
  } table[] = {
      {"1", "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", {"aaa|bbb|ccc", "zzz|yyy|xxx"}},
      {"2", "aaa,bbb,ccc\r\nzzz,yyy,xxx", {"aaa|bbb|ccc", "zzz|yyy|xxx"}},
      {"3",
       "field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
       {"field_name|field_name|field_name", "aaa|bbb|ccc", "zzz|yyy|xxx"}},
      {"4", "aaa,bbb,ccc", {"aaa|bbb|ccc"}},
      {"5", "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", {"aaa|bbb|ccc", "zzz|yyy|xxx"}},
      {"6", "\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", {"aaa|b\r\nbb|ccc", "zzz|yyy|xxx"}},
      {"7", "\"aaa\",\"b\"\"bb\",\"ccc\"", {"aaa|b\"bb|ccc"}},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    intake_records records;
    bt_error error;
    size_t row = 0;
    cr_assert_eq(
        intake_records_open(&records, file_of_text(table[i].text), -1, "UTF-8", '\n', ',', &error),
        BT_OK);
    for (;; row++) {
      bt_text joined = {0};
      cr_assert_eq(intake_records_next(&records, &error), BT_OK);
      if (records.at_end)
        break;
      cr_assert_null(records.bad, "rule %s: %s", table[i].rule, records.bad);
      for (size_t f = 0; f < records.fields.n; f++)
        bt_text_format(&joined, "%s%s", f == 0 ? "" : "|", intake_field(&records.fields, f));
      cr_assert(row < 3 && table[i].rows[row] != NULL, "rule %s", table[i].rule);
      cr_expect_str_eq(bt_text_get(&joined), table[i].rows[row], "rule %s", table[i].rule);
      bt_text_free(&joined);
    }
    cr_expect(row == 3 || table[i].rows[row] == NULL, "rule %s", table[i].rule);
    intake_records_close(&records);
  }
}

/* A line, its end, or a character in the middle of the 64 KiB that are read at once: every offset
 * around the edge gives the same lines. */
Test(intake_formats, edges_of_the_read_buffer) {
  enum { EDGE = 65536, AROUND = 12 };
  static const char tail[] = "µ²é\r\nlast \xE2\x82\xAC\r\n";
  char *bytes = malloc(2 * EDGE + 64), *wide = malloc(4 * EDGE + 128);
  cr_assert(bytes != NULL && wide != NULL);
  for (int utf16 = 0; utf16 < 2; utf16++)
    for (int shift = 0; shift < AROUND; shift++) {
      size_t fill = (size_t)(utf16 ? EDGE / 2 : EDGE) - (size_t)shift;
      intake_lines lines;
      intake_line line;
      bt_error error;
      for (size_t i = 0; i < fill; i++)
        bytes[i] = i % 64 == 63 ? '\n' : 'x';
      memcpy(bytes + fill, tail, sizeof tail - 1);
      size_t length = fill + sizeof tail - 1;
      const char *name = NULL;
      if (utf16)
        name = file_of(wide, encode("UTF-16BE", bytes, length, wide, 4 * EDGE + 128));
      else
        name = file_of(bytes, length);
      cr_assert_eq(intake_lines_open(&lines, name, -1, utf16 ? "UTF-16BE" : "UTF-8", '\n', &error),
                   BT_OK);
      const char *from = bytes;
      int64_t number = 0;
      for (;;) {
        cr_assert_eq(intake_lines_next(&lines, &line, &error), BT_OK, "%s", error.text);
        if (line.number == 0)
          break;
        cr_assert_eq(line.number, ++number);
        cr_assert_eq(line.problem, INTAKE_LINE_FINE);
        cr_assert(from + line.length <= bytes + length && memcmp(from, line.text, line.length) == 0,
                  "shift %d, line %lld", shift, (long long)number);
        cr_assert_eq(line.text[line.length - 1], '\n');
        from += line.length;
      }
      cr_assert_eq(from, bytes + length);
      intake_lines_close(&lines);
    }
  free(bytes);
  free(wide);
}

/* FIPS 180-4's example message "abc", as a file that is no log but can be hashed: the sum that
 * NIST publishes for it; and the sum of a log does not depend on how it is read. */
Test(intake_formats, sum_of_the_bytes) {
  static const unsigned char abc[] = {0xba, 0x78, 0x16, 0xbf, 0x8f, 0x01, 0xcf, 0xea,
                                      0x41, 0x41, 0x40, 0xde, 0x5d, 0xae, 0x22, 0x23,
                                      0xb0, 0x03, 0x61, 0xa3, 0x96, 0x17, 0x7a, 0x9c,
                                      0xb4, 0x10, 0xff, 0x61, 0xf2, 0x00, 0x15, 0xad};
  unsigned char sum[BT_SHA256_BYTES];
  intake_lines lines;
  intake_line line;
  bt_error error;
  cr_assert_eq(intake_lines_open(&lines, file_of_text("abc"), -1, "UTF-8", '\n', &error), BT_OK);
  do
    cr_assert_eq(intake_lines_next(&lines, &line, &error), BT_OK);
  while (line.number != 0);
  intake_bytes_sha256(&lines.bytes, sum);
  cr_assert_arr_eq(sum, abc, sizeof abc);
  intake_lines_close(&lines);
}

/* A map's word on the encoding may be of another month's file: a byte-order mark, or a file that is
 * UTF-8 through and through, goes before it, and that is said. */
Test(intake_formats, what_a_file_shows_goes_before_a_word_on_its_encoding) {
  static const struct {
    const char *said, *log, *read_as;
  } table[] = {
      {"WINDOWS-1252",
       "\xEF\xBB\xBF"
       "date;energy_mj;remark\n2026-08-17;1,6;S\xC3\xAD\n",
       "UTF-8"},
      {"iso-8859-15", "date;energy_mj;remark\n2026-08-17;1,6;S\xC3\xAD\n", "UTF-8"},
      {"WINDOWS-1252", "date;energy_mj;remark\n2026-08-17;1,6;S\xED\n", "WINDOWS-1252"},
      {"WINDOWS-1252", "date;energy_mj;remark\n2026-08-17;1,6;Si\n", "WINDOWS-1252"},
      {"WINDOWS-1252", "date;energy_mj;remark\n2026-08-17;1,6;S\xC3\xAD, S\xED\n", "WINDOWS-1252"},
      {"utf-8",
       "\xEF\xBB\xBF"
       "date;energy_mj;remark\n2026-08-17;1,6;S\xC3\xAD\n",
       "UTF-8"},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    char said[32];
    (void)snprintf(said, sizeof said, "%s", table[i].said);
    const bt_reading_choices choices = {.unit = (char[]){"A"}, .encoding = said};
    bool overruled = strcasecmp(said, table[i].read_as) != 0;
    kept k;
    gather(file_of_text(table[i].log), &choices, &k);
    cr_assert_eq(k.checks_n, 1, "%zu: %s", i, k.error.text);
    cr_expect_str_eq(k.survey->encoding, table[i].read_as, "%zu", i);
    if (overruled)
      cr_expect_str_eq(k.remarks[0], "S\xC3\xAD", "%zu", i);
    cr_assert_eq(k.survey->hints_n, overruled, "%zu", i);
    if (overruled) {
      cr_expect_not_null(strstr(k.survey->hints[0], "the file is UTF-8 and is read so"));
      cr_expect_not_null(strstr(k.survey->hints[0], said), "%s", k.survey->hints[0]);
    }
    gather_free(&k);
  }
}
