/* Ledgers of older versions, as the programs of then wrote them (unit/ledger/versionN.sql). */
#ifndef TESTS_OLDER_LEDGERS_H
#define TESTS_OLDER_LEDGERS_H

#include <stddef.h>

enum { OLDER_LEDGERS = 5, OLDER_ENTRIES = 16 };

/* What each printed after each of its entries, from version 1 on. */
static const char *const older_states[OLDER_LEDGERS + 1][OLDER_ENTRIES] = {
    [1] = {"ffa99bd89439b823d6ac", "c03fc6867fa7427b7579", "0d06928602b234882793",
           "6f667bb3223eb735385e", "07e3251fe7432276e7f4", "b2c9c6c5bcb8524ee0c7",
           "aebb837d064baf99ce36", "dd1b8282c5092580c558"},
    [2] = {"e3bd4c208d1a09256986", "7e55763ce5ffa47d00d8", "e51075239527fdc07478",
           "84cc7769de06a6aa1044", "4d2f55180bd4d992a0d9", "b6886ea57eaab2719de5",
           "8f61e9f4273c3ad8ed78", "efde6e9600c56b5aab0c", "7a35ef05873b6dbee18b",
           "1471818d19d709732a0f", "689063542a4c1133b1e8", "ae0ca999115a688cdd35"},
    [3] = {"9338b1012866c26506ac", "1169b315b6b9d383a48d", "64b14861f2b804a7296f",
           "3c6c15fcbd6591e4f0dd"},
    [4] = {"7e0772bd8b25298f3999", "d0514be2197dcbb04a43", "516f5c073550cdf16989",
           "2530be608f22433fe359", "aebe69b0b7de6aa4a057", "dae4355d3594b0990fe3",
           "3d34cc128b823d2829df"},
    [5] = {"7e0772bd8b25298f3999", "adc353e90fb1376bca4c", "48a81e44a9acee15fea9",
           "290426470e45ceb54f3e", "41543c1d62572fa8227a", "d611383471eaa135b535",
           "096b9afa56ee4223c544"},
};

static inline int older_entries(int version) {
  int n = 0;
  while (n < OLDER_ENTRIES && older_states[version][n] != NULL)
    n++;
  return n;
}

#endif
