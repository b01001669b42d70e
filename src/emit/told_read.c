/* Reading an evidence folder back: limits.json, then the rows of checks.csv and signals.csv. */
#include "told_room.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static bt_told_chart *chart_of(bt_told_case *told, const char *key) {
  for (size_t c = 0; key != NULL && c < told->charts_n; c++)
    if (strcmp(told->charts[c].key, key) == 0)
      return &told->charts[c];
  return NULL;
}

/* A row being read: the first column that is wrong is remembered. */
typedef struct reader {
  const emit_csv *csv;
  const char *wrong;
} reader;

static const char *text_of(reader *of, const char *column) {
  const char *cell = emit_csv_cell(of->csv, column);
  if (cell == NULL && of->wrong == NULL)
    of->wrong = column;
  return cell == NULL ? "" : cell;
}

/* Empty where there is no such number. */
static bool real_of(reader *of, const char *column, double *value) {
  const char *cell = text_of(of, column);
  char *end;
  *value = 0;
  if (*cell == '\0')
    return false;
  *value = strtod(cell, &end);
  bool good = *end == '\0' && isfinite(*value) && strchr(cell, 'x') == NULL;
  if (!good && of->wrong == NULL)
    of->wrong = column;
  return good;
}

static double needed_real(reader *of, const char *column) {
  double value;
  if (!real_of(of, column, &value) && of->wrong == NULL)
    of->wrong = column;
  return value;
}

static int32_t integer_of(reader *of, const char *column, bool needed) {
  const char *cell = text_of(of, column);
  char *end;
  errno = 0;
  long long value = strtoll(cell, &end, 10);
  bool good =
      (*cell != '\0' || !needed) && *end == '\0' && errno == 0 && value >= 0 && value <= INT32_MAX;
  if (!good && of->wrong == NULL)
    of->wrong = column;
  return good ? (int32_t)value : 0;
}

/* The number of the word among those, ended by NULL. */
static int word_of(reader *of, const char *column, const char *const *words) {
  const char *cell = text_of(of, column);
  for (int i = 0; words[i] != NULL; i++)
    if (strcmp(cell, words[i]) == 0)
      return i;
  if (of->wrong == NULL)
    of->wrong = column;
  return 0;
}

static bt_time moment_of(reader *of, bool *has_clock) {
  bt_time at;
  (void)text_of(of, "date");
  (void)text_of(of, "time");
  if (!emit_csv_moment(of->csv, &at, has_clock) && of->wrong == NULL)
    of->wrong = "date";
  return at;
}

/* A folder of before targets were told has no such column. */
static bool has_column(const reader *of, const char *column) {
  return emit_csv_cell(of->csv, column) != NULL;
}

static void read_point(reader *of, bt_told_check *check) {
  static const char *const judged[] = {"no", "rules", "limit", NULL};
  static const char *const why[] = {
      "",  "no_baseline", "other_target", "fill_too_old", "fill_age_unknown",
      NULL}; /* as bt_told_why */
  const char *baseline = text_of(of, "baseline");
  check->is_point = *text_of(of, "point_checks") != '\0';
  if (!check->is_point)
    return;
  check->segment = integer_of(of, "segment", false);
  check->in_baseline = *baseline != '\0';
  check->used = strcmp(baseline, "used") == 0;
  check->point_checks = (uint32_t)integer_of(of, "point_checks", true);
  check->point_reading = needed_real(of, "point_reading");
  check->has_point_age = real_of(of, "point_age_days", &check->point_age_days);
  check->point_value = needed_real(of, "point_value");
  check->has_range = real_of(of, "moving_range", &check->moving_range);
  check->judged = word_of(of, "judged", judged);
  check->has_why = has_column(of, "not_judged");
  check->why_not = check->has_why ? word_of(of, "not_judged", why) : BT_TOLD_JUDGED;
}

static bt_status read_check(const emit_csv *csv, bt_told_case *told, bt_error *error) {
  static const char *const roles[] = {"charted", "retest", "as_left", "retest as_left", NULL};
  static const char *const known[] = {"no", "yes", NULL};
  reader of = {.csv = csv};
  bt_told_chart *chart = chart_of(told, text_of(&of, "characteristic"));
  if (chart == NULL)
    return emit_csv_wrong(csv, "characteristic", error);
  if (!bt_grow(&chart->checks, &chart->checks_room, chart->checks_n + 1, sizeof *chart->checks))
    return bt_fail_memory(error);
  bt_told_check *check = &chart->checks[chart->checks_n++];
  check->line = csv->line;
  check->at = moment_of(&of, &check->has_clock);
  check->sequence = integer_of(&of, "sequence", true);
  check->reading = needed_real(&of, "reading");
  check->has_low = real_of(&of, "tolerance_low", &check->low);
  check->has_high = real_of(&of, "tolerance_high", &check->high);
  int role = word_of(&of, "role", roles);
  check->retest = (role & 1) != 0;
  check->as_left = (role & 2) != 0;
  check->fill = integer_of(&of, "fill", true);
  check->stretch = integer_of(&of, "stretch", true);
  check->age_days = needed_real(&of, "fill_age_days");
  check->age_known = word_of(&of, "fill_age_known", known) == 1;
  if (has_column(&of, "target_mj"))
    (void)real_of(&of, "target_mj", &check->target_mj);
  check->source = integer_of(&of, "source", true);
  check->log_line = integer_of(&of, "line", false);
  const char *digest = text_of(&of, "digest");
  if (strlen(digest) == sizeof check->digest - 1)
    memcpy(check->digest, digest, sizeof check->digest);
  else if (of.wrong == NULL)
    of.wrong = "digest";
  read_point(&of, check);
  return of.wrong == NULL ? BT_OK : emit_csv_wrong(csv, of.wrong, error);
}

static unsigned rules_of(reader *of) {
  const char *at = text_of(of, "rules");
  unsigned bits = 0;
  while (*at != '\0') {
    size_t length = strcspn(at, " ");
    unsigned found = bt_rule_named(at, length);
    if (found == 0 && of->wrong == NULL)
      of->wrong = "rules";
    bits |= found;
    at += length + (at[length] == ' ');
  }
  return bits;
}

static bt_status read_signal(const emit_csv *csv, bt_told_case *told, bt_error *error) {
  static const char *const sides[] = {"low", "high", NULL};
  static const char *const strengths[] = {"quiet", "notice", "alarm", NULL};
  reader of = {.csv = csv};
  bool clock;
  bt_told_chart *chart = chart_of(told, text_of(&of, "characteristic"));
  if (chart == NULL)
    return emit_csv_wrong(csv, "characteristic", error);
  if (!bt_grow(&chart->signals, &chart->signals_room, chart->signals_n + 1, sizeof *chart->signals))
    return bt_fail_memory(error);
  bt_told_signal *signal = &chart->signals[chart->signals_n++];
  signal->line = csv->line;
  signal->at = moment_of(&of, &clock);
  signal->sequence = integer_of(&of, "sequence", true);
  signal->side = word_of(&of, "side", sides) == 0 ? BT_LOW : BT_HIGH;
  signal->strength = (bt_strength)word_of(&of, "strength", strengths);
  signal->rules = rules_of(&of);
  signal->value = needed_real(&of, "value");
  signal->has_z = real_of(&of, "z", &signal->z);
  signal->has_cusum = real_of(&of, "cusum", &signal->cusum);
  const char *episode = text_of(&of, "episode");
  if (strlen(episode) == BT_ID_DIGITS)
    memcpy(signal->episode, episode, sizeof signal->episode);
  else if (of.wrong == NULL)
    of.wrong = "episode";
  return of.wrong == NULL ? BT_OK : emit_csv_wrong(csv, of.wrong, error);
}

static bt_status read_rows(const char *folder, const char *name, bt_told_case *told,
                           bt_status (*read)(const emit_csv *, bt_told_case *, bt_error *),
                           bt_error *error) {
  emit_csv csv;
  bool row = true;
  bt_status status = emit_csv_open(folder, name, &csv, error);
  while (status == BT_OK && row) {
    status = emit_csv_next(&csv, &row, error);
    if (status == BT_OK && row)
      status = read(&csv, told, error);
  }
  emit_csv_close(&csv);
  return status;
}

bt_status bt_told_read(const char *folder, bt_told_case *told, bt_error *error) {
  *told = (bt_told_case){0};
  bt_status status = emit_told_limits(folder, told, error);
  if (status == BT_OK)
    status = read_rows(folder, "checks.csv", told, read_check, error);
  if (status == BT_OK)
    status = read_rows(folder, "signals.csv", told, read_signal, error);
  if (status != BT_OK)
    bt_told_free(told);
  return status;
}

void bt_told_free(bt_told_case *told) {
  for (size_t c = 0; c < told->charts_n; c++) {
    free(told->charts[c].key);
    free(told->charts[c].checks);
    free(told->charts[c].signals);
    free(told->charts[c].segments);
    free(told->charts[c].restarts);
  }
  free(told->charts);
  free(told->unit);
  free(told->made_by);
  *told = (bt_told_case){0};
}
