/* `analyse --format csv`: one row a point. Every field is a number, a time or one of our own words,
 * so nothing needs quoting. */
#include "emit_room.h"

static bool write_rules(const bt_study *of, size_t i, FILE *stream) {
  unsigned both = of->rules[BT_LOW][i] | of->rules[BT_HIGH][i];
  const char *between = "";
  bool written = true;
  for (size_t r = 0; r < BT_RULE_COUNT && written; r++) {
    if ((both & bt_rule_table[r].bit) == 0)
      continue;
    written = fprintf(stream, "%s%s", between, bt_rule_table[r].key) >= 0;
    between = " ";
  }
  return written;
}

/* A number with its comma before it; nothing after the comma where it isn't there. */
static bool write_number(bool there, double value, FILE *stream) {
  return there ? fprintf(stream, ",%.15g", value) >= 0 : fputc(',', stream) != EOF;
}

static bool write_row(const bt_study *of, size_t i, FILE *stream) {
  const bt_series *points = &of->points;
  char buffer[BT_TIME_TEXT];
  bool has_z = of->judged[i] != 0 && emit_has_zones(of);
  bool several = emit_has_spread(of, i);
  bool limited = several && of->within_s_ucl != NULL && of->within_s_ucl[i] > 0;
  bool by_rules = has_z && of->judged[i] == 1;
  return fprintf(stream, "%s,%lld,%lld,%u,%.15g,%.15g", emit_at(of, i, buffer),
                 (long long)points->source[i], (long long)points->line[i], points->checks[i],
                 points->raw[i], points->value[i]) >= 0 &&
         write_number((points->flags[i] & BT_POINT_HAS_AGE) != 0, points->fill_age_days[i],
                      stream) &&
         write_number(has_z, of->z[i], stream) &&
         write_number(of->has_range[i], of->moving_range[i], stream) &&
         write_number(by_rules, of->cusum.high[i], stream) &&
         write_number(by_rules, of->cusum.low[i], stream) &&
         fprintf(stream, ",%s,", emit_strength((bt_strength)of->strength[i])) >= 0 &&
         write_rules(of, i, stream) && write_number(by_rules, of->ewma.value[i], stream) &&
         write_number(several, points->within_s[i], stream) &&
         write_number(limited, limited ? of->within_s_ucl[i] : 0, stream) &&
         fputc('\n', stream) != EOF;
}

bt_status bt_emit_analysis_csv(const bt_study *of, bt_time from, bt_time to, FILE *stream,
                               bt_error *error) {
  size_t first, end;
  emit_span(of, from, to, &first, &end);
  bool written = fputs("at,source,line,checks,raw,value,fill_age_days,z,moving_range,cusum_high,"
                       "cusum_low,strength,rules,ewma,within_s,within_s_ucl\n",
                       stream) >= 0;
  for (size_t i = first; i < end && written; i++)
    written = write_row(of, i, stream);
  return written ? BT_OK
                 : bt_fail(error, BT_SYSTEM, "the output could not be written; is the disk full?");
}
