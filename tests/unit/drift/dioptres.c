/* The dioptre aid: its band, and when it isn't given. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <math.h>

Test(dioptres, D1_D2_rows_and_band) {
  bt_dioptres found = bt_dioptres_of(BT_BEAM_FLAT_TOP, 160, 152, 50, 40, 60);
  cr_assert(found.given && found.from == 160 && found.to == 152 && found.threshold == 50);
  cr_expect(found.row[0].correction == 3 && found.row[1].correction == 6 &&
            found.row[2].correction == 10);
  for (int k = 0; k < BT_DIOPTRE_ROWS; k++) {
    const bt_dioptre_row *row = &found.row[k];
    cr_expect(row->low < row->change && row->change < row->high && row->high < 0);
    cr_expect_float_eq(row->low, row->correction * (log(152 / 60.0) / log(160 / 60.0) - 1), 1e-12);
    cr_expect_float_eq(row->high, row->correction * (log(152 / 40.0) / log(160 / 40.0) - 1), 1e-12);
    cr_expect_float_eq(row->change / row->correction, found.row[0].change / 3, 1e-12);
  }
  found = bt_dioptres_of(BT_BEAM_GAUSSIAN, 160, 160, 50, 40, 60);
  cr_expect(found.given && found.row[2].change == 0 && found.row[2].low == 0);
}

Test(dioptres, D3_not_given) {
  cr_expect(!bt_dioptres_of(BT_BEAM_UNDECLARED, 160, 152, 50, 40, 60).given);
  cr_expect(!bt_dioptres_of(BT_BEAM_FLAT_TOP, 60, 152, 50, 40, 60).given);
  cr_expect(!bt_dioptres_of(BT_BEAM_FLAT_TOP, 160, 55, 50, 40, 60).given);
  cr_expect(!bt_dioptres_of(BT_BEAM_FLAT_TOP, 160, 152, 50, 55, 60).given);
  cr_expect(!bt_dioptres_of(BT_BEAM_FLAT_TOP, 160, 152, 50, 0, 60).given);
  cr_expect(bt_dioptres_of(BT_BEAM_FLAT_TOP, 160, 60.1, 50, 40, 60).given);
}
