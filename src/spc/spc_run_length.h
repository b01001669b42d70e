/* What the files of the run lengths share: a law, which tells a run length point by point. */
#ifndef SPC_RUN_LENGTH_H
#define SPC_RUN_LENGTH_H

#include "beamtally/spc.h"

/* No law is asked for more points than these. */
enum { SPC_LAW_POINTS = 8000 };

/* A chart that signals more rarely is not one. */
#define SPC_LONGEST_ARL 1e12

typedef struct spc_law {
  void *state;
  double (*next)(void *state); /* probability that the first signal is at the next point */
  void (*drop)(void *state);   /* frees the state; NULL is nothing */
} spc_law;

/* Each makes the law of one chart, which must have passed spc_run_chart_check; owned by the caller
 * (law->drop), also after a failure. The rules' lines stand at 0, 1, 2 and 3 times `width`. */
bt_status spc_law_of_rules(const bt_run_chart *chart, double shift, double width, spc_law *law,
                           bt_error *error) BT_MUST_CHECK;
bt_status spc_law_of_cusum(const bt_run_chart *chart, double shift, spc_law *law,
                           bt_error *error) BT_MUST_CHECK;
bt_status spc_law_of_ewma(const bt_run_chart *chart, double shift, spc_law *law,
                          bt_error *error) BT_MUST_CHECK;

/* BT_USAGE where chart or shift is none, or beyond what the laws are accurate for. */
bt_status spc_run_chart_check(const bt_run_chart *chart, double shift,
                              bt_error *error) BT_MUST_CHECK;

/* The widest h or limit that it lets pass. */
double spc_run_chart_widest(const bt_run_chart *chart);

/* ARL of a chart whose lines (k, h, limits, zones) stand `width` times as far as it says;
 * SPC_LONGEST_ARL where it is that or more. */
bt_status spc_run_length_mean(const bt_run_chart *chart, double shift, double width, double *arl,
                              bt_error *error) BT_MUST_CHECK;

/* Probability that the first signal comes within so many points. */
bt_status spc_run_length_within(const bt_run_chart *chart, double shift, uint64_t points,
                                double *probability, bt_error *error) BT_MUST_CHECK;

/* Points and weights of Gauss and Legendre's rule on [from, to], for an integrand that varies as a
 * normal density of standard deviation 1 does. Owned arrays. */
typedef struct spc_nodes {
  size_t n;
  double *at, *weight;
} spc_nodes;

bt_status spc_nodes_make(double from, double to, spc_nodes *nodes, bt_error *error) BT_MUST_CHECK;

/* The same with so many points: 12, 16, 20, 32, 64 ... are as GSL holds them, to full precision. */
bt_status spc_nodes_of_size(double from, double to, size_t size, spc_nodes *nodes,
                            bt_error *error) BT_MUST_CHECK;
void spc_nodes_free(spc_nodes *nodes);

#endif
