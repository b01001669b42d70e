/* What is no text, by its first bytes: known signatures (workbook, PDF, picture, archive, web page)
 * are answered with what to do instead. */
#include "no_text.h"

#include <string.h>

static const struct {
  const char *bytes;
  size_t length;
  const char *what;
} signatures[] = {
    {"PK\x03\x04", 4,
     "a spreadsheet workbook or an archive; open it, choose \"Save as\" or "
     "\"Export\", take CSV (comma separated, UTF-8), one sheet a file, and import "
     "that"},
    {"\xD0\xCF\x11\xE0", 4,
     "a spreadsheet workbook of an older kind; open it, choose \"Save as\", "
     "take CSV, and import that"},
    {"%PDF", 4, "a PDF; export the log from where it was made as CSV"},
    {"\x89PNG", 4, "a picture; export the log from where it was made as CSV"},
    {"\xFF\xD8\xFF", 3, "a picture; export the log from where it was made as CSV"},
    {"GIF8", 4, "a picture; export the log from where it was made as CSV"},
    {"II*\0", 4, "a picture; export the log from where it was made as CSV"},
    {"MM\0*", 4, "a picture; export the log from where it was made as CSV"},
    {"RIFF", 4, "a picture, a film or a sound; export the log from where it was made as CSV"},
    {"<?xml", 5, "an XML document, as some spreadsheets write; open it there and save it as CSV"},
    {"<html", 5,
     "a web page, as some programs export tables; open it in a spreadsheet and save it "
     "as CSV"},
    {"<!DOCTYPE", 9,
     "a web page, as some programs export tables; open it in a spreadsheet and save "
     "it as CSV"},
    {"7z\xBC\xAF", 4, "an archive; unpack it first"},
    {"\x1F\x8B", 2, "a compressed file; unpack it first"},
    {"SQLite format 3", 15, "a database; export the log as CSV"},
    {"{\"format\":1", 11,
     "a JSON document of Beamtally, which import does not read; it takes checks.csv and events.csv "
     "of `beamtally export --format csv`"},
    {"{\"", 2, "a JSON document; export the log as CSV"},
};

const char *intake_marked_encoding(const char *first, size_t length) {
  if (length >= 3 && memcmp(first, "\xEF\xBB\xBF", 3) == 0)
    return "UTF-8";
  if (length >= 2 && memcmp(first, "\xFF\xFE", 2) == 0)
    return "UTF-16LE";
  if (length >= 2 && memcmp(first, "\xFE\xFF", 2) == 0)
    return "UTF-16BE";
  return NULL;
}

/* Bytes that no encoding has text by: a device's zeros. */
static bool are_zeros(const char *bytes, size_t length) {
  size_t i = 0;
  while (i < length && bytes[i] == '\0')
    i++;
  return i == length;
}

bt_status intake_check_text(const char *bytes, size_t length, bool encoded, bt_error *error) {
  bool marked = encoded || intake_marked_encoding(bytes, length) != NULL;
  size_t nul = 0, control = 0;
  if (length == 0)
    return bt_fail(error, BT_INPUT, "the file is empty");
  for (size_t i = 0; i < sizeof signatures / sizeof signatures[0]; i++)
    if (length >= signatures[i].length &&
        memcmp(bytes, signatures[i].bytes, signatures[i].length) == 0)
      return bt_fail(error, BT_INPUT, "this is %s", signatures[i].what);
  for (size_t i = 0; i < length; i++) {
    unsigned char c = (unsigned char)bytes[i];
    nul += c == 0;
    control += c < 0x20 && strchr("\t\n\r\f\v\x1A", c) == NULL;
  }
  if (are_zeros(bytes, length))
    return bt_fail(error, BT_INPUT, "the file is not a text: it begins with zeros alone");
  if (!marked && nul > length / 20)
    return bt_fail(error, BT_INPUT,
                   "the file is not a text, or is UTF-16 without a byte-order mark; for the latter "
                   "say --encoding UTF-16LE (or UTF-16BE)");
  if (!marked && control > length / 20)
    return bt_fail(error, BT_INPUT, "the file is not a text; export the log as CSV");
  return BT_OK;
}
