/* Encodings to UTF-8 over iconv, fed in pieces of any size. */
#include "beamtally/base.h"

#include <errno.h>
#include <iconv.h>
#include <stdlib.h>
#include <string.h>

enum { LONGEST_SEQUENCE = 16, PIECE = 4096 };

struct bt_decoder {
  iconv_t handle;
  char kept[LONGEST_SEQUENCE]; /* a sequence cut at the end of the last piece */
  size_t kept_length;
};

bt_status bt_decoder_open(const char *encoding, bt_decoder **decoder, bt_error *error) {
  bt_decoder *made = bt_new(1, sizeof *made);
  if (made == NULL)
    return bt_fail_memory(error);
  /* To iconv an empty name is the locale's encoding, and what follows a slash are its own options:
   * "//IGNORE" would drop bad bytes in silence. */
  bool plain = encoding[0] != '\0' && strchr(encoding, '/') == NULL;
  made->handle = plain ? iconv_open("UTF-8", encoding) : (iconv_t)-1;
  if (made->handle == (iconv_t)-1) {
    free(made);
    return bt_fail(error, BT_USAGE, "the encoding \"%s\" is not known here", encoding);
  }
  *decoder = made;
  return BT_OK;
}

void bt_decoder_close(bt_decoder *decoder) {
  if (decoder == NULL)
    return;
  (void)iconv_close(decoder->handle);
  free(decoder);
}

/* Converts what it can of *bytes; leaves at most a cut sequence behind. */
static bt_status convert(bt_decoder *decoder, char **bytes, size_t *length, bt_text *out,
                         bt_error *error) {
  while (*length > 0) {
    char piece[PIECE];
    char *to = piece;
    size_t room = sizeof piece;
    size_t result = iconv(decoder->handle, bytes, length, &to, &room);
    int reason = errno;
    bt_text_add_bytes(out, piece, sizeof piece - room);
    if (!bt_text_ok(out))
      return bt_fail_memory(error);
    if (result != (size_t)-1 || reason == E2BIG)
      continue;
    if (reason == EINVAL)
      return BT_OK;
    return bt_fail(error, BT_INPUT, "the byte 0x%02x is not of the file's encoding",
                   (unsigned)(unsigned char)**bytes);
  }
  return BT_OK;
}

/* Some decoders hold a letter back until they know that no accent follows it. */
static bt_status flush(bt_decoder *decoder, bt_text *out, bt_error *error) {
  char piece[LONGEST_SEQUENCE];
  char *to = piece;
  size_t room = sizeof piece;
  if (iconv(decoder->handle, NULL, NULL, &to, &room) == (size_t)-1)
    return bt_fail(error, BT_INPUT, "the file ends inside a character: it was cut short");
  bt_text_add_bytes(out, piece, sizeof piece - room);
  return bt_text_ok(out) ? BT_OK : bt_fail_memory(error);
}

bt_status bt_decoder_feed(bt_decoder *decoder, const char *bytes, size_t length, bool last,
                          bt_text *out, bt_error *error) {
  /* A cut sequence is completed byte by byte: it is at most a few bytes long. */
  while (decoder->kept_length > 0 && length > 0) {
    if (decoder->kept_length == LONGEST_SEQUENCE)
      return bt_fail(error, BT_INPUT, "a character is not of the file's encoding");
    decoder->kept[decoder->kept_length++] = *bytes++;
    length--;
    char *from = decoder->kept;
    size_t left = decoder->kept_length;
    bt_status status = convert(decoder, &from, &left, out, error);
    if (status != BT_OK)
      return status;
    memmove(decoder->kept, from, left);
    decoder->kept_length = left;
  }

  /* iconv takes a non-const pointer but does not write through it. */
  char *from = (char *)(uintptr_t)bytes;
  size_t left = length;
  bt_status status = convert(decoder, &from, &left, out, error);
  if (status != BT_OK)
    return status;
  if (left > 0) {
    if (left > LONGEST_SEQUENCE)
      return bt_fail(error, BT_INPUT, "a character is not of the file's encoding");
    memcpy(decoder->kept, from, left);
    decoder->kept_length = left;
  }
  if (!last)
    return BT_OK;
  if (decoder->kept_length > 0)
    return bt_fail(error, BT_INPUT, "the file ends inside a character: it was cut short");
  return flush(decoder, out, error);
}
