/* Checked allocation: sizes are multiplied without overflow, new memory is zeroed. */
#include "beamtally/base.h"

#include <stdlib.h>
#include <string.h>

void *bt_new(size_t count, size_t size) {
  if (size != 0 && count > SIZE_MAX / size)
    return NULL;
  return calloc(count == 0 ? 1 : count, size == 0 ? 1 : size);
}

char *bt_copy(const char *text) {
  if (text == NULL)
    return NULL;
  size_t length = strlen(text) + 1;
  char *copy = bt_new(length, 1);
  if (copy != NULL)
    memcpy(copy, text, length);
  return copy;
}

bool bt_grow(void *array, size_t *capacity, size_t needed, size_t size) {
  if (needed <= *capacity)
    return true;
  size_t wanted = *capacity + *capacity / 2;
  if (wanted < needed)
    wanted = needed;
  if (wanted < 8)
    wanted = 8;
  if (size == 0 || wanted > SIZE_MAX / size)
    return false;

  /* The pointer is read and written as bytes: array is the address of some T *. */
  void *old;
  memcpy(&old, array, sizeof old);
  void *grown = realloc(old, wanted * size);
  if (grown == NULL)
    return false;
  memset((char *)grown + *capacity * size, 0, (wanted - *capacity) * size);
  memcpy(array, &grown, sizeof grown);
  *capacity = wanted;
  return true;
}
