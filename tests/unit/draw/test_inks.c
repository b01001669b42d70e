/* The palette's promises, computed. */
#include <criterion/criterion.h>
#include <math.h>

#include "draw_room.h"

typedef struct triple {
  double v[3];
} triple;

/* Linear light of an sRGB value: IEC 61966-2-1. */
static double linear(unsigned char value) {
  double c = value / 255.0;
  return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

static triple linear_of(bt_ink ink) {
  draw_colour c = draw_ink(ink);
  return (triple){{linear(c.red), linear(c.green), linear(c.blue)}};
}

static triple times(double m[3][3], triple a) {
  triple b;
  for (int i = 0; i < 3; i++)
    b.v[i] = m[i][0] * a.v[0] + m[i][1] * a.v[1] + m[i][2] * a.v[2];
  return b;
}

/* Relative luminance and contrast ratio: W3C, Web Content Accessibility Guidelines 2.1. */
static double luminance(triple rgb) {
  return 0.2126 * rgb.v[0] + 0.7152 * rgb.v[1] + 0.0722 * rgb.v[2];
}

static double contrast(bt_ink a, bt_ink b) {
  double la = luminance(linear_of(a)), lb = luminance(linear_of(b));
  return (fmax(la, lb) + 0.05) / (fmin(la, lb) + 0.05);
}

/* Readers without red or green cones: F. Vienot, H. Brettel, J. D. Mollon, Color Res. Appl. 24
 * (1999) 243-252: cone responses from linear RGB, and the missing one from the other two. */
static double cones[3][3] = {
    {17.8824, 43.5161, 4.11935}, {3.45565, 27.1554, 3.86714}, {0.0299566, 0.184309, 1.46709}};

static void invert(double m[3][3], double out[3][3]) {
  double determinant = 0;
  for (int i = 0; i < 3; i++)
    determinant +=
        m[0][i] * (m[1][(i + 1) % 3] * m[2][(i + 2) % 3] - m[1][(i + 2) % 3] * m[2][(i + 1) % 3]);
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++)
      out[i][j] = (m[(j + 1) % 3][(i + 1) % 3] * m[(j + 2) % 3][(i + 2) % 3] -
                   m[(j + 1) % 3][(i + 2) % 3] * m[(j + 2) % 3][(i + 1) % 3]) /
                  determinant;
}

typedef enum vision { ALL_CONES, NO_RED, NO_GREEN, VISIONS } vision;

static triple seen(triple rgb, vision eyes) {
  if (eyes == ALL_CONES)
    return rgb;
  double back[3][3];
  invert(cones, back);
  triple lms = times(cones, rgb);
  if (eyes == NO_RED)
    lms.v[0] = 2.02344 * lms.v[1] - 2.52581 * lms.v[2];
  else
    lms.v[1] = 0.494207 * lms.v[0] + 1.24827 * lms.v[2];
  return times(back, lms);
}

/* CIE 1976 L*a*b* under D65 (ISO/CIE 11664-4). */
static triple lab(triple rgb) {
  static double to_xyz[3][3] = {
      {0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}};
  triple white = times(to_xyz, (triple){{1, 1, 1}});
  for (int i = 0; i < 3; i++)
    rgb.v[i] = fmin(1, fmax(0, rgb.v[i]));
  triple f = times(to_xyz, rgb);
  for (int i = 0; i < 3; i++) {
    double t = f.v[i] / white.v[i], edge = 6.0 / 29.0;
    f.v[i] = t > edge * edge * edge ? cbrt(t) : t / (3 * edge * edge) + 4.0 / 29.0;
  }
  return (triple){{116 * f.v[1] - 16, 500 * (f.v[0] - f.v[1]), 200 * (f.v[1] - f.v[2])}};
}

static double apart(bt_ink a, bt_ink b, vision eyes) {
  triple la = lab(seen(linear_of(a), eyes)), lb = lab(seen(linear_of(b), eyes));
  return sqrt(pow(la.v[0] - lb.v[0], 2) + pow(la.v[1] - lb.v[1], 2) + pow(la.v[2] - lb.v[2], 2));
}

Test(inks, contrast_formula_gives_21_for_black_on_white) {
  /* WCAG 2.1: the ratio runs from 1 to 21. Paper is the lightest ink there is. */
  double black_on_paper = (luminance(linear_of(BT_INK_PAPER)) + 0.05) / 0.05;
  cr_assert_float_eq(black_on_paper, 21.0, 1e-9, "%g", black_on_paper);
}

Test(inks, white_words_on_banners_and_words_on_paper_can_be_read) {
  static const bt_ink grounds[] = {BT_INK_ALARM, BT_INK_NOTICE, BT_INK_NEUTRAL};
  for (size_t i = 0; i < sizeof grounds / sizeof *grounds; i++)
    cr_assert_geq(contrast(BT_INK_PAPER, grounds[i]), 4.5, "ink %d: %g", (int)grounds[i],
                  contrast(BT_INK_PAPER, grounds[i]));
  static const bt_ink papers[] = {BT_INK_PAPER, BT_INK_PANEL, BT_INK_ZONE_C};
  for (size_t i = 0; i < sizeof papers / sizeof *papers; i++) {
    cr_assert_geq(contrast(BT_INK_TEXT, papers[i]), 7.0);
    cr_assert_geq(contrast(BT_INK_SOFT, papers[i]), 4.5);
  }
}

Test(inks, alarm_notice_and_series_stay_apart_for_every_reader) {
  static const bt_ink inks[] = {BT_INK_ALARM, BT_INK_SERIES, BT_INK_NOTICE};
  for (int eyes = ALL_CONES; eyes < VISIONS; eyes++)
    for (int i = 0; i < 3; i++)
      for (int j = 0; j < i; j++)
        cr_assert_geq(apart(inks[i], inks[j], (vision)eyes), 20.0, "inks %d and %d, eyes %d: %g",
                      (int)inks[i], (int)inks[j], eyes, apart(inks[i], inks[j], (vision)eyes));
}

Test(inks, in_grey_alarms_are_darkest_and_notices_lightest) {
  double alarm = lab(linear_of(BT_INK_ALARM)).v[0];
  double series = lab(linear_of(BT_INK_SERIES)).v[0];
  double notice = lab(linear_of(BT_INK_NOTICE)).v[0];
  cr_assert_geq(series - alarm, 6.0, "%g", series - alarm);
  cr_assert_geq(notice - series, 6.0, "%g", notice - series);
}

Test(inks, zones_darken_towards_the_centre_and_bars_alternate) {
  double a = lab(linear_of(BT_INK_ZONE_A)).v[0], b = lab(linear_of(BT_INK_ZONE_B)).v[0];
  double c = lab(linear_of(BT_INK_ZONE_C)).v[0];
  cr_assert(a - b >= 3.0 && b - c >= 3.0, "%g %g %g", a, b, c);
  for (int eyes = ALL_CONES; eyes < VISIONS; eyes++)
    cr_assert_geq(apart(BT_INK_FILL_ODD, BT_INK_FILL_EVEN, (vision)eyes), 15.0);
}
