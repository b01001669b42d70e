/* What a chart or a draft may take the place of: an older one of its kind, and nothing else. */
#include "pages.h"

#include "beamtally/emit.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

static const char *const beginnings[] = {
    [BT_FORMAT_PDF] = "%PDF-", [BT_FORMAT_PNG] = "\x89PNG\r\n", [BT_FORMAT_SVG] = "<?xml"};
static const char *const kinds[] = {
    [BT_FORMAT_PDF] = "PDF", [BT_FORMAT_PNG] = "PNG", [BT_FORMAT_SVG] = "SVG"};

static bt_status begins_like_one(const char *path, bt_format format, bt_error *error) {
  char begin[8] = "";
  size_t length = strlen(beginnings[format]);
  FILE *stream = fopen(path, "rbe");
  if (stream == NULL)
    return bt_fail(error, BT_SYSTEM, "%s is there and can't be read (%s): give another name", path,
                   strerror(errno));
  size_t n = fread(begin, 1, length, stream);
  bool failed = ferror(stream) != 0;
  (void)fclose(stream);
  if (failed)
    return bt_fail(error, BT_SYSTEM, "%s is there and can't be read: give another name", path);
  if (n == 0 || (n == length && memcmp(begin, beginnings[format], length) == 0))
    return BT_OK;
  return bt_fail(error, BT_REFUSED,
                 "%s is there and is no %s, whatever its name says; it is not written over: give "
                 "another name",
                 path, kinds[format]);
}

bt_status pages_may_replace(bt_ledger *ledger, const char *path, bt_format format,
                            bt_error *error) {
  struct stat there;
  unsigned char sha256[BT_SHA256_BYTES];
  bt_issued *issued = NULL;
  bt_issued_place place;
  if (stat(path, &there) != 0 || !S_ISREG(there.st_mode))
    return BT_OK; /* new, or no file: the drawing room says what is wrong with that */
  bt_status status = begins_like_one(path, format, error);
  if (status != BT_OK || format != BT_FORMAT_PDF)
    return status;
  status = bt_emit_file_digest(path, sha256, error);
  if (status == BT_OK)
    status = bt_ledger_find_issued(ledger, sha256, &issued, &place, error);
  if (status == BT_NOTFOUND) {
    *error = (bt_error){0};
    return BT_OK;
  }
  bt_issued_free(issued, issued == NULL ? 0 : 1);
  if (status != BT_OK)
    return status;
  return bt_fail(error, BT_REFUSED,
                 "%s is a report that was issued from this ledger, and is not written over: give "
                 "another name",
                 path);
}
