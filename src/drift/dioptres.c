/* What a change of fluence is worth in dioptres: an aid to judge its importance, never a figure to
 * treat by. Fluences and thresholds in mJ/cm^2, peak ones for a Gaussian spot.
 *
 *   depth a pulse ~ ln(F / Fth)          (blow-off model; the absorption cancels)
 *   change = D (q - 1) flat-top, D (q^2 - 1) Gaussian (volume a pulse),  q = ln(F'/Fth) / ln(F/Fth)
 *
 * Requirements
 *   D1  For corrections D of 3, 6 and 10 dioptres, effect in proportion to depth, without healing.
 *   D2  The band is the least and most over the range of the threshold, which has to hold the
 *       threshold itself.
 *   D3  Not given without a declared spot model, nor where a fluence isn't above the whole range:
 *       there the model says nothing.
 *
 * Accuracy: that of the model, which is rough; published thresholds and depths differ by much more
 * than a band of 50 +- 10 mJ/cm^2 shows. Sources: threshold of the cornea at 193 nm about
 * 50 mJ/cm^2, Krueger and Trokel, Archives of Ophthalmology 103 (1985); Mello and Krueger (2010);
 * the model: Pettit and Ediger, Applied Optics 35 (1996). Checked against tables worked out from
 * the model by other means (tests/published/drift/dioptres.c). */
#include "beamtally/drift.h"

#include <math.h>

static const double corrections[BT_DIOPTRE_ROWS] = {3, 6, 10};

static double change_of(bt_beam beam, double correction, double from, double to, double threshold) {
  double q = log(to / threshold) / log(from / threshold);
  return correction * ((beam == BT_BEAM_GAUSSIAN ? q * q : q) - 1);
}

bt_dioptres bt_dioptres_of(bt_beam beam, double from, double to, double threshold, double low,
                           double high) {
  bt_dioptres found = {.beam = beam,
                       .from = from,
                       .to = to,
                       .threshold = threshold,
                       .threshold_low = low,
                       .threshold_high = high};
  bool model = beam == BT_BEAM_FLAT_TOP || beam == BT_BEAM_GAUSSIAN;
  bool range = low > 0 && low <= threshold && threshold <= high; /* D2 */
  found.given = model && range && from > high && to > high;      /* D3 */
  for (int k = 0; k < BT_DIOPTRE_ROWS && found.given; k++) {
    double at_low = change_of(beam, corrections[k], from, to, low);
    double at_high = change_of(beam, corrections[k], from, to, high);
    found.row[k] = (bt_dioptre_row){.correction = corrections[k],
                                    .change = change_of(beam, corrections[k], from, to, threshold),
                                    .low = fmin(at_low, at_high),
                                    .high = fmax(at_low, at_high)};
  }
  return found;
}
