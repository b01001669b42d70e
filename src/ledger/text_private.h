/* Texts as stored: each in a row of its own under a salt, so that it can be removed for good
 * (text.c). */
#ifndef LEDGER_TEXT_PRIVATE_H
#define LEDGER_TEXT_PRIVATE_H

#include "beamtally/ledger.h"

#include <sqlite3.h>

enum { LEDGER_SALT_BYTES = 16 };

/* A text as stored: its row, and SHA-256(salt and body). number 0: there is none. */
typedef struct ledger_text {
  int64_t number;
  unsigned char sha256[BT_SHA256_BYTES];
} ledger_text;

/* Stores one text under a new salt; insert is LEDGER_TEXT_INSERT, prepared. */
bt_status ledger_text_add(bt_ledger *ledger, sqlite3_stmt *insert, const char *body,
                          ledger_text *text, bt_error *error) BT_MUST_CHECK;

#define LEDGER_TEXT_INSERT "INSERT INTO main.text (number, salt, body) VALUES (NULL, ?1, ?2)"

/* The text's own digest, which stays when the body goes (digest.c). */
void ledger_text_sha256(const unsigned char *salt, const char *body, unsigned char *sha256);

enum { LEDGER_TEXT_SLOTS = 1024, LEDGER_TEXT_SHARED = 200 };

/* Stores texts, each under a new salt. Short ones that repeat within an import (a meter, a pattern)
 * share a row, but never a remark, which must be removable alone. Bounded: a text that meets
 * another in its slot takes its place. */
typedef struct ledger_texts {
  sqlite3_stmt *insert;
  struct {
    bt_text_field field;
    ledger_text text;
    char body[LEDGER_TEXT_SHARED];
  } slot[LEDGER_TEXT_SLOTS];
} ledger_texts;

bt_status ledger_texts_open(bt_ledger *ledger, ledger_texts **texts, bt_error *error) BT_MUST_CHECK;
void ledger_texts_close(ledger_texts *texts);
bt_status ledger_texts_put(bt_ledger *ledger, ledger_texts *texts, bt_text_field field,
                           const char *body, ledger_text *text, bt_error *error) BT_MUST_CHECK;

#endif
