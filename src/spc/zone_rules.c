/* Zone rules of the individuals chart, on z, the distance from the centre in sigma.
 *
 * Requirements
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

/* What one side remembers: a bit a point, the newest lowest. */
typedef struct side_window {
  uint32_t beyond1, beyond2, beyond0;
} side_window;

/* The windows that complete a pattern, as sets: bit w is set when the window with the bits w does.
 * Z6: all have the newest bit, bit 0. Z9: before the start all bits are 0. */
#define TWO_OF_THREE ((1U << 3) | (1U << 5) | (1U << 7))
#define FOUR_OF_FIVE ((1U << 15) | (1U << 23) | (1U << 27) | (1U << 29) | (1U << 31))
#define EIGHT        0xFFU

/* The rules that a point at this distance, counted towards the side, completes. */
static inline bt_rules judge(side_window *side, double distance) {
  uint32_t beyond3 = distance > 3 + SPC_ON_LINE;                           /* Z10 */
  side->beyond2 = (side->beyond2 << 1 | (distance > 2 + SPC_ON_LINE)) & 7; /* Z7 */
  side->beyond1 = (side->beyond1 << 1 | (distance > 1 + SPC_ON_LINE)) & 31;
  side->beyond0 = (side->beyond0 << 1 | (distance > SPC_ON_LINE)) & EIGHT;

  uint32_t rules = beyond3 * BT_WE1;                     /* Z1 */
  rules |= (TWO_OF_THREE >> side->beyond2 & 1) * BT_WE2; /* Z2 */
  rules |= (FOUR_OF_FIVE >> side->beyond1 & 1) * BT_WE3; /* Z3 */
  rules |= (uint32_t)(side->beyond0 == EIGHT) * BT_WE4;  /* Z4, Z8: nothing is cleared */
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
