/* Lag-1 autocorrelation of the Nile's annual flow. */
#include "beamtally/spc.h"

#include <criterion/criterion.h>
#include <string.h>

/* Annual flow of the Nile at Aswan 1871-1970, 10^8 m^3: Cobb, Biometrika 65 (1978), as in R's data
 * set Nile (R: acf(Nile)$acf[2] is 0.498408). */
static const double nile[] = {
    1120, 1160, 963, 1210, 1160, 1160, 813,  1230, 1370, 1140, 995,  935,  1110, 994,  1020,
    960,  1180, 799, 958,  1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774,  840,
    874,  694,  940, 833,  701,  916,  692,  1020, 1050, 969,  831,  726,  456,  824,  702,
    1120, 1100, 832, 764,  821,  768,  845,  864,  862,  698,  845,  744,  796,  1040, 759,
    781,  865,  845, 944,  984,  897,  822,  1010, 771,  676,  649,  846,  812,  742,  801,
    1040, 860,  874, 848,  890,  744,  749,  838,  1050, 918,  986,  797,  923,  975,  815,
    1020, 906,  901, 1170, 912,  746,  919,  718,  714,  740};

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
