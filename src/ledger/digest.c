/* Digests of checks, events and texts.
 *
 * Canonical form: integers are 8 bytes, two's complement, little-endian; a double is its IEEE 754
 * bits as such an integer, negative zero as zero (SQLite does not keep its sign); what may be
 * absent has a byte before it, 0 absent or 1 present; a word has its length before it, as an
 * integer; a stored text is SHA-256(salt and body), so that its body can be blanked one day.
 *
 * check: 'c' ('h' for one held back), source, line, last line, unit, time, sequence, has clock,
 *        state, refill, each reading in canonical order (absent flag, value), each text in
 *        canonical order (absent flag, SHA-256); where it has readings of the clinic's own: 'o',
 *        their number, each in order of key (key as a word, value); where it has readings that
 *        came after the first LEDGER_FIRST_READINGS: 'r', each of them in canonical order (key as
 *        a word, value), so that rows that lack them have the digest that they always had
 * event: 'e', source (0: typed in), line, last line, unit, time, has clock, kind as a word, note
 *        (absent flag, SHA-256)
 *
 * Both are cut to 16 bytes by BLAKE2b-128 (RFC 7693), without a key. How checked: the tests compute
 * all digests anew from the tables (tests/unit/ledger). */
#include "digest_private.h"
#include "row_private.h"
#include "text_private.h"

#include <sodium.h>
#include <string.h>

/* Longest form: a check with everything present takes 400 bytes. */
enum { FORM_BYTES = 512 };

typedef struct canonical_form {
  unsigned char bytes[FORM_BYTES];
  size_t length;
} canonical_form;

_Static_assert(1 + 9 * 8 + BT_READING_COUNT * 9 + BT_FIELD_COUNT * 33 <= FORM_BYTES,
               "a check's canonical form must fit");

static void put_integer(canonical_form *form, int64_t value) {
  uint64_t bits = (uint64_t)value;
  unsigned char *at = form->bytes + form->length;
  for (int i = 0; i < 8; i++)
    at[i] = (unsigned char)(bits >> (8 * i) & 0xFF);
  form->length += 8;
}

static void put_double(canonical_form *form, double value) {
  double plain = value + 0.0; /* negative zero becomes zero */
  int64_t bits;
  memcpy(&bits, &plain, sizeof bits);
  put_integer(form, bits);
}

static void put_text(canonical_form *form, const ledger_text *text) {
  form->bytes[form->length++] = text->number != 0;
  if (text->number != 0) {
    memcpy(form->bytes + form->length, text->sha256, BT_SHA256_BYTES);
    form->length += BT_SHA256_BYTES;
  }
}

/* The first n readings. */
static void put_readings(canonical_form *form, const bt_check *check, int n) {
  for (int r = 0; r < n; r++) {
    bool there = bt_check_has(check, (bt_reading)r);
    form->bytes[form->length++] = there;
    if (there)
      put_double(form, check->reading[r]);
  }
}

/* Takes what the form holds, and the key; the value is left in the form. */
static void hash_named(crypto_generichash_state *state, canonical_form *form, const char *key,
                       double value) {
  put_integer(form, (int64_t)strlen(key));
  (void)crypto_generichash_update(state, form->bytes, form->length);
  (void)crypto_generichash_update(state, (const unsigned char *)key, strlen(key));
  form->length = 0;
  put_double(form, value);
}

/* The clinic's own readings, which may be many. */
static void hash_own(crypto_generichash_state *state, const bt_check *check) {
  canonical_form form = {.bytes = {'o'}, .length = 1};
  if (check->own_n == 0)
    return;
  put_integer(&form, (int64_t)check->own_n);
  for (size_t i = 0; i < check->own_n; i++)
    hash_named(state, &form, check->own[i].key, check->own[i].value);
  (void)crypto_generichash_update(state, form.bytes, form.length);
}

static void hash_later(crypto_generichash_state *state, const bt_check *check, int first) {
  canonical_form form = {.bytes = {'r'}, .length = 1};
  if (check->present >> first == 0)
    return;
  for (int r = first; r < BT_READING_COUNT; r++)
    if (bt_check_has(check, (bt_reading)r))
      hash_named(state, &form, bt_reading_key((bt_reading)r), check->reading[r]);
  (void)crypto_generichash_update(state, form.bytes, form.length);
}

/* Can't fail: only a wrong length of digest or key is refused. */
static void cut(const canonical_form *form, unsigned char *digest) {
  (void)crypto_generichash(digest, LEDGER_DIGEST_BYTES, form->bytes, form->length, NULL, 0);
}

void ledger_check_digest(char tag, const ledger_row *row, unsigned char *digest) {
  ledger_check_digest_of(tag, row, LEDGER_FIRST_READINGS, digest);
}

void ledger_check_digest_of(char tag, const ledger_row *row, int first_readings,
                            unsigned char *digest) {
  const bt_check *check = &row->check;
  canonical_form form; /* its bytes up to the length are written below */
  form.length = 0;
  form.bytes[form.length++] = (unsigned char)tag;
  put_integer(&form, row->source);
  put_integer(&form, check->line);
  put_integer(&form, check->last_line);
  put_integer(&form, row->unit);
  put_integer(&form, check->time);
  put_integer(&form, check->sequence);
  put_integer(&form, check->has_clock);
  put_integer(&form, check->state);
  put_integer(&form, check->refill);
  put_readings(&form, check, first_readings);
  for (bt_text_field f = 0; f < BT_FIELD_COUNT; f++)
    put_text(&form, &row->text[f]);
  if (check->own_n == 0 && check->present >> first_readings == 0) {
    cut(&form, digest);
    return;
  }
  crypto_generichash_state state;
  (void)crypto_generichash_init(&state, NULL, 0, LEDGER_DIGEST_BYTES);
  (void)crypto_generichash_update(&state, form.bytes, form.length);
  hash_own(&state, check);
  hash_later(&state, check, first_readings);
  (void)crypto_generichash_final(&state, digest, LEDGER_DIGEST_BYTES);
}

void ledger_check_content(const bt_check *check, unsigned char *digest) {
  canonical_form form = {.length = 0};
  put_integer(&form, check->state);
  put_integer(&form, check->refill);
  put_readings(&form, check, BT_READING_COUNT);
  crypto_generichash_state state;
  (void)crypto_generichash_init(&state, NULL, 0, LEDGER_DIGEST_BYTES);
  (void)crypto_generichash_update(&state, form.bytes, form.length);
  for (bt_text_field f = 0; f < BT_FIELD_COUNT; f++) {
    const char *text = check->text[f];
    if (f == BT_FIELD_OPERATOR || f == BT_FIELD_REMARK)
      continue;
    /* The NUL ends the text, so that two fields can't be taken for others; 1 marks an absent one.
     */
    const unsigned char absent = 1;
    if (text == NULL)
      (void)crypto_generichash_update(&state, &absent, 1);
    else
      (void)crypto_generichash_update(&state, (const unsigned char *)text, strlen(text) + 1);
  }
  hash_own(&state, check);
  (void)crypto_generichash_final(&state, digest, LEDGER_DIGEST_BYTES);
}

void ledger_event_digest(const bt_event *event, int64_t unit, int64_t source,
                         const ledger_text *note, unsigned char *digest) {
  const char *kind = bt_event_key(event->kind);
  canonical_form form = {.length = 0};
  form.bytes[form.length++] = 'e';
  put_integer(&form, source);
  put_integer(&form, event->line);
  put_integer(&form, event->last_line);
  put_integer(&form, unit);
  put_integer(&form, event->time);
  put_integer(&form, event->has_clock);
  put_integer(&form, (int64_t)strlen(kind));
  memcpy(form.bytes + form.length, kind, strlen(kind));
  form.length += strlen(kind);
  put_text(&form, note);
  cut(&form, digest);
}

void ledger_text_sha256(const unsigned char *salt, const char *body, unsigned char *sha256) {
  crypto_hash_sha256_state state;
  (void)crypto_hash_sha256_init(&state);
  (void)crypto_hash_sha256_update(&state, salt, LEDGER_SALT_BYTES);
  (void)crypto_hash_sha256_update(&state, (const unsigned char *)body, strlen(body));
  (void)crypto_hash_sha256_final(&state, sha256);
}
