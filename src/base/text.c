/* Growing text. A failed append sticks, so that a caller checks once at the end. */
#include "beamtally/base.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool reserve(bt_text *text, size_t more) {
  if (text->failed)
    return false;
  if (more > SIZE_MAX - text->length - 1 ||
      !bt_grow(&text->data, &text->capacity, text->length + more + 1, 1)) {
    text->failed = true;
    return false;
  }
  return true;
}

void bt_text_add_bytes(bt_text *text, const char *bytes, size_t length) {
  if (!reserve(text, length))
    return;
  if (length > 0)
    memcpy(text->data + text->length, bytes, length);
  text->length += length;
  text->data[text->length] = '\0';
}

void bt_text_add(bt_text *text, const char *piece) {
  bt_text_add_bytes(text, piece, strlen(piece));
}

void bt_text_format(bt_text *text, const char *format, ...) {
  va_list arguments, again;
  va_start(arguments, format);
  va_copy(again, arguments);
  int length = vsnprintf(NULL, 0, format, arguments);
  va_end(arguments);
  if (length < 0)
    text->failed = true;
  else if (reserve(text, (size_t)length)) {
    (void)vsnprintf(text->data + text->length, (size_t)length + 1, format, again);
    text->length += (size_t)length;
  }
  va_end(again);
}

const char *bt_in_fours(const char *digits, char grouped[BT_IN_FOURS_TEXT]) {
  size_t length = 0;
  for (size_t i = 0; digits[i] != '\0' && length + 1 < BT_IN_FOURS_TEXT; i++) {
    if (i > 0 && i % 4 == 0)
      grouped[length++] = ' ';
    grouped[length++] = digits[i];
  }
  grouped[length] = '\0';
  return grouped;
}

void bt_text_add_shell_word(bt_text *text, const char *word) {
  static const char plain[] =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-./=:,+@";
  if (*word != '\0' && *word != '-' && *word != '=' && strspn(word, plain) == strlen(word)) {
    bt_text_add(text, word);
    return;
  }
  bt_text_add(text, "'");
  for (const char *at = word; *at != '\0'; at++)
    if (*at == '\'')
      bt_text_add(text, "'\\''");
    else
      bt_text_add_bytes(text, at, 1);
  bt_text_add(text, "'");
}

void bt_text_clear(bt_text *text) {
  text->length = 0;
  if (text->data != NULL)
    text->data[0] = '\0';
}

void bt_text_free(bt_text *text) {
  if (text == NULL)
    return;
  free(text->data);
  *text = (bt_text){0};
}

bool bt_text_ok(const bt_text *text) {
  return !text->failed;
}

bool bt_text_empty(const bt_text *text) {
  return text->length == 0 && !text->failed;
}

const char *bt_text_get(const bt_text *text) {
  return text->data == NULL ? "" : text->data;
}

char *bt_text_take(bt_text *text) {
  char *taken = NULL;
  if (!text->failed)
    taken = text->data != NULL ? text->data : bt_new(1, 1);
  if (text->failed)
    free(text->data);
  *text = (bt_text){0};
  return taken;
}
