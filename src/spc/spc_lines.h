/* What the charts share: when a point is on a line. */
#ifndef SPC_LINES_H
#define SPC_LINES_H

/* A distance, in sigma, within which a point lies on a line and so is not beyond it. Readings of
 * few decimals often fall exactly on a line; without this their last binary digit would decide
 * whether a rule is broken. */
#define SPC_ON_LINE 1e-9

#endif
