/* Texts as rows of their own: (number, salt, body). */
#include "ledger_private.h"
#include "sql_private.h"
#include "text_private.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

bt_status ledger_text_add(bt_ledger *ledger, sqlite3_stmt *insert, const char *body,
                          ledger_text *text, bt_error *error) {
  unsigned char salt[LEDGER_SALT_BYTES];
  bool row = false;
  randombytes_buf(salt, sizeof salt);
  bt_status status = ledger_bind(ledger, error, insert, "bt", salt, sizeof salt, body);
  if (status == BT_OK)
    status = ledger_step(ledger, insert, &row, error);
  if (status != BT_OK)
    return status;
  text->number = sqlite3_last_insert_rowid(ledger->db);
  ledger_text_sha256(salt, body, text->sha256);
  return BT_OK;
}

bt_status ledger_texts_open(bt_ledger *ledger, ledger_texts **texts, bt_error *error) {
  *texts = bt_new(1, sizeof **texts);
  if (*texts == NULL)
    return bt_fail_memory(error);
  return ledger_prepare(ledger, LEDGER_TEXT_INSERT, &(*texts)->insert, error);
}

void ledger_texts_close(ledger_texts *texts) {
  if (texts == NULL)
    return;
  (void)sqlite3_finalize(texts->insert);
  free(texts);
}

/* FNV-1a, only to spread texts over slots. */
static size_t slot_of(bt_text_field field, const char *body) {
  uint32_t hash = 2166136261U ^ (uint32_t)field;
  for (; *body != '\0'; body++)
    hash = (hash ^ (unsigned char)*body) * 16777619U;
  return hash % LEDGER_TEXT_SLOTS;
}

bt_status ledger_texts_put(bt_ledger *ledger, ledger_texts *texts, bt_text_field field,
                           const char *body, ledger_text *text, bt_error *error) {
  size_t length = strlen(body);
  if (field == BT_FIELD_REMARK || length >= LEDGER_TEXT_SHARED)
    return ledger_text_add(ledger, texts->insert, body, text, error);
  size_t at = slot_of(field, body);
  bool there = texts->slot[at].text.number != 0 && texts->slot[at].field == field &&
               strcmp(texts->slot[at].body, body) == 0;
  if (!there) {
    bt_status status = ledger_text_add(ledger, texts->insert, body, &texts->slot[at].text, error);
    if (status != BT_OK)
      return status;
    texts->slot[at].field = field;
    memcpy(texts->slot[at].body, body, length + 1);
  }
  *text = texts->slot[at].text;
  return BT_OK;
}
