/* A ledger that holds a row in every table, by way of every public function that writes. */
#ifndef LEDGER_TEST_EVERYTHING_H
#define LEDGER_TEST_EVERYTHING_H

#include "helpers.h"

void test_fill_everything(bt_ledger *ledger);

#endif
