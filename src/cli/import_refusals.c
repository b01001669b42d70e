/* Refused lines of one file, grouped for a person: a column of a wrong kind refuses every line of
 * it, and its reason is read once. */
#include "import_heard.h"

#include <stdlib.h>
#include <string.h>

enum { GROUPS = 64, SHOWN_GROUPS = 12, SHOWN_LINES = 3 };

/* Lines of one column and reason; figures in a reason may differ. */
typedef struct refusal_group {
  char *column, *reason; /* column NULL: the line as a whole */
  unsigned lost;         /* bt_lost bits; of its first line */
  bool before;           /* refused so in an earlier import, for that very reason */
  int64_t n;
  char *shown[SHOWN_LINES];
} refusal_group;

typedef struct refusal_losses {
  int64_t n;     /* lines */
  unsigned lost; /* bt_lost bits of all of them */
} refusal_losses;

struct import_refusals {
  refusal_group group[GROUPS];
  size_t groups;
  int64_t n, ungrouped;
  refusal_losses losses, new_losses; /* new: of lines that were not refused so before */
  int64_t before, otherwise;         /* refused before; of them those with another reason now */
  int64_t ungrouped_before;
  bt_time first; /* of those refused before: the earliest */
};

import_refusals *import_refusals_new(void) {
  return bt_new(1, sizeof(import_refusals));
}

static void free_group(refusal_group *group) {
  free(group->column);
  free(group->reason);
  for (size_t k = 0; k < SHOWN_LINES; k++)
    free(group->shown[k]);
}

void import_refusals_free(import_refusals *refusals) {
  for (size_t i = 0; refusals != NULL && i < refusals->groups; i++)
    free_group(&refusals->group[i]);
  free(refusals);
}

static void add_quoted(bt_text *sentence, const char *before, const char *text) {
  bt_text_format(sentence, "%s\"", before);
  (void)cli_plain(sentence, text, SIZE_MAX);
  bt_text_add(sentence, "\"");
}

static char *line_of(const bt_refusal *refusal) {
  bt_text sentence = {0};
  bt_text_format(&sentence, "  line %lld", (long long)refusal->line);
  if (refusal->column != NULL)
    add_quoted(&sentence, ", column ", refusal->column);
  if (refusal->value != NULL)
    add_quoted(&sentence, ": ", refusal->value);
  bt_text_add(&sentence, ": ");
  (void)cli_plain(&sentence, refusal->reason, SIZE_MAX);
  unsigned untold = bt_lost_untold(refusal->lost, refusal->reason);
  if (untold != 0) {
    bt_text_add(&sentence, "; the line holds ");
    bt_lost_words(untold, "and", &sentence);
  }
  return bt_text_take(&sentence);
}

static const char digits[] = "0123456789";

/* The same words; runs of digits count as one. */
static bool same_reason(const char *a, const char *b) {
  while (*a != '\0' && *b != '\0') {
    size_t x = strspn(a, digits), y = strspn(b, digits);
    if ((x > 0) != (y > 0) || (x == 0 && *a != *b))
      return false;
    a += x > 0 ? x : 1;
    b += y > 0 ? y : 1;
  }
  return *a == *b;
}

static bool is_of(const refusal_group *group, const char *column, const char *reason) {
  bool columns = group->column == NULL || column == NULL ? group->column == NULL && column == NULL
                                                         : strcmp(group->column, column) == 0;
  return columns && same_reason(group->reason, reason);
}

/* The group of that column and reason; NULL where there is no room for one more. */
static refusal_group *group_of(import_refusals *refusals, const bt_refusal *refusal, bool before) {
  for (size_t i = 0; i < refusals->groups; i++)
    if (refusals->group[i].before == before &&
        (refusals->group[i].lost != 0) == (refusal->lost != 0) &&
        is_of(&refusals->group[i], refusal->column, refusal->reason))
      return &refusals->group[i];
  if (refusals->groups == GROUPS)
    return NULL;
  refusal_group *made = &refusals->group[refusals->groups];
  *made = (refusal_group){.lost = refusal->lost,
                          .before = before,
                          .column = bt_copy(refusal->column),
                          .reason = bt_copy(refusal->reason)};
  if (made->reason == NULL || (refusal->column != NULL && made->column == NULL)) {
    free(made->column);
    free(made->reason);
    *made = (refusal_group){.n = 0};
    return NULL;
  }
  refusals->groups++;
  return made;
}

static void add_loss(refusal_losses *to, unsigned lost) {
  to->n += lost != 0;
  to->lost |= lost;
}

void import_refusals_keep(import_refusals *refusals, const bt_refusal *refusal,
                          bt_refused_before before, bt_time first) {
  bool same = before == BT_REFUSED_SAME;
  if (refusals == NULL)
    return;
  refusals->n++;
  add_loss(&refusals->losses, refusal->lost);
  add_loss(&refusals->new_losses, same ? 0 : refusal->lost);
  if (before != BT_REFUSED_NEW && (refusals->before == 0 || first < refusals->first))
    refusals->first = first;
  refusals->before += before != BT_REFUSED_NEW;
  refusals->otherwise += before == BT_REFUSED_OTHERWISE;
  refusal_group *group = group_of(refusals, refusal, same);
  if (group == NULL) {
    refusals->ungrouped++;
    refusals->ungrouped_before += same;
    return;
  }
  if (group->n < SHOWN_LINES)
    group->shown[group->n] = line_of(refusal);
  group->n++;
}

/* Takes the lines of `other`, which is no more then. */
static void take_over(refusal_group *group, refusal_group *other) {
  for (size_t k = 0, from = 0; k < SHOWN_LINES && from < SHOWN_LINES; k++)
    if (group->shown[k] == NULL) {
      group->shown[k] = other->shown[from];
      other->shown[from++] = NULL;
    }
  group->n += other->n;
  free_group(other);
}

void import_refusals_forget(import_refusals *refusals) {
  if (refusals == NULL)
    return;
  refusals->before = refusals->otherwise = refusals->ungrouped_before = 0;
  refusals->new_losses = refusals->losses;
  size_t kept = 0;
  for (size_t i = 0; i < refusals->groups; i++) {
    refusal_group *group = &refusals->group[i];
    size_t same = 0;
    while (same < kept && !((refusals->group[same].lost != 0) == (group->lost != 0) &&
                            is_of(&refusals->group[same], group->column, group->reason)))
      same++;
    group->before = false;
    if (same < kept)
      take_over(&refusals->group[same], group);
    else
      refusals->group[kept++] = *group;
  }
  refusals->groups = kept;
}

static void show_group(const refusal_group *group) {
  int64_t more = group->n - SHOWN_LINES;
  for (size_t k = 0; k < SHOWN_LINES; k++)
    if (group->shown[k] != NULL)
      (void)fprintf(stderr, "%s\n", group->shown[k]);
  if (more > 0)
    (void)fprintf(stderr, "  and %lld more line%s with the same reason\n", (long long)more,
                  more == 1 ? "" : "s");
}

/* ", of them 3 as before (first on 2026-09-30), 1 of these for another reason, 1 left out by
 * decision; `beamtally conflicts --refused` lists ...". */
static void add_known(const import_refusals *refusals, int64_t left_out, bt_text *sentence) {
  int64_t same = refusals->before - refusals->otherwise;
  bool none_new = refusals->before == refusals->n;
  char at[BT_TIME_TEXT];
  if (none_new && refusals->n == 1)
    bt_text_add(sentence, ", as before");
  else
    bt_text_format(sentence, ", %s %lld as before", none_new ? "all" : "of them",
                   (long long)refusals->before);
  bt_text_format(sentence, " (first on %s)", bt_time_day_iso(refusals->first, at));
  if (refusals->otherwise > 0 && same > 0)
    bt_text_format(sentence, ", %lld of these for another reason", (long long)refusals->otherwise);
  if (left_out > 0)
    bt_text_format(sentence, ", %lld left out by decision", (long long)left_out);
  if (same > 0)
    bt_text_format(sentence, "; `beamtally conflicts --refused` lists %s",
                   left_out > 0       ? "the others"
                   : refusals->n == 1 ? "it"
                                      : "them");
  if (refusals->otherwise > 0 && none_new)
    bt_text_add(sentence, same > 0 ? ". For another reason:" : ", for another reason now:");
  else if (refusals->otherwise > 0)
    bt_text_add(sentence, ". New, or for another reason, are:");
  else if (!none_new)
    bt_text_add(sentence, ". New are:");
}

/* "3 lines refused, all 3 as before (first on 2026-09-30); `beamtally conflicts --refused` ...". */
static void say_how_many(const import_refusals *refusals, const char *path, int64_t left_out,
                         bool all) {
  bt_text sentence = {0};
  bt_text_format(&sentence, "%s: %lld line%s refused", path, (long long)refusals->n,
                 refusals->n == 1 ? "" : "s");
  if (refusals->before > 0 && !all)
    add_known(refusals, left_out, &sentence);
  else
    bt_text_add(&sentence, ":");
  cli_say("%s", bt_text_get(&sentence));
  bt_text_free(&sentence);
}

static void show_groups(const import_refusals *refusals, bool all) {
  int64_t rest = refusals->ungrouped - (all ? 0 : refusals->ungrouped_before);
  size_t shown[2] = {0, 0};
  for (int others = 0; others < 2; others++) /* those that lost something first */
    for (size_t i = 0; i < refusals->groups; i++) {
      const refusal_group *group = &refusals->group[i];
      if ((group->lost != 0) != (others == 0) || (group->before && !all))
        continue;
      if (shown[others]++ < SHOWN_GROUPS)
        show_group(group);
      else
        rest += group->n;
    }
  if (rest > 0)
    (void)fprintf(stderr, "  and %lld more, for other reasons\n", (long long)rest);
}

/* How many of the lines that are shown lost something, and what. */
static void say_lost(const import_refusals *refusals, bool all) {
  const refusal_losses *of = all ? &refusals->losses : &refusals->new_losses;
  bt_text words = {0};
  if (of->n == 0)
    return;
  if (refusals->n == 1)
    bt_text_add(&words, "It holds ");
  else
    bt_text_format(&words, "%lld of them hold%s ", (long long)of->n, of->n == 1 ? "s" : "");
  bt_lost_words(of->lost, of->n == 1 ? "and" : "or", &words);
  (void)fprintf(stderr, "  %s, which no chart and no count has until mended:\n",
                bt_text_get(&words));
  bt_text_free(&words);
}

void import_refusals_show(const import_refusals *refusals, const char *path,
                          const bt_import_counts *counts, bool all) {
  if (refusals == NULL || refusals->n == 0 || (refusals->n == counts->left_out && !all))
    return;
  say_how_many(refusals, path, counts->left_out, all);
  say_lost(refusals, all);
  show_groups(refusals, all);
  bool stored = counts->refused > 0,
       told = refusals->before == refusals->n && refusals->otherwise == 0;
  if (stored && !told && strcmp(path, bt_input_name("-")) != 0)
    (void)fprintf(stderr, "  To mend a line, correct it in a copy that keeps the log's name, in "
                          "another folder, and import the copy;\n  `beamtally conflicts --refused` "
                          "lists what waits.\n");
}

void import_refusals_add_before(const import_refusals *refusals, const bt_import_counts *counts,
                                bool all, bt_text *text) {
  if (refusals == NULL || refusals->before == 0 || (!all && counts->left_out < refusals->n))
    return;
  bool none_new = refusals->before == refusals->n, one = refusals->n == 1;
  if (none_new)
    bt_text_add(text, one ? " (as before" : " (all as before");
  else
    bt_text_format(text, " (%lld as before", (long long)refusals->before);
  if (counts->left_out == refusals->n)
    bt_text_add(text, " and left out by decision");
  else if (counts->left_out > 0)
    bt_text_format(text, ", %lld of them left out by decision", (long long)counts->left_out);
  bt_text_add(text, ")");
}

/* How many lines have that group's column and reason, whatever else tells them apart. */
static int64_t count_alike(const import_refusals *refusals, const refusal_group *group) {
  int64_t n = 0;
  for (size_t i = 0; i < refusals->groups; i++)
    if (is_of(&refusals->group[i], group->column, group->reason))
      n += refusals->group[i].n;
  return n;
}

void import_refusals_most(const import_refusals *refusals, bt_text *sentence) {
  const refusal_group *most = NULL;
  int64_t n = 0;
  for (size_t i = 0; refusals != NULL && i < refusals->groups; i++) {
    int64_t alike = count_alike(refusals, &refusals->group[i]);
    most = alike > n ? &refusals->group[i] : most;
    n = alike > n ? alike : n;
  }
  if (most == NULL)
    return;
  bt_text_format(sentence, " Most often (%lld line%s):", (long long)n, n == 1 ? "" : "s");
  if (most->column != NULL)
    add_quoted(sentence, " column ", most->column);
  bt_text_format(sentence, "%s %s", most->column == NULL ? "" : ":", most->reason);
}
