/* Letters without their marks. */
#ifndef INTAKE_LETTERS_H
#define INTAKE_LETTERS_H

#include "header.h"

/* What a letter with a mark is without it, in small letters ("É": "e", "ß": "ss"), and its bytes
 * into *step; NULL where `at` doesn't begin with one. */
const char *intake_plain_letter(const char *at, size_t *step);

/* The simple name, its letters without marks: "Décalage" is "decalage", as is "DECALAGE". False as
 * intake_simple_name. */
bool intake_plain_name(const char *header, char plain[INTAKE_NAME_BYTES]) BT_MUST_CHECK;

#endif
