/* Refused lines as CSV: RFC 4180's quoting, texts that a spreadsheet would run, and no values. */
#include "beamtally/emit.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* The text of one row, or of the header where `refusal` is NULL; owned. */
static char *row_of(const bt_refusal *refusal, bool with_file, const char *file) {
  char *text = NULL;
  size_t length = 0;
  FILE *stream = open_memstream(&text, &length);
  cr_assert_not_null(stream);
  if (refusal == NULL)
    bt_emit_refusals_header(with_file, stream);
  else
    bt_emit_refusal(refusal, with_file, file, stream);
  cr_assert_eq(fclose(stream), 0);
  return text;
}

Test(refusals, rows) {
  static const struct {
    bt_refusal refusal;
    bool with_file;
    const char *file, *row;
  } table[] = {
      {{.line = 7, .column = "Energy", .field = "energy_mj", .reason = "correct the cell"},
       false,
       NULL,
       "7,Energy,energy_mj,correct the cell\r\n"},
      {{.line = 7, .column = "Energy", .field = "energy_mj", .reason = "correct the cell"},
       true,
       "north.csv",
       "north.csv,7,Energy,energy_mj,correct the cell\r\n"},
      {{.line = 9000000000, .reason = "the row has 4 fields"},
       false,
       NULL,
       "9000000000,,,the row has 4 fields\r\n"},
      {{.line = 1, .column = "a,b", .field = "x", .reason = "say \"dmy\", or not"},
       false,
       NULL,
       "1,\"a,b\",x,\"say \"\"dmy\"\", or not\"\r\n"},
      {{.line = 1, .column = "two\nlines", .reason = "r"}, false, NULL, "1,\"two\nlines\",,r\r\n"},
      {{.line = 1, .column = "=1+1", .reason = "r"}, false, NULL, "1,'=1+1,,r\r\n"},
      {{.line = 1, .column = "+1", .reason = "r"}, false, NULL, "1,'+1,,r\r\n"},
      {{.line = 1, .column = "-1", .reason = "r"}, false, NULL, "1,'-1,,r\r\n"},
      {{.line = 1, .column = "@A1", .reason = "r"}, false, NULL, "1,'@A1,,r\r\n"},
      {{.line = 1, .column = "\tA", .reason = "r"}, false, NULL, "1,'\tA,,r\r\n"},
      {{.line = 1, .column = "\rA", .reason = "r"}, false, NULL, "1,\"'\rA\",,r\r\n"},
      {{.line = 1, .column = "=\"x\",y", .reason = "r"},
       true,
       "-",
       "'-,1,\"'=\"\"x\"\",y\",,r\r\n"},
      {{.line = 1, .column = "µ", .value = "secret", .reason = "r"}, false, NULL, "1,µ,,r\r\n"},
      {{.line = 1, .column = "", .reason = "a=b"}, false, NULL, "1,,,a=b\r\n"},
  };
  for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
    char *row = row_of(&table[i].refusal, table[i].with_file, table[i].file);
    cr_expect_str_eq(row, table[i].row, "row %zu", i);
    free(row);
  }
}

Test(refusals, header) {
  char *plain = row_of(NULL, false, NULL), *with_file = row_of(NULL, true, NULL);
  cr_expect_str_eq(plain, "line,column,field,reason\r\n");
  cr_expect_str_eq(with_file, "file,line,column,field,reason\r\n");
  free(plain);
  free(with_file);
}
