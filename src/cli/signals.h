/* What signals' files share. */
#ifndef CLI_SIGNALS_H
#define CLI_SIGNALS_H

#include "cli.h"

/* signals_text.c: fixed words, in text and tables. */
const char *signals_side(bool high);
const char *signals_strength(bt_strength strength);

/* The one that stands, or NULL. Borrowed. */
const bt_disposition *signals_disposition(const bt_study *of, const bt_episode *episode);

/* Each appends text: "2026-10-01, KL: mirror dull; mirror cleaned"; an episode's lines; those of
 * dispositions that later entries have left without an episode. A failure stays with the text. */
void signals_add_concluded(const bt_disposition *disposition, bt_text *words);
void signals_add_episode(const bt_study *of, const bt_episode *episode, bt_text *out);
void signals_add_alone(const bt_study *of, bt_text *out);

/* signals_rules.c: appends, for each of these rules, its key beside what the pages call it, and how
 * strong it is. */
void signals_add_rules(bt_rules rules, bt_text *out);

#endif
