/* A conflict in words: both sides, and how it was settled. */
#include "conflicts.h"
#include "help.h"

#include <string.h>

enum { LINE = 80, INDENT = 11 };

void conflicts_add_wrapped(bt_text *out, const char *label, const char *words) {
  bt_text plain = {0};
  size_t used = INDENT;
  (void)cli_plain(&plain, words, SIZE_MAX);
  bt_text_format(out, "  %-*s", INDENT - 2, label);
  for (const char *at = bt_text_get(&plain); *at != '\0'; at += strspn(at, " ")) {
    size_t bytes = strcspn(at, " ");
    if (used > INDENT && used + 1 + bytes > LINE) {
      bt_text_format(out, "\n%*s", INDENT, "");
      used = INDENT;
    }
    bt_text_add(out, used > INDENT ? " " : "");
    bt_text_add_bytes(out, at, bytes);
    used += bytes + 1;
    at += bytes;
  }
  bt_text_add(out, "\n");
  out->failed = out->failed || !bt_text_ok(&plain);
  bt_text_free(&plain);
}

static const char nothing[] = "(nothing: withdrawn, moved or read again since)";
static const char nothing_else[] = "(nothing else than stands)";

static const char *or_words(const char *words, const char *else_words) {
  return words[0] == '\0' ? else_words : words;
}

void conflicts_add(const bt_conflict *conflict, bt_text *out) {
  bt_text words = {0};
  bt_text_format(out, "%s  ", conflict->id);
  cli_describe_place(out, conflict->unit, conflict->time, conflict->has_clock);
  bt_text_add(out, ", from ");
  (void)cli_plain(out, conflict->source, LINE);
  if (conflict->held_n > 1)
    bt_text_format(out, ", %lld rows", (long long)conflict->held_n);
  bt_text_add(out, "\n");
  bool same = conflict->stored[0] == '\0' && conflict->held[0] == '\0';
  conflicts_add_wrapped(out, "stands",
                        or_words(conflict->stored, same ? "(the same by now)" : nothing));
  conflicts_add_wrapped(out, "came",
                        or_words(conflict->held, same ? "(the same as stands)" : nothing_else));
  if (conflict->settled) {
    char at[BT_TIME_TEXT];
    bt_text_format(&words,
                   conflict->replaced ? "replaced, its file was read again%s, by %s, %s: %s"
                                      : "%s kept, by %s, %s: %s",
                   conflict->replaced ? "" : bt_keep_word(conflict->kept), conflict->by,
                   bt_time_day_iso(conflict->settled_at, at), conflict->why);
    conflicts_add_wrapped(out, "settled", bt_text_get(&words));
  }
  bt_text_add(out, "\n");
  out->failed = out->failed || words.failed;
  bt_text_free(&words);
}

void conflicts_add_keep(bt_keep keep, bt_text *out) {
  static const char *const words[] = {[BT_KEEP_OLD] = HELP_KEEP_OLD,
                                      [BT_KEEP_NEW] = HELP_KEEP_NEW,
                                      [BT_KEEP_BOTH] = HELP_KEEP_BOTH};
  bt_text_format(out, "  %-4s  %s\n", bt_keep_word(keep), words[keep]);
}
