/* What two readings of a log have in common: the texts of intake/reading_text.c, a line each thing.
 *
 * D1  The map's name (line "mapfile") decides nothing.
 * D2  A column is the same where its place, key and unit are: what its header is called decides
 *     nothing.
 * D3  A line of units below the header was a row of its own to older versions, and refused: where
 *     the header is one line longer and nothing else differs, the rows are read the same.
 * D4  A decimal mark or an order of dates that one reading had none of is one that no row needs.
 * D5  Older versions wrote a header of several lines as it stood: its lines are one, and a line end
 *     in it is the blank that it is now. */
#include "reading_private.h"

#include <stdlib.h>
#include <string.h>

/* One line, what it is about, and what it says of that. Borrowed from the reading. */
typedef struct line {
  const char *text;
  size_t length, topic; /* bytes; of these what it is about: "dates", "column 3" */
} line;

static size_t word(const char *text, size_t length) {
  const char *blank = memchr(text, ' ', length);
  return blank == NULL ? length : (size_t)(blank - text);
}

/* D5: of a column's header the quotation mark that ends it is yet to come. */
static bool goes_on(const char *text, size_t length) {
  const char *open = memchr(text, '"', length);
  return strncmp(text, "column ", strlen("column ")) == 0 && open != NULL && text[length] == '\n' &&
         memchr(open + 1, '"', length - (size_t)(open + 1 - text)) == NULL;
}

/* The next line from *at on; false behind the last. What a map says of a text is a topic whole. */
static bool next_line(const char **at, line *one) {
  static const char *const single[] = {"encoding",  "delimiter", "decimal", "dates", "header",
                                       "thousands", "unit",      "event",   "form",  "mapfile"};
  if (**at == '\0')
    return false;
  *one = (line){.text = *at, .length = strcspn(*at, "\n")};
  while (goes_on(one->text, one->length))
    one->length += 1 + strcspn(*at + one->length + 1, "\n");
  *at += one->length + ((*at)[one->length] == '\n');
  size_t first = word(one->text, one->length);
  one->topic = one->length;
  for (size_t i = 0; i < sizeof single / sizeof *single; i++)
    if (strlen(single[i]) == first && memcmp(one->text, single[i], first) == 0)
      one->topic = first;
  if (first == strlen("column") && memcmp(one->text, "column", first) == 0 && first < one->length)
    one->topic = first + 1 + word(one->text + first + 1, one->length - first - 1);
  return true;
}

static bool is_about(const line *one, const char *topic) {
  return one->topic == strlen(topic) && memcmp(one->text, topic, one->topic) == 0;
}

/* D2: "energy_mj" and " in J" of " energy_mj "E Ist" in J". */
static void key_and_unit(const line *one, line *key, line *unit) {
  const char *rest = one->text + one->topic, *end = one->text + one->length;
  rest += rest < end;
  *key = (line){.text = rest, .length = word(rest, (size_t)(end - rest))};
  const char *quote = end;
  while (quote > rest && quote[-1] != '"')
    quote--;
  *unit = (line){.text = quote, .length = (size_t)(end - quote)};
}

static bool same_bytes(const line *a, const line *b) {
  return a->length == b->length && memcmp(a->text, b->text, a->length) == 0;
}

/* " none" behind its topic. */
static bool is_none(const line *one) {
  static const char none[] = " none";
  return one->length - one->topic == sizeof none - 1 &&
         memcmp(one->text + one->topic, none, sizeof none - 1) == 0;
}

/* D4. Years of two digits ("dates dmy with ...") are read by a stated order alone. */
static bool is_needless(const line *a, const line *b) {
  const line *other = is_none(a) ? b : a;
  enum { AN_ORDER = 4 };
  return (is_none(a) || is_none(b)) &&
         (is_about(a, "decimal") ||
          (is_about(a, "dates") && other->length - other->topic == AN_ORDER));
}

static bool says_the_same(const line *a, const line *b) {
  line key, unit, other_key, other_unit;
  if (is_needless(a, b))
    return true;
  if (strncmp(a->text, "column ", strlen("column ")) != 0)
    return same_bytes(a, b);
  key_and_unit(a, &key, &unit);
  key_and_unit(b, &other_key, &other_unit);
  return same_bytes(&key, &other_key) && same_bytes(&unit, &other_unit);
}

/* The line of the reading that is about the same; false where none is. */
static bool find(const char *reading, const line *of, line *found) {
  while (next_line(&reading, found))
    if (found->topic == of->topic && memcmp(found->text, of->text, of->topic) == 0)
      return true;
  return false;
}

/* D3. */
static bool is_units_line(const line *then, const line *now) {
  char *end = NULL;
  long long before = strtoll(then->text + then->topic, &end, 10);
  return is_about(then, "header") && before >= 1 &&
         strtoll(now->text + now->topic, &end, 10) == before + 1;
}

enum { SHOWN = 4 };

typedef struct differences {
  bt_text words; /* of the first SHOWN */
  size_t n, units_lines;
} differences;

/* "dates dmy then, ymd now"; either may be NULL. */
static void add(differences *found, const line *then, const line *now) {
  const line *any = then == NULL ? now : then;
  bt_text *words = &found->words;
  if (found->n++ >= SHOWN)
    return;
  bt_text_add(words, found->n == 1 ? "" : "; ");
  bt_text_add_bytes(words, any->text, any->topic);
  if (then == NULL || now == NULL) {
    bt_text_add_bytes(words, any->text + any->topic, any->length - any->topic);
    bt_text_add(words, then == NULL ? ": not then, but now" : ": then, but not now");
    return;
  }
  bt_text_add_bytes(words, then->text + then->topic, then->length - then->topic);
  bt_text_add(words, " then,");
  bt_text_add_bytes(words, now->text + now->topic, now->length - now->topic);
  bt_text_add(words, " now");
}

static void compare(const char *then, const char *now, differences *found) {
  line one, other;
  for (const char *at = then; next_line(&at, &one);) {
    if (is_about(&one, "mapfile"))
      continue;
    bool there = find(now, &one, &other);
    if (there && says_the_same(&one, &other))
      continue;
    found->units_lines += there && is_units_line(&one, &other);
    add(found, &one, there ? &other : NULL);
  }
  for (const char *at = now; next_line(&at, &one);)
    if (!is_about(&one, "mapfile") && !find(then, &one, &other))
      add(found, NULL, &one);
}

bool ledger_reading_same(const char *then, const char *now) {
  differences found = {.n = 0};
  compare(then, now, &found);
  bt_text_free(&found.words);
  return found.n == found.units_lines;
}

void ledger_reading_differs(const char *then, const char *now, bt_text *words) {
  differences found = {.n = 0};
  compare(then, now, &found);
  bt_text_add(words, bt_text_get(&found.words));
  if (found.n > SHOWN)
    bt_text_format(words, "; and %zu more", found.n - SHOWN);
  words->failed = words->failed || !bt_text_ok(&found.words);
  bt_text_free(&found.words);
}

bool ledger_reading_loses(const char *then, const char *now) {
  static const char *const of_rows[] = {"column", "value", "note",     "reading",
                                        "event",  "form",  "thousands"};
  line one, other;
  for (const char *at = then; next_line(&at, &one);) {
    bool counts = false;
    for (size_t i = 0; i < sizeof of_rows / sizeof *of_rows; i++)
      counts = counts || (strncmp(one.text, of_rows[i], strlen(of_rows[i])) == 0 &&
                          word(one.text, one.length) == strlen(of_rows[i]));
    if (counts && !(find(now, &one, &other) && says_the_same(&one, &other)))
      return true;
  }
  return false;
}

/* D5. */
static bool begins_with_header(const char *header, const char *then, size_t length) {
  for (size_t i = 0; i < length; i++)
    if (header[i] != then[i] && !(header[i] == ' ' && then[i] == '\n'))
      return false;
  return true;
}

static bool begins(const line *one, const char *word) {
  return strncmp(one->text, word, strlen(word)) == 0;
}

/* `column 3 energy_mj "E Ist" in J`: whether the third header is that, or that with its unit, where
 * units have a line of their own. */
static bool has_column(const line *one, const char *const *headers, size_t n) {
  const char *open = memchr(one->text, '"', one->length), *close = one->text + one->length;
  long long place = strtoll(one->text + strlen("column "), NULL, 10);
  if (open == NULL || place < 1 || (size_t)place > n)
    return false;
  while (close[-1] != '"')
    close--;
  size_t length = close - 1 > open ? (size_t)(close - open) - 2 : 0;
  const char *header = headers[place - 1];
  return begins_with_header(header, open + 1, length) &&
         (header[length] == '\0' || strncmp(header + length, " (", 2) == 0);
}

/* `value pattern "Muster" "gut" pass`: whether a header is that; a place ("@3") is any. */
static bool has_header(const line *one, const char *const *headers, size_t n) {
  const char *open = memchr(one->text, '"', one->length);
  if (open == NULL || open[1] == '@')
    return true;
  for (size_t i = 0; i < n; i++) {
    size_t length = strlen(headers[i]), left = (size_t)(one->text + one->length - open) - 1;
    if (length < left && open[1 + length] == '"') {
      bt_text name = {0};
      bt_text_add_bytes(&name, open + 1, length);
      bool same = bt_same_name(bt_text_get(&name), headers[i]);
      bt_text_free(&name);
      if (same)
        return true;
    }
  }
  return false;
}

bool ledger_reading_fits(const char *reading, const char *const *headers, size_t n) {
  line one;
  size_t columns = 0;
  while (next_line(&reading, &one)) {
    if ((begins(&one, "column ") && !has_column(&one, headers, n)) ||
        (begins(&one, "value ") && !has_header(&one, headers, n)))
      return false;
    columns += begins(&one, "column ");
  }
  return columns > 0;
}

char *ledger_reading_map(const char *reading) {
  line one;
  while (next_line(&reading, &one))
    if (is_about(&one, "mapfile") && one.length > one.topic + 1) {
      bt_text name = {0};
      bt_text_add_bytes(&name, one.text + one.topic + 1, one.length - one.topic - 1);
      return bt_text_take(&name);
    }
  return NULL;
}
