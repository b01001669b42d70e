/* Previews of logs, and the maps that they start. */
#include "previewed.h"

#include <criterion/criterion.h>
#include <string.h>
#include <unistd.h>

bt_survey *preview_of(const char *text, const bt_reading_choices *choices) {
  bt_survey *preview = NULL;
  bt_error error = {0};
  cr_assert_eq(bt_preview_file(file_of_text(text), choices, &preview, &error), BT_OK, "%s: %s",
               text, error.text);
  return preview;
}

void preview_read_back(const bt_survey *preview, bt_reading_choices *choices, bt_text *map) {
  char name[64];
  bt_error error = {0};
  bt_map_starter(preview, map);
  cr_assert(bt_text_ok(map));
  (void)snprintf(name, sizeof name, "/tmp/bt-starter-%ld.ini", (long)getpid());
  FILE *file = fopen(name, "wb");
  cr_assert_not_null(file);
  cr_assert_eq(fwrite(bt_text_get(map), 1, map->length, file), map->length);
  cr_assert_eq(fclose(file), 0);
  bt_status status = bt_map_read(name, choices, &error);
  cr_assert_eq(unlink(name), 0);
  cr_assert_eq(status, BT_OK, "%s\n%s", error.text, bt_text_get(map));
}

void map_must_have(const bt_text *map, const char *line) {
  cr_expect_not_null(strstr(bt_text_get(map), line), "\"%s\" is not in:\n%s", line,
                     bt_text_get(map));
}
