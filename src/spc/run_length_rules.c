/* Run length of the zone rules: an exact Markov chain.
 *
 * A state holds, for each side and each rule in force, which of the last points lay beyond the
 * rule's line. A point falls into one of eight zones between the lines at 0, 1, 2 and 3 sigma on
 * either side, with probabilities of the normal distribution about the shift; a zone leads to a
 * signal or to the next state. The states are those that a search from the empty windows finds, so
 * shorter windows at the start count (Z9 of zone_rules.c), and each side is on its own (Z5). A
 * window forgets its oldest points where they can't take part in a pattern any more: without it
 * the chain is the same, only longer.
 *
 * The chain is walked forward: the law's next probability is what falls into a signal.
 *
 * Source: Champ and Woodall, Technometrics 29 (1987). Accuracy: rounding, below 1e-12. Checked
 * against their table, four digits further by another computation, and by simulation through
 * bt_zone_rules (tests/published/spc/run_length_rules.c, run_lengths.c). */
#include "spc_run_length.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

/* Zone l of a side lies between the lines l and l + 1, the last one is open. A side's windows stand
 * one after the other, each with the points before the newest, the newest of them lowest. */
enum {
  ZONES = 2 * BT_RULE_LINES,
#define X(ID, key, kind, line, needed, of, ...) +(BT_RULE_##kind == BT_RULE_ZONE ? (of)-1 : 0)
  SIDE_BITS = 0 BT_RULES(X)
#undef X
};
_Static_assert(2 * SIDE_BITS <= 64, "the windows of both sides stand in a chain_state");

typedef struct chain_state {
  uint64_t windows;   /* both sides */
  size_t next[ZONES]; /* a state, or BT_NONE: a signal */
} chain_state;

typedef struct chain {
  bt_rules rules;
  double zone[ZONES]; /* high sides' zones, then the low side's */
  size_t n, room;
  chain_state *state;
  double *now, *then; /* probability of each state without a signal so far */
} chain;

static int ones(uint64_t bits) {
  int count = 0;
  for (; bits != 0; bits &= bits - 1)
    count++;
  return count;
}

/* The window of the points to come without those that are too old to take part: a point that is
 * `age` old is still there for the next `of` - `age` ones, which may all lie beyond. */
static uint64_t forget(const bt_rule *rule, uint64_t window) {
  for (int age = rule->of - 1; age > 0; age--) {
    uint64_t oldest = UINT64_C(1) << (age - 1);
    if ((window & oldest) == 0)
      continue;
    if (ones(window) + rule->of - age >= rule->needed)
      break;
    window &= ~oldest;
  }
  return window;
}

static uint64_t lowest(int bits) {
  return (UINT64_C(1) << bits) - 1;
}

/* One side's windows after a point `lines` lines out on it (0: on the other side); false for a
 * signal. */
static bool side_step(bt_rules rules, uint64_t *windows, int lines) {
  uint64_t after = 0;
  int bit = 0; /* where the rule's window begins */
  for (const bt_rule *rule = bt_rule_table; (rule->bit & BT_ZONE_RULES) != 0; rule++) {
    int bits = rule->of - 1;
    if ((rules & rule->bit) != 0) {
      uint64_t is_beyond = lines > rule->line,
               window = (*windows >> bit & lowest(bits)) << 1 | is_beyond;
      if (is_beyond != 0 && ones(window) >= rule->needed)
        return false;
      after |= forget(rule, window & lowest(bits)) << bit;
    }
    bit += bits;
  }
  *windows = after;
  return true;
}

/* The state with these windows, added where it is new; BT_NONE without memory. */
static size_t state_of(chain *made, uint64_t windows) {
  for (size_t s = 0; s < made->n; s++)
    if (made->state[s].windows == windows)
      return s;
  if (!bt_grow(&made->state, &made->room, made->n + 1, sizeof *made->state))
    return BT_NONE;
  made->state[made->n].windows = windows;
  return made->n++;
}

/* Where a point of each zone leads from state s. False without memory. */
static bool lead_on(chain *made, size_t s) {
  for (int zone = 0; zone < ZONES; zone++) {
    bool is_high = zone < BT_RULE_LINES;
    int lines = zone % BT_RULE_LINES + 1;
    uint64_t high = made->state[s].windows & lowest(SIDE_BITS),
             low = made->state[s].windows >> SIDE_BITS;
    size_t to = BT_NONE;
    if (side_step(made->rules, &high, is_high ? lines : 0) &&
        side_step(made->rules, &low, is_high ? 0 : lines)) {
      to = state_of(made, low << SIDE_BITS | high);
      if (to == BT_NONE)
        return false;
    }
    made->state[s].next[zone] = to;
  }
  return true;
}

/* Probability of (from, to), from the nearer tail. */
static double between(double from, double to) {
  return from > 0 ? gsl_cdf_ugaussian_Q(from) - gsl_cdf_ugaussian_Q(to)
                  : gsl_cdf_ugaussian_P(to) - gsl_cdf_ugaussian_P(from);
}

static double chain_next(void *state) {
  chain *walked = state;
  double signal = 0;
  for (size_t s = 0; s < walked->n; s++)
    walked->then[s] = 0;
  for (size_t s = 0; s < walked->n; s++)
    for (int zone = 0; zone < ZONES; zone++) {
      double part = walked->now[s] * walked->zone[zone];
      size_t to = walked->state[s].next[zone];
      if (to == BT_NONE)
        signal += part;
      else
        walked->then[to] += part;
    }
  double *now = walked->then;
  walked->then = walked->now;
  walked->now = now;
  return signal;
}

static void chain_drop(void *state) {
  chain *dropped = state;
  if (dropped == NULL)
    return;
  free(dropped->state);
  free(dropped->now);
  free(dropped->then);
  free(dropped);
}

bt_status spc_law_of_rules(const bt_run_chart *chart, double shift, double width, spc_law *law,
                           bt_error *error) {
  chain *made = bt_new(1, sizeof *made);
  *law = (spc_law){.state = made, .next = chain_next, .drop = chain_drop};
  if (made == NULL)
    return bt_fail_memory(error);
  made->rules = chart->rules;
  for (int line = 0; line < BT_RULE_LINES; line++) {
    double from = line * width, to = line + 1 < BT_RULE_LINES ? from + width : (double)INFINITY;
    made->zone[line] = between(from - shift, to - shift);
    made->zone[BT_RULE_LINES + line] = between(from + shift, to + shift);
  }
  if (state_of(made, 0) == BT_NONE)
    return bt_fail_memory(error);
  for (size_t s = 0; s < made->n; s++) /* n grows as states are found */
    if (!lead_on(made, s))
      return bt_fail_memory(error);
  made->now = bt_new(made->n, sizeof(double));
  made->then = bt_new(made->n, sizeof(double));
  if (made->now == NULL || made->then == NULL)
    return bt_fail_memory(error);
  made->now[0] = 1;
  return BT_OK;
}
