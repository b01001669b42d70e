/* The dioptre aid against tables worked out from the blow-off model by other means, threshold
 * 50 mJ/cm^2, to the digits they have. */
#include "beamtally/drift.h"

#include <criterion/criterion.h>
#include <math.h>

/* Change in effect, %, per +1 % of fluence: the effect of 3 dioptres in hundredths of them. */
Test(dioptres, percent_a_percent) {
  static const double fluence[] = {120, 160, 180, 200, 250, 300, 400, 450};
  static const double flat[] = {1.14, 0.86, 0.78, 0.72, 0.62, 0.56, 0.48, 0.46};
  static const double gaussian[] = {2.28, 1.72, 1.56, 1.44, 1.24, 1.12, 0.96, 0.91};
  for (size_t k = 0; k < 8; k++) {
    double f = fluence[k], little = f * 1.00001; /* the table is that of the slope */
    bt_dioptres of_flat = bt_dioptres_of(BT_BEAM_FLAT_TOP, f, little, 50, 50, 50);
    bt_dioptres of_gaussian = bt_dioptres_of(BT_BEAM_GAUSSIAN, f, little, 50, 50, 50);
    cr_assert(of_flat.given && of_gaussian.given);
    cr_expect_float_eq(of_flat.row[0].change / 3 * 1e5, flat[k], 0.0051, "flat-top %g", f);
    cr_expect_float_eq(of_gaussian.row[0].change / 3 * 1e5, gaussian[k], 0.011, "Gaussian %g", f);
  }
}

/* Dioptres for an error of fluence of -5, -2.5, -1, 1, 2.5 and 5 %. */
Test(dioptres, error_of_fluence) {
  static const double error[] = {-5, -2.5, -1, 1, 2.5, 5};
  static const struct table_row {
    bt_beam beam;
    double fluence;
    int row;
    double expected[6];
  } table[] = {
      {BT_BEAM_FLAT_TOP, 160, 0, {-0.132, -0.065, -0.026, 0.026, 0.064, 0.126}},
      {BT_BEAM_FLAT_TOP, 160, 1, {-0.265, -0.131, -0.052, 0.051, 0.127, 0.252}},
      {BT_BEAM_FLAT_TOP, 160, 2, {-0.441, -0.218, -0.086, 0.086, 0.212, 0.419}},
      {BT_BEAM_GAUSSIAN, 450, 1, {-0.277, -0.137, -0.055, 0.054, 0.136, 0.269}},
      {BT_BEAM_GAUSSIAN, 300, 1, {-0.339, -0.168, -0.067, 0.067, 0.167, 0.331}},
  };
  for (size_t t = 0; t < sizeof table / sizeof *table; t++)
    for (size_t k = 0; k < 6; k++) {
      double from = table[t].fluence, to = from * (1 + error[k] / 100);
      bt_dioptres found = bt_dioptres_of(table[t].beam, from, to, 50, 40, 60);
      cr_assert(found.given);
      cr_expect_float_eq(found.row[table[t].row].change, table[t].expected[k], 0.00055,
                         "row %zu at %g %%: %.4f", t, error[k], found.row[table[t].row].change);
    }
}
