/* The colours of the inks, sRGB.
 *
 * 1. White words on ALARM, NOTICE and NEUTRAL have a contrast of at least 4.5 : 1.
 * 2. ALARM, SERIES and NOTICE are at least 20 apart in CIELAB, for readers without red or green
 *    cones too.
 * 3. In grey print they are at least 6 steps of L* apart: alarms darkest, notices lightest.
 * The unit tests compute all three. A state has its mark or word beside its colour all the same. */
#include <cairo.h>

#include "draw_room.h"

static const draw_colour colours[BT_INK_COUNT] = {
    [BT_INK_TEXT] = {0x1B, 0x2A, 0x38},      [BT_INK_SOFT] = {0x4F, 0x5F, 0x6F},
    [BT_INK_FAINT] = {0x8A, 0x96, 0xA3},     [BT_INK_PAPER] = {0xFF, 0xFF, 0xFF},
    [BT_INK_PANEL] = {0xF3, 0xF5, 0xF8},     [BT_INK_SERIES] = {0x2B, 0x67, 0xA2},
    [BT_INK_RAW] = {0x9F, 0xB3, 0xC8},       [BT_INK_ALARM] = {0xA3, 0x1F, 0x2A},
    [BT_INK_NOTICE] = {0x94, 0x71, 0x00},    [BT_INK_NEUTRAL] = {0x4B, 0x59, 0x66},
    [BT_INK_CENTRE] = {0x1B, 0x2A, 0x38},    [BT_INK_LIMIT] = {0x1B, 0x2A, 0x38},
    [BT_INK_TOLERANCE] = {0x5B, 0x2A, 0x86}, [BT_INK_ZONE_A] = {0xEF, 0xF3, 0xF8},
    [BT_INK_ZONE_B] = {0xE2, 0xE9, 0xF1},    [BT_INK_ZONE_C] = {0xD3, 0xDD, 0xE8},
    [BT_INK_FILL_ODD] = {0xF3, 0xE3, 0xB3},  [BT_INK_FILL_EVEN] = {0xD5, 0xDA, 0xE0},
    [BT_INK_EVENT] = {0x1B, 0x2A, 0x38},     [BT_INK_RISE] = {0x2B, 0x67, 0xA2},
    [BT_INK_RISE_SOFT] = {0xC4, 0xD6, 0xE8}, [BT_INK_FALL] = {0xA3, 0x1F, 0x2A},
    [BT_INK_FALL_SOFT] = {0xEE, 0xCB, 0xCB}, [BT_INK_BASELINE] = {0xEC, 0xF2, 0xEE},
};

draw_colour draw_ink(bt_ink ink) {
  return colours[ink];
}

void draw_set_ink(cairo_t *cr, bt_ink ink) {
  draw_colour colour = draw_ink(ink);
  cairo_set_source_rgb(cr, colour.red / 255.0, colour.green / 255.0, colour.blue / 255.0);
}
