/* What the demo clinic's lasers read.
 *
 * reading = mean + episodes + sigma * normal variate, independent from check to check. The level of
 * the energy ratio is 1 + loss * (mean fill age - fill age) + episodes, ages in elapsed days since
 * the refill; the fluence is its mean times that level, with a noise of its own. The voltage rises
 * with the demand. Checked against R's lm: slopes, steps and sigmas within their errors. */
#include "demo.h"

/* Sum of the episodes of that quantity on that day, in the quantity's unit. */
static double effect(int which, quantity of, int64_t day) {
  double sum = 0.0;
  for (size_t i = 0; i < episodes_n; i++) {
    const episode *e = &episodes[i];
    int64_t from = day_of(e->from), to = day_of(e->to);
    if (e->suite != which || e->quantity != of || day < from || day >= to)
      continue;
    int64_t stairs = (day - from) / STAIR_DAYS + 1;
    if (e->shape == STEP)
      sum += e->size;
    else if (e->shape == RAMP)
      sum += e->size * (double)(day - from) / (double)(to - from);
    else if (e->shape == STAIRS)
      sum += e->size / STAIRS_N * (double)(stairs < STAIRS_N ? stairs : STAIRS_N);
  }
  return sum;
}

check read_laser(int which, int64_t day, int minute, int64_t fill, const chance *c) {
  const suite *s = &suites[which];
  double age = (double)(day * 1440 + minute - fill) / 1440.0;
  double loss = s->loss * s->ratio_sigma; /* of the ratio, a day */
  double fresh = 1.0 + loss * s->mean_age;
  double level = fresh - (loss - effect(which, FILL_LOSS, day)) * age + effect(which, RATIO, day);
  double demand = effect(which, DEMAND, day);

  check r = {.day = day, .minute = minute, .selftest_passed = s->selftests, .remark = ""};
  r.target = s->target + demand + s->target_sigma * c->target;
  r.energy = r.target * (level + s->ratio_sigma * c->ratio);
  r.fluence = s->fluence * level + effect(which, FLUENCE, day) + s->fluence_sigma * c->fluence;
  r.spread = s->spread + effect(which, SPREAD, day) + s->spread_sigma * c->spread;
  r.x = s->x + effect(which, TRACKER_X, day) + s->x_sigma * c->x;
  r.y = s->y + s->y_sigma * c->y;
  r.voltage =
      s->voltage * (1.0 + voltage_gain * demand / s->target) + s->voltage_sigma * c->voltage;
  r.temperature = temperature_mean + temperature_sigma * c->temperature;
  r.humidity = humidity_mean + humidity_sigma * c->humidity;
  const char *marks[] = {"", "-", "n/a"};
  for (size_t i = 0; i < CELLS; i++)
    if (c->missing[i] < missing_share)
      r.missing[i] = marks[(int)(3.0 * c->mark)];
  r.who = 1 + (int)(3.0 * c->who);
  return r;
}
