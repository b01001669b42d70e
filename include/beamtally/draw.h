/* The draw room: pages to PDF, PNG and SVG, and the measuring of text. It knows nothing of lasers.
 *
 * One bt_draw a process, one thread. Ownership: bt_draw_open's result is owned (bt_draw_close). */
#ifndef BEAMTALLY_DRAW_H
#define BEAMTALLY_DRAW_H

#include "beamtally/base.h"
#include "beamtally/page.h"

typedef struct bt_draw bt_draw;

typedef enum bt_format { BT_FORMAT_PDF, BT_FORMAT_PNG, BT_FORMAT_SVG } bt_format;

/* Checks fonts and the chart device first: BT_SYSTEM names the Debian package that is missing. */
bt_status bt_draw_open(bt_draw **draw, bt_error *error) BT_MUST_CHECK;
void bt_draw_close(bt_draw *draw);

/* Adds a face from that file, for characters that the pages' own lacks: before anything is measured
 * or drawn. BT_SYSTEM, with the file and the reason, when there is none; the rest stays as it was.
 */
bt_status bt_draw_add_face(bt_draw *draw, const char *file, bt_error *error) BT_MUST_CHECK;

/* Whether bt_draw_add_face would take that file, without a bt_draw. */
bt_status bt_face_check(const char *file, bt_error *error) BT_MUST_CHECK;

/* Measures text exactly as bt_draw_file will set it. Borrowed: valid until bt_draw_close. */
bt_measure bt_draw_measure(bt_draw *draw);

/* Writes the document under that name: a temporary file beside it, synced, then renamed; on failure
 * nothing is left behind. PNG and SVG hold the first page. PNG has 150 dots an inch. */
bt_status bt_draw_file(bt_draw *draw, const bt_document *document, bt_format format,
                       const char *path, bt_error *error) BT_MUST_CHECK;

/* The same, but never over a file, not even over one that comes meanwhile (BT_REFUSED): where it
 * fails, what stands under that name is another's. The file goes when the program is ended, until
 * bt_passing_forget has its name. */
bt_status bt_draw_new_file(bt_draw *draw, const bt_document *document, bt_format format,
                           const char *path, bt_error *error) BT_MUST_CHECK;

/* Characters of a document that no font at hand has, without drawing it. */
bt_status bt_draw_count_missing(bt_draw *draw, const bt_document *document, size_t *missing,
                                bt_error *error) BT_MUST_CHECK;

/* Characters that no font at hand has, counted over all files drawn so far. */
size_t bt_draw_missing_glyphs(const bt_draw *draw);

#endif
