/* Previews of logs, and the maps that they start. */
#ifndef PREVIEWED_H
#define PREVIEWED_H

#include "gather.h"

/* The preview of a log of that text; owned. */
bt_survey *preview_of(const char *text, const bt_reading_choices *choices);

/* Writes the preview's map into a second file, reads it, and has it removed. */
void preview_read_back(const bt_survey *preview, bt_reading_choices *choices, bt_text *map);

void map_must_have(const bt_text *map, const char *line);

#endif
