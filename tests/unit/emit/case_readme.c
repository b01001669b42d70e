/* README.txt of an evidence folder: that of an older format stays as it was, byte by byte, or such
 * folders would no longer hold against the ledger; what the last one says of what isn't there. */
#include "beamtally/emit.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { CHECKS = 3 };

typedef struct made_case {
  bt_unit_study unit;
  bt_study fluence, *studies[1];
  bt_case one;
  bt_case_source sources[2];
  bt_unit_setting setting;
  bt_time at[CHECKS];
  uint32_t present[CHECKS];
  uint8_t state[CHECKS];
  char name[24], setting_name[24];
  char *meter[CHECKS], id[4];
} made_case;

static bt_time day(const char *text) {
  bt_time time = 0;
  cr_assert(bt_time_parse(text, &time, NULL));
  return time;
}

/* Three checks of energy and fluence; the first stands before the case's rows. */
static void make(made_case *made, int format) {
  *made = (made_case){.name = "Suite North", .setting_name = "Suite North", .id = "M1"};
  for (size_t i = 0; i < CHECKS; i++) {
    made->at[i] = day("2025-03-31") + (bt_time)i * BT_DAY;
    made->present[i] = 1U << BT_READING_TARGET_MJ | 1U << BT_READING_ENERGY_MJ |
                       1U << BT_READING_FLUENCE_MJ_CM2 | (i == 0 ? 1U << BT_READING_HV_KV : 0);
  }
  made->fluence.characteristic = BT_FLUENCE;
  made->studies[0] = &made->fluence;
  made->setting.name = made->setting_name;
  made->sources[0].number = 1;
  made->sources[1].number = 4;
  bt_unit_study *unit = &made->unit;
  unit->studies = made->studies;
  unit->studies_n = 1;
  unit->history = (bt_history){.unit = made->name,
                               .n = CHECKS,
                               .at = made->at,
                               .present = made->present,
                               .state = made->state};
  unit->settings = (bt_settings){.units_n = 1, .units = &made->setting, .weekdays = 1U << 1};
  (void)snprintf(unit->provenance.state, sizeof unit->provenance.state, "e37b0af467982a87738b");
  made->one = (bt_case){.unit = unit,
                        .from = day("2026-02-01"),
                        .to = day("2026-10-01"),
                        .begins = day("2025-04-01"),
                        .format = format,
                        .sources_n = 2,
                        .sources = made->sources};
}

/* Owned. */
static char *readme(const bt_case *one) {
  char *text = NULL;
  size_t length = 0;
  bt_error error = {0};
  FILE *stream = open_memstream(&text, &length);
  cr_assert_not_null(stream);
  cr_assert_eq(bt_emit_case_readme(one, stream, &error), BT_OK, "%s", error.text);
  cr_assert_eq(fclose(stream), 0);
  return text;
}

#define WHAT_TO_DO                                                                                   \
  "folders that were handed over no longer hold; raise BT_CASE_FORMAT (finding/case.h) and let the " \
  "older formats stay as they are: src/values/case_formats.c, src/emit/case_readme.c"

static void expect_digest(const char *text, const char *expected) {
  char path[] = "beamtally-readme-XXXXXX", hex[2 * BT_SHA256_BYTES + 1];
  unsigned char sha256[BT_SHA256_BYTES];
  bt_error error = {0};
  int descriptor = mkstemp(path);
  cr_assert(descriptor >= 0);
  FILE *file = fdopen(descriptor, "wb");
  (void)fputs(text, file);
  cr_assert_eq(fclose(file), 0);
  cr_assert_eq(bt_emit_file_digest(path, sha256, &error), BT_OK, "%s", error.text);
  (void)unlink(path);
  for (size_t i = 0; i < BT_SHA256_BYTES; i++)
    (void)snprintf(hex + 2 * i, 3, "%02x", sha256[i]);
  cr_expect_str_eq(hex, expected,
                   "README.txt of an older folder would be another, with the digest "
                   "%s: " WHAT_TO_DO "\n%s",
                   hex, text);
}

/* Of each format: the digest of this README, by sha256sum, and how many readings, characteristics
 * and rules its folders know. */
static const struct {
  const char *digest;
  int readings, characteristics, rules;
} known[] = {{"cab56fa895e3cf7d0b41e1ff09836efc5d41507f203c1efe366edab0c06d8600", 18, 11, 8},
             {"30273603618fcac463c6720b03324e8297c9ebed0a6c2fa83f99cb81e8e3c323", 18, 11, 8},
             {"28ba5741a32d7e86ba33f495641707796a6b7e2643948e2e064785d961df7cfa", 19, 11, 8},
             {"12ad808e843bf497b120dd338d0d4a1994e2dcec46d3af7870b8a20138c81d43", 19, 11, 8}};

_Static_assert(sizeof known / sizeof *known == BT_CASE_FORMAT,
               "a new format of evidence folders has its row in `known`");

Test(case_readme, of_each_format_stays_as_it_is) {
  for (int format = 1; format <= BT_CASE_FORMAT; format++) {
    made_case made;
    make(&made, format);
    char *text = readme(&made.one);
    expect_digest(text, known[format - 1].digest);
    free(text);
  }
}

Test(case_readme, each_format_knows_what_it_knew) {
  for (int format = 1; format <= BT_CASE_FORMAT; format++) {
    bt_rules rules = bt_case_rules(format);
    int n[3] = {0};
    for (int r = 0; r < BT_READING_COUNT; r++)
      n[0] += bt_case_knows_reading(format, (bt_reading)r);
    for (int c = 0; c < BT_CHARACTERISTIC_COUNT; c++)
      n[1] += bt_case_knows_characteristic(format, (bt_characteristic)c);
    for (int r = 0; r < BT_RULE_COUNT; r++)
      n[2] += rules >> r & 1;
    cr_expect(n[0] == known[format - 1].readings && n[1] == known[format - 1].characteristics &&
                  n[2] == known[format - 1].rules,
              "evidence folders of format %d would know %d readings, %d characteristics and %d "
              "rules: " WHAT_TO_DO,
              format, n[0], n[1], n[2]);
  }
}

static void expect_lines_short(const char *text) {
  for (const char *line = text; *line != '\0';) {
    size_t length = strcspn(line, "\n");
    cr_expect(length == 0 || line[length - 1] != ' ', "%.*s", (int)length, line);
    cr_expect(length <= 110, "%zu: %.*s", length, (int)length, line);
    line += length + (line[length] == '\n');
  }
}

Test(case_readme, says_what_the_log_does_not_hold) {
  made_case made;
  make(&made, BT_CASE_FORMAT);
  char *text = readme(&made.one);
  /* The voltage was read before the case's rows alone. */
  cr_expect_not_null(strstr(text, "No check of these rows has: discharge voltage (hv_kv), pulse "));
  cr_expect_not_null(strstr(text, "(meter)"));
  cr_expect_null(strstr(text, "(energy_mj)"));
  cr_expect_not_null(strstr(text, "with the same meter as the energy is not known"));
  cr_expect_not_null(strstr(text, "Those that brought rows of this laser are 1, 4: "));
  cr_expect_not_null(strstr(text, "as the clinic entered it: mon\n"));
  expect_lines_short(text);
  free(text);

  made.meter[2] = made.id;
  made.unit.history.text[BT_FIELD_METER] = made.meter;
  made.setting.fluence = BT_FLUENCE_PLATE;
  made.unit.settings.weekdays = 0;
  made.one.sources_n = 0;
  text = readme(&made.one);
  cr_expect_null(strstr(text, "(meter)"));
  cr_expect_not_null(strstr(text, "depth in the test plate, not from the energy meter"));
  cr_expect_null(strstr(text, "brought rows"));
  cr_expect_not_null(strstr(text, "as the clinic entered it: none, so"));
  free(text);

  made.unit.studies_n = 0; /* no fluence: nothing to share a meter with */
  text = readme(&made.one);
  cr_expect_null(strstr(text, "moves both"));
  free(text);
}
