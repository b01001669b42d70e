/* Lag-1 autocorrelation of the Nile's annual flow. */
#include "beamtally/spc.h"
#include "nile.h"

#include <criterion/criterion.h>
#include <string.h>

/* Cobb, Biometrika 65 (1978); R: acf(Nile)$acf[2] is 0.498408. */
Test(autocorrelation, nile) {
  uint8_t use[100];
  memset(use, 1, sizeof use);
  bt_autocorrelation found = bt_autocorrelation_fit(nile, use, 100);
  cr_expect_eq(found.n, 100);
  cr_expect_float_eq(found.lag1, 0.498408, 5e-7);
  cr_expect_float_eq(found.bound, 0.196, 1e-15);
  cr_expect_float_eq(found.high, 0.694408, 5e-7);
  cr_expect(found.exceeded);
}
