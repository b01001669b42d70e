/* The colours of the inks, sRGB.
 *
 * 1. White words on ALARM, NOTICE and NEUTRAL have a contrast of at least 4.5 : 1.
 * 2. ALARM, NOTICE and SERIES stay apart in lightness, so also in grey print, and in hue for
 *    readers without red or green cones; state has a mark or a word beside its colour all the same.
 * The unit tests compute both. */
#include <cairo.h>

#include "draw_room.h"

static const draw_colour colours[BT_INK_COUNT] = {
    [BT_INK_TEXT] = {0x1B, 0x2A, 0x38},      [BT_INK_SOFT] = {0x4F, 0x5F, 0x6F},
    [BT_INK_FAINT] = {0x8A, 0x96, 0xA3},     [BT_INK_PAPER] = {0xFF, 0xFF, 0xFF},
    [BT_INK_PANEL] = {0xF3, 0xF5, 0xF8},     [BT_INK_SERIES] = {0x1F, 0x55, 0x8A},
    [BT_INK_RAW] = {0x9F, 0xB3, 0xC8},       [BT_INK_ALARM] = {0xB8, 0x2E, 0x1F},
    [BT_INK_NOTICE] = {0x96, 0x6A, 0x00},    [BT_INK_NEUTRAL] = {0x4A, 0x5B, 0x6C},
    [BT_INK_CENTRE] = {0x1B, 0x2A, 0x38},    [BT_INK_LIMIT] = {0x1B, 0x2A, 0x38},
    [BT_INK_TOLERANCE] = {0x7A, 0x1F, 0x5C}, [BT_INK_ZONE_A] = {0xEF, 0xF3, 0xF8},
    [BT_INK_ZONE_B] = {0xE2, 0xE9, 0xF1},    [BT_INK_ZONE_C] = {0xD3, 0xDD, 0xE8},
    [BT_INK_FILL_ODD] = {0xF3, 0xE3, 0xB3},  [BT_INK_FILL_EVEN] = {0xD5, 0xDA, 0xE0},
    [BT_INK_EVENT] = {0x1B, 0x2A, 0x38},     [BT_INK_RISE] = {0x1F, 0x55, 0x8A},
    [BT_INK_RISE_SOFT] = {0xC6, 0xD6, 0xE6}, [BT_INK_FALL] = {0xB8, 0x2E, 0x1F},
    [BT_INK_FALL_SOFT] = {0xF0, 0xCD, 0xC7}, [BT_INK_BASELINE] = {0xEC, 0xF2, 0xEE},
};

draw_colour draw_ink(bt_ink ink) {
  return colours[ink];
}

void draw_set_ink(cairo_t *cr, bt_ink ink) {
  draw_colour colour = draw_ink(ink);
  cairo_set_source_rgb(cr, colour.red / 255.0, colour.green / 255.0, colour.blue / 255.0);
}
