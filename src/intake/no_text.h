/* What the first bytes of a file show: whether they are a text, and in which encoding. */
#ifndef INTAKE_NO_TEXT_H
#define INTAKE_NO_TEXT_H

#include "beamtally/base.h"

/* The encoding of the byte-order mark at the start of a file; NULL without one. */
const char *intake_marked_encoding(const char *first, size_t length);

/* BT_INPUT where the first bytes of a file are no text, and what they are. `encoded`: a person or a
 * map names its encoding. */
bt_status intake_check_text(const char *bytes, size_t length, bool encoded,
                            bt_error *error) BT_MUST_CHECK;

#endif
