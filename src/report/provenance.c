/* Where the numbers of a page come from: files, checks, and the ledger’s state. */
#include "report_sentences.h"

void report_state_words(const char *state, bt_text *out) {
  char grouped[BT_IN_FOURS_TEXT];
  bt_text_format(out, " Ledger %s.", bt_in_fours(state, grouped));
}

void report_of_several(int64_t lines, int64_t of_several, const char *before, const char *after,
                       bt_text *out) {
  if (of_several == 0)
    return;
  bt_text_add(out, before);
  if (of_several < lines)
    bt_text_format(out, "%lld of them ", (long long)of_several);
  bt_text_format(out, "of this laser or of another of %s log%s", lines == 1 ? "its" : "the same",
                 after);
}

void report_provenance_words(const bt_unit_study *unit, bt_text *out) {
  const bt_provenance *from = &unit->provenance;
  report_count(out, (uint64_t)from->sources, "log file", "log files");
  if (from->sources_again > 0 && from->sources == 1)
    bt_text_add(out, " (imported again, grown or mended)");
  else if (from->sources_again > 0)
    bt_text_format(out, " (%lld of them imported again, grown or mended)",
                   (long long)from->sources_again);
  bt_text_add(out, ", ");
  report_count(out, (uint64_t)from->checks, "check", "checks");
  bt_text_add(out, ", ");
  report_count(out, (uint64_t)from->refused, "refused line", "refused lines");
  report_of_several(from->refused, from->of_several, " (", ")", out);
  if (from->left_out > 0 && from->left_out == from->refused)
    bt_text_add(out, ", left out by decision");
  else if (from->left_out > 0)
    bt_text_format(out, ", %lld of them left out by decision", (long long)from->left_out);
  if (from->with_loss > 0) {
    if (from->refused == 1)
      bt_text_add(out, ", with ");
    else
      bt_text_format(out, ", %lld of %s with ", (long long)from->with_loss,
                     from->left_out > 0 ? "the others" : "them");
    bt_lost_words(from->lost, from->with_loss == 1 ? "and" : "or", out);
  }
  if (from->conflicts > 0) {
    bt_text_add(out, ", ");
    report_count(out, (uint64_t)from->conflicts, "row held back", "rows held back");
  }
  if (from->corrections > 0) {
    bt_text_add(out, ", ");
    report_count(out, (uint64_t)from->corrections, "correction", "corrections");
  }
  bt_text_add(out, ".");
  report_state_words(from->state, out);
}
