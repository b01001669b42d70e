/* Zone rules of the individuals chart, on z, the distance from the centre in sigma.
 *
 * Requirements (Z1 to Z4 by the lines of BT_RULES)
 *   Z1  WE1: a point beyond 3 sigma.
 *   Z2  WE2: two of three successive points beyond 2 sigma.
 *   Z3  WE3: four of five successive points beyond 1 sigma.
 *   Z4  WE4: eight successive points on one side of the centre.
 *   Z5  Each side is judged on its own; points of the two sides never make one pattern.
 *   Z6  A pattern is dated at the point that completes it, which must itself lie in the zone.
 *   Z7  Zones are cumulative: a point beyond 3 sigma is beyond 2 and 1 as well.
 *   Z8  The scan has no restart: every point at which the pattern of the last 3, 5 or 8 points
 *       holds is marked (ten points on one side give WE4 at the 8th, 9th and 10th).
 *   Z9  Shorter windows at the start count: two of two, four of four.
 *   Z10 A distance within 1e-9 sigma of a line is on the line, so not beyond; a point on the centre
 *       is on neither side.
 *   Z11 A point that isn't judged is stepped over: it neither counts nor breaks a pattern.
 *
 * Source: Western Electric Co., Statistical Quality Control Handbook (1956), pp. 25-28. Checked by
 * a hand-written table of patterns, a plain loop (tests/unit/spc/zone_rules.c) and the run lengths
 * of Champ and Woodall, Technometrics 29 (1987) (tests/published/spc/run_lengths.c). */
#include "beamtally/spc.h"
#include "spc_lines.h"

/* What one side remembers: for each rule whether its last points lay beyond its line, a bit a
 * point, the newest lowest. Z9: before the start none did. */
typedef struct side_window {
  uint32_t beyond[BT_RULE_COUNT];
} side_window;

/* Whether a point at this distance completes the pattern. Always called with numbers that the
 * compiler knows: loops over it run in simulations. */
static inline uint32_t completes(uint32_t *beyond, double distance, int line, int needed, int of) {
  uint32_t is_beyond = distance > line + SPC_ON_LINE; /* Z7, Z10 */
  *beyond = *beyond << 1 | is_beyond;                 /* Z8: nothing is cleared */
  uint32_t missing = ~*beyond & UINT32_MAX >> (BT_RULE_LONGEST - of);
  for (int k = needed; k < of; k++)
    missing &= missing - 1; /* one less */

  return is_beyond & (missing == 0); /* Z6 */
}

/* The rules that a point at this distance, counted towards the side, completes. */
static inline bt_rules judge(side_window *side, double distance) {
  uint32_t rules = 0;
#define X(ID, key, kind, line, needed, of, ...)                                                    \
  if (BT_RULE_##kind == BT_RULE_ZONE)                                                              \
    rules |= BT_##ID * completes(&side->beyond[BT_PLACE_OF_##ID], distance, line, needed, of);
  BT_RULES(X)
#undef X
  return (bt_rules)rules;
}

void bt_zone_rules(const double *z, const uint8_t *judged, size_t n, bt_rules *high,
                   bt_rules *low) {
  side_window above = {0}, below = {0}; /* Z5 */
  for (size_t i = 0; i < n; i++) {
    if (judged[i] == 0) { /* Z11 */
      high[i] = low[i] = 0;
      continue;
    }
    high[i] = judge(&above, z[i]);
    low[i] = judge(&below, -z[i]);
  }
}
