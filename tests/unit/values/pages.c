/* Type and pane geometry. */
#include "beamtally/page.h"

#include <criterion/criterion.h>

/* Type on paper is at least 7 pt. */
Test(pages, styles) {
  for (int s = 0; s < BT_STYLE_COUNT; s++)
    cr_assert(bt_style_points((bt_style)s) >= 7.0);
  cr_assert_eq(bt_style_weight(BT_STYLE_TITLE), BT_WEIGHT_SEMIBOLD);
  cr_assert_eq(bt_style_weight(BT_STYLE_BODY), BT_WEIGHT_REGULAR);
  cr_assert_eq(bt_style_weight(BT_STYLE_BANNER), BT_WEIGHT_BOLD);
}

/* x grows to the right; y grows downwards on the page, so a pane's high edge is its upper one. The
 * numbers are exact in binary. */
Test(pages, pane_edges) {
  bt_pane pane = {.x = 20,
                  .y = 50,
                  .width = 128,
                  .height = 64,
                  .x_low = -1,
                  .x_high = 3,
                  .y_low = 0.5,
                  .y_high = 1.5};
  cr_assert_eq(bt_pane_x(&pane, -1), 20);
  cr_assert_eq(bt_pane_x(&pane, 3), 148);
  cr_assert_eq(bt_pane_x(&pane, 0), 52);
  cr_assert_eq(bt_pane_y(&pane, 1.5), 50);
  cr_assert_eq(bt_pane_y(&pane, 0.5), 114);
  cr_assert_eq(bt_pane_y(&pane, 1.25), 66);
  cr_assert_eq(bt_pane_y(&pane, 2), 18); /* beyond the pane: above it */
}
