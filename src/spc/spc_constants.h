/* Constants of samples of n normal values. */
#ifndef SPC_CONSTANTS_H
#define SPC_CONSTANTS_H

/* Mean and standard deviation of the range, and mean of the standard deviation, in sigma; D4 = 1 +
 * 3 d3/d2. Computed from their definitions; NAN for an n outside 2..25. */
double spc_d2(int n);
double spc_d3(int n);
double spc_c4(int n);
double spc_big_d4(int n);

#endif
