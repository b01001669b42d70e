/* Likely causes by the two parts of a change: what stays over refills, and what each fill loses
 * more.
 */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>

/* A loss is a fall here, and no part is shown yet. */
static bt_evidence fallen(void) {
  static const bt_moved fell = {.looked_at = true,
                                .changed = true,
                                .kind = BT_CHANGE_HINGE,
                                .sign = -1,
                                .from = 100,
                                .to = 120};
  return (bt_evidence){.own = fell, .energy = fell, .loss = -1, .parts = {.given = true}};
}

/* Facts for the one cause named, 0 where there is none. */
static uint32_t facts_for(const bt_evidence *evidence, bt_cause_kind kind) {
  gsl_set_error_handler_off();
  bt_cause causes[BT_CAUSE_COUNT];
  size_t n = bt_causes_find(evidence, causes);
  cr_assert_leq(n, 1);
  cr_assert(n == 0 || causes[0].kind == kind);
  return n == 0 ? 0 : causes[0].evidence;
}

Test(causes_of_parts, each_by_its_sign) {
  bt_evidence evidence = fallen();
  cr_expect_eq(facts_for(&evidence, BT_CAUSE_GAS_AGEING), 0, "neither part is shown");
  evidence.parts.fills = (bt_part){.shown = true, .size = -0.01};
  cr_expect_eq(facts_for(&evidence, BT_CAUSE_GAS_AGEING),
               BT_FACT_LOSS_STEEPER | BT_FACT_LEVELS_HOLD);
  evidence.parts.fills.size = 0.01;
  cr_expect_eq(facts_for(&evidence, BT_CAUSE_GAS_AGEING), 0, "the fills lose less");
  evidence.parts.fills.shown = false;
  evidence.parts.lasting = (bt_part){.shown = true, .size = -0.01};
  cr_expect_eq(facts_for(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL),
               BT_FACT_LEVELS_FALL | BT_FACT_LOSS_UNCHANGED);
  evidence.parts.lasting.size = 0.01;
  cr_expect_eq(facts_for(&evidence, BT_CAUSE_NOT_RESTORED_BY_REFILL), 0, "the levels rise");
}

/* Of a voltage the loss is a climb. */
Test(causes_of_parts, of_a_voltage) {
  bt_evidence evidence = fallen();
  evidence.voltage = evidence.own;
  evidence.voltage.sign = 1;
  evidence.own = evidence.voltage;
  evidence.energy = (bt_moved){.looked_at = true};
  evidence.loss = 1;
  evidence.parts.fills = (bt_part){.shown = true, .size = 0.01};
  cr_expect_eq(facts_for(&evidence, BT_CAUSE_GAS_AGEING),
               BT_FACT_LOSS_STEEPER | BT_FACT_LEVELS_HOLD);
}
