/* What judges a point: sides, strengths and the table of rules. */
#ifndef BEAMTALLY_FINDING_RULE_H
#define BEAMTALLY_FINDING_RULE_H

#include "beamtally/base.h"

typedef enum bt_side { BT_LOW, BT_HIGH, BT_SIDES } bt_side;

typedef enum bt_strength { BT_QUIET, BT_NOTICE, BT_ALARM } bt_strength;

/* No index: the position of something that isn't there. */
#define BT_NONE SIZE_MAX

/* All that judges a point, in the order of a chart's lane: X(ID, key, kind, line, needed, of,
 * label, beyond, words, in_control).
 *
 * key         in every form that is read and written
 * kind        ZONE: a notice that the next three define, from which follow its marks
 *             (src/spc/zone_rules.c) and its exact run length (run_length_rules.c); these come
 *             first. NOTICE, ALARM: what it is where it is broken
 * line, needed, of
 *             `needed` of `of` successive points lie beyond that line, in sigma, on one side, the
 *             last of them too; 0 where it is no ZONE
 * label       of its row in the lane; NULL: it stands in the row of the rule that it goes beyond
 * beyond      the alarm that stands in its row; 0
 * words       what it is; " sigma" is printed as a sign on pages
 * in_control  points to a false signal, for page "Method", from the sources named there
 *
 * Zone rules: Western Electric Handbook (1956). TOLERANCE: a check of the point's day is outside
 * tolerance on this side. ALARM_LIMIT: beyond the budgeted Shewhart (or T²) limit. ALARM_CUSUM: the
 * CUSUM is above the budgeted h. */
#define BT_RULES(X)                                                                                \
  X(WE1, "WE1", ZONE, 3, 1, 1, "1 > 3σ", BT_ALARM_LIMIT, "one point beyond 3 sigma", "370")        \
  X(WE2, "WE2", ZONE, 2, 2, 3, "2 of 3 > 2σ", 0,                                                   \
    "two of three successive points beyond 2 sigma, the last one among them",                      \
    "225, with the rule above")                                                                    \
  X(WE3, "WE3", ZONE, 1, 4, 5, "4 of 5 > 1σ", 0, "four of five successive points beyond 1 sigma",  \
    "166, with the first rule")                                                                    \
  X(WE4, "WE4", ZONE, 0, 8, 8, "8 one side", 0,                                                    \
    "eight successive points on one side of the centre", "153, with the first rule")               \
  X(CUSUM_SIGNAL, "CUSUM", NOTICE, 0, 0, 0, "CUSUM > h", BT_ALARM_CUSUM,                           \
    "the sum of deviations beyond k = 0.5 sigma passes h = 5 sigma", "465")                        \
  X(TOLERANCE_FAILED, "TOLERANCE", ALARM, 0, 0, 0, "tolerance", 0,                                 \
    "a single reading outside the limits that the clinic must keep", "does not apply")             \
  X(ALARM_LIMIT, "ALARM_LIMIT", ALARM, 0, 0, 0, NULL, 0,                                           \
    "one point beyond the alarm limit, which is wider than 3 sigma", "see each chart")             \
  X(ALARM_CUSUM, "ALARM_CUSUM", ALARM, 0, 0, 0, NULL, 0,                                           \
    "the same sum passes the h of alarms, which is higher than 5 sigma", "see each chart")

enum {
#define X(ID, ...) BT_PLACE_OF_##ID,
  BT_RULES(X)
#undef X
      BT_RULE_COUNT
};

/* What a ZONE rule's pattern may be: lines at 0, 1, 2 and 3 sigma, and so many points. */
enum { BT_RULE_LINES = 4, BT_RULE_LONGEST = 32 };

typedef enum bt_rule_kind { BT_RULE_ZONE, BT_RULE_NOTICE, BT_RULE_ALARM } bt_rule_kind;

/* A bit each, and the sets of a kind. */
enum {
#define X(ID, ...) BT_##ID = 1 << BT_PLACE_OF_##ID,
  BT_RULES(X)
#undef X
#define X(ID, key, kind, ...) | (BT_RULE_##kind == BT_RULE_ZONE) << BT_PLACE_OF_##ID
      BT_ZONE_RULES = 0 BT_RULES(X),
#undef X
#define X(ID, key, kind, ...) | (BT_RULE_##kind == BT_RULE_ALARM) << BT_PLACE_OF_##ID
  BT_ALARM_RULES = 0 BT_RULES(X)
#undef X
};

/* A set of those bits. */
typedef uint16_t bt_rules;
_Static_assert(BT_RULE_COUNT <= 16, "bt_rules has a bit for each rule");

typedef struct bt_rule {
  bt_rules bit, beyond;
  bt_rule_kind kind;
  int line, needed, of;
  const char *key, *label, *words, *in_control;
} bt_rule;

/* In the order of their bits: rule r has the bit 1 << r. */
extern const bt_rule bt_rule_table[BT_RULE_COUNT];

/* The rule with that key, of `length` bytes; 0 where there is none. */
bt_rules bt_rule_named(const char *key, size_t length);

/* The worst strength of the rules; QUIET where there are none. */
bt_strength bt_rules_strength(bt_rules rules);

/* Adds the keys of the rules. */
void bt_rule_keys(bt_rules rules, const char *between, bt_text *out);

#endif
