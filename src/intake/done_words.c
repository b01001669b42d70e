/* Words of headers by which a diary's column tells what was done to the laser: a help for the
 * person who writes a map, never a decision. */
#include "done_words.h"
#include "letters.h"
#include "likely_words.h"
#include "says_who.h"

#include <string.h>

/* Parts of plain names (letters.h), "=work": the whole name; in English, German, French, Italian,
 * Spanish, Portuguese, Dutch, Polish, Swedish and Turkish. "Was" and "What" alone may name a
 * reading; the "qui" of "ce qui a été fait" asks for nobody. */
static const char *const parts[] = {
    "wasdone",     "wedid",      "workdone",   "whatdone",    "=done",      "=work",
    "actiontaken", "=action",    "=actions",   "activity",    "activities", "=task",
    "=tasks",      "gemacht",    "=getan",     "wurdegetan",  "massnahm",   "tatigkeit",
    "taetigkei",   "=arbeit",    "arbeiten",   "=eingriff",   "etefait",    "=fait",
    "interven",    "travail",    "travaux",    "fatto",       "lavor",      "attivita",
    "sehizo",      "hecho",      "realizad",   "trabajo",     "actividad",  "tarea",
    "=accion",     "acciones",   "foifeito",   "=feito",      "trabalho",   "atividade",
    "=acao",       "gedaan",     "uitgevoerd", "werkzaamhe",  "zrobion",    "wykonan",
    "czynnos",     "gjort",      "gjordes",    "atgard",      "yapilan",    "=islem",
    "=operation",  "=operacion", "=operacao",  "=operazione",
};

bool intake_says_done(const char *header) {
  char plain[INTAKE_NAME_BYTES];
  if (!intake_plain_name(header, plain))
    return false;
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
    if (intake_has_part(plain, parts[i]))
      return parts[i][0] == '=' || strstr(plain, "cequi") != NULL || !intake_says_who(header);
  return false;
}
