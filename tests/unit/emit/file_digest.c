/* SHA-256 of files against FIPS 180-4's examples (values from memory, confirmed by computation with
 * coreutils' sha256sum). */
#include "beamtally/emit.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void expect_digest(const char *text, size_t times, const char *expected) {
  char path[] = "beamtally-digest-XXXXXX", hex[2 * BT_SHA256_BYTES + 1];
  unsigned char sha256[BT_SHA256_BYTES];
  bt_error error = {0};
  int descriptor = mkstemp(path);
  cr_assert(descriptor >= 0);
  FILE *file = fdopen(descriptor, "wb");
  for (size_t i = 0; i < times; i++)
    (void)fputs(text, file);
  cr_assert_eq(fclose(file), 0);
  cr_assert_eq(bt_emit_file_digest(path, sha256, &error), BT_OK, "%s", error.text);
  for (size_t i = 0; i < BT_SHA256_BYTES; i++)
    (void)snprintf(hex + 2 * i, 3, "%02x", sha256[i]);
  cr_expect_str_eq(hex, expected);
  (void)unlink(path);
  cr_expect_eq(bt_emit_file_digest(path, sha256, &error), BT_SYSTEM);
  cr_expect_not_null(strstr(error.text, path));
}

Test(file_digest, as_published) {
  expect_digest("", 1, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  expect_digest("abc", 1, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  expect_digest("aaaaaaaaaa", 100000,
                "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}
