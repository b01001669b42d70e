/* Bytes to physical lines of UTF-8.
 *
 * L1  A line ends at `end`, or at the end of the file; its end belongs to it.
 * L2  A byte-order mark before the first line is dropped.
 * L3  A line beyond INTAKE_LINE_MAX is skipped, but counted.
 * L4  NUL and bytes that aren't UTF-8 are problems of their line alone. */
#include "lines.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { PIECE = 65536 };

bool intake_is_utf8(const char *encoding) {
  return strcasecmp(encoding, "UTF-8") == 0 || strcasecmp(encoding, "UTF8") == 0;
}

bt_status intake_lines_open(intake_lines *lines, const char *path, int spool, const char *encoding,
                            char end, bt_error *error) {
  *lines = (intake_lines){.bytes = {.descriptor = -1}, .end = end};
  bt_status status = intake_bytes_open(path, spool, &lines->bytes, error);
  if (status == BT_OK && !intake_is_utf8(encoding))
    status = bt_decoder_open(encoding, &lines->decoder, error);
  if (status != BT_OK)
    return status;
  lines->piece = bt_new(PIECE, 1);
  if (lines->piece == NULL)
    return bt_fail_memory(error);
  return BT_OK;
}

void intake_lines_close(intake_lines *lines) {
  intake_bytes_close(&lines->bytes);
  bt_decoder_close(lines->decoder);
  free(lines->buffer);
  free(lines->piece);
  bt_text_free(&lines->decoded);
  *lines = (intake_lines){.bytes = {.descriptor = -1}};
}

/* The number of the line in which the text ends that was decoded last; before it stands the
 * beginning of one line at most. */
static int64_t line_being_read(const intake_lines *lines) {
  int64_t number = lines->number + 1;
  for (size_t i = 0; i < lines->decoded.length; i++)
    number += lines->decoded.data[i] == lines->end;
  return number;
}

/* Reads one more piece of the file behind what is there. */
static bt_status fill(intake_lines *lines, bt_error *error) {
  size_t got = 0;
  if (lines->start > 0) {
    memmove(lines->buffer, lines->buffer + lines->start, lines->filled - lines->start);
    lines->filled -= lines->start;
    lines->scanned -= lines->start;
    lines->start = 0;
  }
  bool enough = lines->most > 0 && lines->bytes.count >= lines->most;
  bt_status status =
      enough ? BT_OK : intake_bytes_read(&lines->bytes, lines->piece, PIECE, &got, error);
  if (status != BT_OK)
    return status;
  lines->ended = got == 0;
  const char *more = lines->piece;
  if (lines->decoder != NULL && !enough) {
    bt_text_clear(&lines->decoded);
    bt_error why = {0};
    status =
        bt_decoder_feed(lines->decoder, lines->piece, got, lines->ended, &lines->decoded, &why);
    if (status != BT_OK)
      return bt_fail(error, status, "line %lld: %s; name the file's encoding with --encoding",
                     (long long)line_being_read(lines), why.text);
    more = bt_text_get(&lines->decoded);
    got = lines->decoded.length;
  }
  if (!bt_grow(&lines->buffer, &lines->capacity, lines->filled + got, 1))
    return bt_fail_memory(error);
  if (got > 0)
    memcpy(lines->buffer + lines->filled, more, got);
  lines->filled += got;
  return BT_OK;
}

/* True when a byte beyond ASCII is there; eight at a time. */
static bool beyond_ascii(const char *text, size_t length) {
  size_t i = 0;
  for (; i + 8 <= length; i += 8) {
    uint64_t eight;
    memcpy(&eight, text + i, 8);
    if ((eight & UINT64_C(0x8080808080808080)) != 0)
      return true;
  }
  for (; i < length; i++)
    if (((unsigned char)text[i] & 0x80) != 0)
      return true;
  return false;
}

static intake_line_problem look(intake_lines *lines, const char *text, size_t length) {
  if (memchr(text, '\0', length) != NULL)
    return INTAKE_LINE_NUL;
  if (!beyond_ascii(text, length))
    return INTAKE_LINE_FINE;
  if (lines->decoder == NULL && !bt_utf8_valid(text, length))
    return INTAKE_LINE_NOT_UTF8;
  lines->multibyte = true;
  return INTAKE_LINE_FINE;
}

bt_status intake_lines_next(intake_lines *lines, intake_line *line, bt_error *error) {
  const char *end = NULL;
  bool too_long = false;
  *line = (intake_line){.text = ""};
  for (;;) {
    if (lines->filled > lines->scanned)
      end = memchr(lines->buffer + lines->scanned, lines->end, lines->filled - lines->scanned);
    if (end != NULL || lines->ended)
      break;
    lines->scanned = lines->filled;
    if (lines->filled - lines->start > INTAKE_LINE_MAX) {
      too_long = true;
      lines->start = lines->scanned = lines->filled;
    }
    bt_status status = fill(lines, error);
    if (status != BT_OK)
      return status;
  }
  size_t after = end == NULL ? lines->filled : (size_t)(end - lines->buffer) + 1;
  size_t length = after - lines->start;
  if (length == 0 && !too_long)
    return BT_OK;

  line->number = ++lines->number;
  line->text = lines->buffer + lines->start;
  line->length = length;
  lines->start = lines->scanned = after;
  if (line->number == 1 && length >= 3 && memcmp(line->text, "\xEF\xBB\xBF", 3) == 0) {
    line->text += 3;
    line->length -= 3;
  }
  if (too_long || length > INTAKE_LINE_MAX) {
    line->problem = INTAKE_LINE_LONG;
    line->text = "\n";
    line->length = 1;
  } else {
    line->problem = look(lines, line->text, line->length);
  }
  return BT_OK;
}
