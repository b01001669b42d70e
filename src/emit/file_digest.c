/* The SHA-256 of a file as it stands on the disk. */
#include "beamtally/emit.h"

#include <errno.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>

bt_status bt_emit_file_digest(const char *path, unsigned char sha256[BT_SHA256_BYTES],
                              bt_error *error) {
  unsigned char bytes[1 << 14];
  crypto_hash_sha256_state state;
  size_t n;
  if (sodium_init() < 0)
    return bt_fail(error, BT_SYSTEM, "the library libsodium can't be used here");
  FILE *file = fopen(path, "rbe");
  if (file == NULL)
    return bt_fail(error, BT_SYSTEM, "%s can't be read: %s", path, strerror(errno));
  (void)crypto_hash_sha256_init(&state);
  while ((n = fread(bytes, 1, sizeof bytes, file)) > 0)
    (void)crypto_hash_sha256_update(&state, bytes, n);
  bool whole = ferror(file) == 0;
  (void)fclose(file);
  (void)crypto_hash_sha256_final(&state, sha256);
  return whole ? BT_OK : bt_fail(error, BT_SYSTEM, "%s can't be read", path);
}
