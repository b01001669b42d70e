/* Parts of a map's lines, as it is written. */
#ifndef INTAKE_MAP_LINE_H
#define INTAKE_MAP_LINE_H

#include "beamtally/intake.h"

/* The longest line that INI takes. */
enum { INTAKE_MAP_LINE = 190 };

/* True when INI gives the text back as it is: no line end, no comment sign, no blank at an end. */
bool intake_can_stand(const char *text);

/* Column i as a map names it: by its header, or by its position where that can't stand, is not the
 * only one, or holds a character of `without`. */
void intake_add_column(const bt_survey *survey, size_t i, const char *without, bt_text *map);

/* A column or a text of [values], in quotation marks where it can't stand without them (V3 of
 * map_values.c). */
void intake_add_marked(const char *text, bt_text *line);

/* A text for a comment: cut, and on one line. */
void intake_add_remark(const char *text, bt_text *map);

#endif
