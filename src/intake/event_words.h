/* What kind of event a text tells of. */
#ifndef INTAKE_EVENT_WORDS_H
#define INTAKE_EVENT_WORDS_H

#include "beamtally/record.h"

/* The kind of event that the text most likely tells of; BT_EVENT_OTHER where no word of it does. */
bt_event_kind intake_event_guess(const char *text);

#endif
