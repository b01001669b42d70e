/* The law of a radius (radius.c). */
#ifndef SPC_RADIUS_H
#define SPC_RADIUS_H

#include "beamtally/spc.h"

/* Quantile of sqrt(x^2 + y^2) for a bivariate normal: Rayleigh, Rice and the general case. */
bt_status spc_radius_quantile(double mean_x, double mean_y, double var_x, double var_y,
                              double cov_xy, double probability, double *quantile,
                              bt_error *error) BT_MUST_CHECK;

#endif
