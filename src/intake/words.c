/* Small words of a cell. */
#include "words.h"
#include "beamtally/base.h"
#include "letters.h"

#include <string.h>
#include <strings.h>

static bool one_of(const char *text, const char *const *words, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (strcasecmp(text, words[i]) == 0)
      return true;
  return false;
}

#define ONE_OF(text, words) one_of(text, words, sizeof words / sizeof words[0])

/* Small letters where capitals may be somebody's initials. */
static bool is_dotted_word(const char *text) {
  static const char *const words[] = {"n.a.",  "N.A.", "n. a.", "n.b.",  "n. b.", "n.d.",
                                      "n. d.", "n/d",  "k.A.",  "k. A.", "k.a.",  "k. a."};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (strcmp(text, words[i]) == 0)
      return true;
  return strcasecmp(text, "na") == 0 || strcasecmp(text, "n/a") == 0;
}

bool intake_is_missing(const char *text) {
  switch (text[0]) { /* nearly every cell begins with something else */
  case '\0':
    return true;
  case '-':
  case '?':
    return text[strspn(text + 1, text[0] == '-' ? "-" : "?") + 1] == '\0';
  case '/':
    return text[1] == '\0';
  case '\xE2':
    return strcmp(text, "–") == 0 || strcmp(text, "—") == 0 || strcmp(text, "−") == 0;
  case 'k':
  case 'n':
  case 'N':
    return is_dotted_word(text);
  default:
    return false;
  }
}

bool intake_state_of(const char *text, bt_state *state) {
  static const char *const found[] = {"as_found", "as found", "as-found", "asfound", "found"};
  static const char *const left[] = {"as_left", "as left", "as-left", "asleft", "left"};
  *state = ONE_OF(text, found) ? BT_AS_FOUND : ONE_OF(text, left) ? BT_AS_LEFT : BT_STATE_NONE;
  return *state != BT_STATE_NONE;
}

/* Whether the text is one of the words, its letters without marks. A doubt is neither word. */
static bool is_word(const char *text, const char *const *words, size_t n) {
  char plain[INTAKE_NAME_BYTES];
  bool found = false;
  if (strchr(text, '?') != NULL || !intake_plain_name(text, plain))
    return false;
  for (size_t i = 0; i < n && !found; i++)
    found = strcmp(plain, words[i]) == 0;
  return found;
}

/* English, German, French, Italian, Spanish, Turkish, Portuguese, Dutch, Polish: everyday words,
 * and what spreadsheets of these languages call true and false. */
bool intake_says_yes(const char *text) {
  static const char *const words[] = {"yes",  "y",      "ja",   "j",         "oui",        "si",
                                      "evet", "sim",    "tak",  "x",         "1",          "true",
                                      "wahr", "vrai",   "vero", "verdadero", "verdadeiro", "dogru",
                                      "waar", "prawda", "✓",    "✔"};
  return is_word(text, words, sizeof words / sizeof *words);
}

bool intake_says_no(const char *text) {
  static const char *const words[] = {"no",   "n",     "nein",   "non",    "hayir", "nao",
                                      "nee",  "neen",  "nie",    "0",      "false", "falsch",
                                      "faux", "falso", "yanlis", "onwaar", "falsz"};
  return is_word(text, words, sizeof words / sizeof *words);
}

/* The languages of yes and no, and Swedish. Whole words: parts of them stand in names of people. */
bool intake_says_changed(const char *text) {
  static const char *const words[] = {
      "change",       "changed",      "exchange", "exchanged",   "replaced",   "filled",
      "refilled",     "new",          "wechsel",  "gewechselt",  "getauscht",  "austausch",
      "ausgetauscht", "neu",          "gefullt",  "nachgefullt", "befullt",    "changement",
      "remplace",     "rempli",       "nouveau",  "cambio",      "cambiato",   "cambiado",
      "sostituito",   "sostituzione", "nuovo",    "nuevo",       "reemplazo",  "reemplazado",
      "llenado",      "troca",        "trocado",  "novo",        "vervangen",  "gewisseld",
      "gevuld",       "bijgevuld",    "nieuw",    "wymiana",     "wymieniono", "wymieniony",
      "napelniono",   "dolano",       "nowy",     "degisim",     "degisti",    "degistirildi",
      "dolduruldu",   "yeni",         "byte",     "bytt",        "fylld"};
  return is_word(text, words, sizeof words / sizeof *words);
}

/* Words for passed, then for failed. */
static const char *const passes[] = {
    "passed",   "pass",     "ok",       "bestanden", "i.o.",     "io",       "good", "réussi",
    "conforme", "correcto", "superato", "aprobado",  "aprovado", "geslaagd", "goed", "başarılı"};
static const char *const fails[] = {"failed",
                                    "fail",
                                    "nok",
                                    "not ok",
                                    "nicht bestanden",
                                    "durchgefallen",
                                    "n.i.o.",
                                    "nio",
                                    "bad",
                                    "échoué",
                                    "échec",
                                    "non conforme",
                                    "fallido",
                                    "fallito",
                                    "non superato",
                                    "reprovado",
                                    "mislukt",
                                    "afgekeurd",
                                    "başarısız",
                                    "error",
                                    "fault",
                                    "fehler",
                                    "fehlgeschlagen",
                                    "erreur",
                                    "errore",
                                    "erro",
                                    "fallo",
                                    "fout",
                                    "błąd",
                                    "hata",
                                    "fel"};

static bool is_among(const char *const *words, size_t n, const char *text) {
  bool among = false;
  for (size_t i = 0; i < n && !among; i++)
    among = bt_same_name(words[i], text);
  return among;
}

bool intake_says_passed(const char *text) {
  return is_among(passes, sizeof passes / sizeof *passes, text);
}

bool intake_says_failed(const char *text) {
  return is_among(fails, sizeof fails / sizeof *fails, text);
}

const char *intake_failed_part(const char *text) {
  const char *part = NULL;
  for (size_t i = 0; i < sizeof fails / sizeof *fails && part == NULL; i++) {
    size_t length = strlen(fails[i]);
    if (strncasecmp(text, fails[i], length) != 0)
      continue;
    const char *mark = text + length + strspn(text + length, " ");
    size_t marks = strspn(mark, "-:,/");
    const char *behind = mark + marks + strspn(mark + marks, " ");
    part = marks > 0 && *behind != '\0' ? behind : NULL;
  }
  return part;
}

bool intake_refill_of(const char *text, bt_refill *refill) {
  *refill = strcasecmp(text, "before") == 0  ? BT_REFILL_BEFORE
            : strcasecmp(text, "after") == 0 ? BT_REFILL_AFTER
                                             : BT_REFILL_NONE;
  return *refill != BT_REFILL_NONE || intake_says_no(text);
}

bool intake_is_none(const char *text) {
  static const char *const none[] = {"0",
                                     "none",
                                     "no",
                                     "nil",
                                     "null",
                                     "nothing",
                                     "no faults",
                                     "no fault",
                                     "no failures",
                                     "no errors",
                                     "keine",
                                     "keiner",
                                     "kein",
                                     "nichts",
                                     "ohne",
                                     "keine fehler",
                                     "kein fehler",
                                     "aucun",
                                     "aucune",
                                     "rien",
                                     "neant",
                                     "néant",
                                     "aucun défaut",
                                     "aucun defaut",
                                     "ninguno",
                                     "ninguna",
                                     "nada",
                                     "ningún fallo",
                                     "ningun fallo",
                                     "sin fallos",
                                     "sin fallo",
                                     "nessuno",
                                     "nessuna",
                                     "--",
                                     "–",
                                     "—",
                                     "-"};
  return ONE_OF(text, none);
}

/* Up to nine digits as a number; behind them, blanks are passed. */
static bool take_whole(const char **at, double *number) {
  enum { MOST_DIGITS = 9 };
  int digits = 0;
  *number = 0.0;
  for (; **at >= '0' && **at <= '9'; (*at)++, digits++)
    *number = *number * 10.0 + (**at - '0');
  *at += strspn(*at, " ");
  return digits >= 1 && digits <= MOST_DIGITS;
}

static bool take_pair(const char **at, double *passed, double *total) {
  static const char *const of[] = {"/", "of ", "von ", "sur ", "de ", "di "};
  size_t step = 0;
  if (!take_whole(at, passed))
    return false;
  for (size_t i = 0; i < sizeof of / sizeof of[0] && step == 0; i++)
    step = strncasecmp(*at, of[i], strlen(of[i])) == 0 ? strlen(of[i]) : 0;
  if (step == 0)
    return false;
  *at += step;
  *at += strspn(*at, " ");
  return take_whole(at, total);
}

bool intake_pair_of(const char *text, double *passed, double *total) {
  const char *at = text;
  return take_pair(&at, passed, total) && *at == '\0';
}

bool intake_pair_behind(const char *text, double *passed, double *total, const char **rest) {
  const char *at = text + strcspn(text, "0123456789");
  bool found = at > text && take_pair(&at, passed, total);
  *rest = at;
  return found && *at != '/'; /* which a date goes on with */
}

const char *intake_show(const char *text, char *shown, size_t size) {
  size_t length = strnlen(text, size);
  if (length == size) {
    length--;
    while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80)
      length--;
  }
  for (size_t i = 0; i < length; i++) /* on one line */
    shown[i] = (unsigned char)text[i] < ' ' || text[i] == 0x7F ? ' ' : text[i];
  shown[length] = '\0';
  return shown;
}
