/* Whether a header or a text says who did something: names of people never go into a map. */
#include "says_who.h"
#include "hinted.h"
#include "letters.h"

#include <string.h>

/* English, German, French, Italian, Spanish, Portuguese, Dutch, Polish, Turkish, Swedish; without
 * marks. */
static const char *const whole_words[] = {
    "by",      "who",      "whom",      "name",     "names", "person", "staff", "nurse",
    "sign",    "signed",   "von",       "vom",      "durch", "wer",    "par",   "qui",
    "nom",     "da",       "dal",       "dalla",    "chi",   "nome",   "por",   "pelo",
    "pela",    "quien",    "quem",      "nombre",   "door",  "wie",    "naam",  "przez",
    "kto",     "nazwisko", "imie",      "podpis",   "kim",   "isim",   "adi",   "tarafindan",
    "av",      "vem",      "namn",      "initials", "paraf", "visa",   "tech",  "kurzel",
    "wykonal", "yapan",    "assinatura"};

static bool is_whole_word(const char *plain) {
  for (size_t i = 0; i < sizeof whole_words / sizeof *whole_words; i++)
    if (strcmp(plain, whole_words[i]) == 0)
      return true;
  return false;
}

static bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

/* Bytes of the word at `at`; "RefillBy" is two. */
static size_t word_at(const char *at) {
  size_t n = 0;
  while (is_letter(at[n]) &&
         !(n > 0 && at[n] >= 'A' && at[n] <= 'Z' && at[n - 1] >= 'a' && at[n - 1] <= 'z'))
    n++;
  return n;
}

bool intake_says_who(const char *text) {
  char word[INTAKE_NAME_BYTES], plain[INTAKE_NAME_BYTES];
  for (const char *at = text; *at != '\0';) {
    size_t n = word_at(at);
    if (n > 0 && n < sizeof word) {
      memcpy(word, at, n);
      word[n] = '\0';
      if (intake_plain_name(word, plain) && is_whole_word(plain))
        return true;
    }
    at += n > 0 ? n : 1;
  }
  return intake_hints_at(text, "operator");
}
