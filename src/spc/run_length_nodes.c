/* Gauss and Legendre's rule for integrals over an interval that is counted in standard deviations
 * of a normal kernel. Two points and a half for each of them, and twelve, leave an error below
 * 1e-10 of a run length (tests/unit/spc/run_length.c computes the same with other numbers). Only
 * sizes that GSL holds to full precision are taken. */
#include "spc_run_length.h"

#include <gsl/gsl_integration.h>
#include <stdlib.h>

static const size_t sizes[] = {16, 20, 32, 64, 96, 100, 128, 256, 512};

enum { SIZES = sizeof sizes / sizeof *sizes };

void spc_nodes_free(spc_nodes *nodes) {
  if (nodes == NULL)
    return;
  free(nodes->at);
  free(nodes->weight);
  *nodes = (spc_nodes){0};
}

bt_status spc_nodes_of_size(double from, double to, size_t size, spc_nodes *nodes,
                            bt_error *error) {
  *nodes = (spc_nodes){
      .n = size, .at = bt_new(size, sizeof(double)), .weight = bt_new(size, sizeof(double))};
  gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(size);
  bool made = nodes->at != NULL && nodes->weight != NULL && table != NULL;
  for (size_t i = 0; i < size && made; i++)
    made = gsl_integration_glfixed_point(from, to, i, &nodes->at[i], &nodes->weight[i], table) == 0;
  if (table != NULL)
    gsl_integration_glfixed_table_free(table);
  return made ? BT_OK : bt_fail_memory(error);
}

bt_status spc_nodes_make(double from, double to, spc_nodes *nodes, bt_error *error) {
  double wanted = 12 + 2.5 * (to - from);
  size_t size = 0;
  while (size + 1 < SIZES && (double)sizes[size] < wanted)
    size++;
  return spc_nodes_of_size(from, to, sizes[size], nodes, error);
}
