/* Letters with marks: the same name may have é as one code point or as e and an accent, as some
 * systems write it.
 *
 * What      canonical equivalence of Unicode, section 3.7 and annex 15 of the standard: letters are
 *           taken to pieces, and the marks behind one put in the order of their combining classes.
 *           Taken to pieces two texts are the same where their composed forms are.
 * Range     Latin, Greek and Cyrillic letters below U+0800 and from U+1E00 to U+1EFF, marks from
 *           U+0300 to U+036F; any other code point is itself alone.
 * Source    the canonical decompositions and combining classes of the Unicode character database,
 *           version 15. Checked against GLib's normalization in tests/unit/base/composed.c. */
#include "base_composed.h"

#include <stdint.h>
#include <string.h>

enum { FIRST_MARK = 0x0300, LAST_MARK = 0x036F, PIECES = 4, LONGEST = 32 };

/* A mark, and pairs of a letter and the same with that mark. */
static const struct {
  unsigned mark;
  const char *pairs;
} compositions[] = {
    {0x0300, "AÀEÈIÌOÒUÙaàeèiìoòuùÜǛüǜNǸnǹЕЀИЍеѐиѝĒḔēḕŌṐōṑWẀwẁÂẦâầĂẰăằÊỀêềÔỒôồƠỜơờƯỪưừ"
             "YỲyỳ"},
    {0x0301, "AÁEÉIÍOÓUÚYÝaáeéiíoóuúyýCĆcćLĹlĺNŃnńRŔrŕSŚsśZŹzźÜǗüǘGǴgǵÅǺåǻÆǼæǽØǾøǿ¨΅ΑΆ"
             "ΕΈΗΉΙΊΟΌΥΎΩΏϊΐαάεέηήιίϋΰοόυύωώϒϓГЃКЌгѓкќÇḈçḉĒḖēḗÏḮïḯKḰkḱMḾmḿÕṌõṍŌṒōṓPṔpṕ"
             "ŨṸũṹWẂwẃÂẤâấĂẮăắÊẾêếÔỐôốƠỚơớƯỨưứ"},
    {0x0302, "AÂEÊIÎOÔUÛaâeêiîoôuûCĈcĉGĜgĝHĤhĥJĴjĵSŜsŝWŴwŵYŶyŷZẐzẑẠẬạậẸỆẹệỌỘọộ"},
    {0x0303, "AÃNÑOÕaãnñoõIĨiĩUŨuũVṼvṽÂẪâẫĂẴăẵEẼeẽÊỄêễÔỖôỗƠỠơỡƯỮưữYỸyỹ"},
    {0x0304, "AĀaāEĒeēIĪiīOŌoōUŪuūÜǕüǖÄǞäǟȦǠȧǡÆǢæǣǪǬǫǭÖȪöȫÕȬõȭȮȰȯȱYȲyȳИӢиӣУӮуӯGḠgḡḶḸḷḹ"
             "ṚṜṛṝ"},
    {0x0306, "AĂaăEĔeĕGĞgğIĬiĭOŎoŏUŬuŭУЎИЙийуўЖӁжӂАӐаӑЕӖеӗȨḜȩḝẠẶạặ"},
    {0x0307, "CĊcċEĖeėGĠgġIİZŻzżAȦaȧOȮoȯBḂbḃDḊdḋFḞfḟHḢhḣMṀmṁNṄnṅPṖpṗRṘrṙSṠsṡŚṤśṥŠṦšṧṢṨ"
             "ṣṩTṪtṫWẆwẇXẊxẋYẎyẏſẛ"},
    {0x0308, "AÄEËIÏOÖUÜaäeëiïoöuüyÿYŸΙΪΥΫιϊυϋϒϔЕЁІЇеёіїАӒаӓӘӚәӛЖӜжӝЗӞзӟИӤиӥОӦоӧӨӪөӫЭӬ"
             "эӭУӰуӱЧӴчӵЫӸыӹHḦhḧÕṎõṏŪṺūṻWẄwẅXẌxẍtẗ"},
    {0x0309, "AẢaảÂẨâẩĂẲăẳEẺeẻÊỂêểIỈiỉOỎoỏÔỔôổƠỞơởUỦuủƯỬưửYỶyỷ"},
    {0x030A, "AÅaåUŮuůwẘyẙ"},
    {0x030B, "OŐoőUŰuűУӲуӳ"},
    {0x030C, "CČcčDĎdďEĚeěLĽlľNŇnňRŘrřSŠsšTŤtťZŽzžAǍaǎIǏiǐOǑoǒUǓuǔÜǙüǚGǦgǧKǨkǩƷǮʒǯjǰHȞ"
             "hȟ"},
    {0x030F, "AȀaȁEȄeȅIȈiȉOȌoȍRȐrȑUȔuȕѴѶѵѷ"},
    {0x0311, "AȂaȃEȆeȇIȊiȋOȎoȏRȒrȓUȖuȗ"},
    {0x031B, "OƠoơUƯuư"},
    {0x0323, "BḄbḅDḌdḍHḤhḥKḲkḳLḶlḷMṂmṃNṆnṇRṚrṛSṢsṣTṬtṭVṾvṿWẈwẉZẒzẓAẠaạEẸeẹIỊiịOỌoọƠỢơợ"
             "UỤuụƯỰưựYỴyỵ"},
    {0x0324, "UṲuṳ"},
    {0x0325, "AḀaḁ"},
    {0x0326, "SȘsșTȚtț"},
    {0x0327, "CÇcçGĢgģKĶkķLĻlļNŅnņRŖrŗSŞsşTŢtţEȨeȩDḐdḑHḨhḩ"},
    {0x0328, "AĄaąEĘeęIĮiįUŲuųOǪoǫ"},
    {0x032D, "DḒdḓEḘeḙLḼlḽNṊnṋTṰtṱUṶuṷ"},
    {0x032E, "HḪhḫ"},
    {0x0330, "EḚeḛIḬiḭUṴuṵ"},
    {0x0331, "BḆbḇDḎdḏKḴkḵLḺlḻNṈnṉRṞrṟTṮtṯZẔzẕhẖ"},
};

/* Combining classes of the marks: each holds up to the next. */
static const struct {
  unsigned from, is;
} classes[] = {{0x0300, 230}, {0x0315, 232}, {0x0316, 220}, {0x031A, 232}, {0x031B, 216},
               {0x031C, 220}, {0x0321, 202}, {0x0323, 220}, {0x0327, 202}, {0x0329, 220},
               {0x0334, 1},   {0x0339, 220}, {0x033D, 230}, {0x0345, 240}, {0x0346, 230},
               {0x0347, 220}, {0x034A, 230}, {0x034D, 220}, {0x034F, 0},   {0x0350, 230},
               {0x0353, 220}, {0x0357, 230}, {0x0358, 232}, {0x0359, 220}, {0x035B, 230},
               {0x035C, 233}, {0x035D, 234}, {0x035F, 233}, {0x0360, 234}, {0x0362, 233},
               {0x0363, 230}};

static unsigned class_of(unsigned point) {
  unsigned found = 0;
  if (point < FIRST_MARK || point > LAST_MARK)
    return 0;
  for (size_t i = 0; i < sizeof classes / sizeof *classes && classes[i].from <= point; i++)
    found = classes[i].is;
  return found;
}

/* The first code point of a text that has so many bytes left, and how many it has; a byte that is
 * no UTF-8 is one of its own, beyond all others. */
static size_t first_point(const char *text, size_t left, unsigned *point) {
  const unsigned char *byte = (const unsigned char *)text;
  size_t n = byte[0] < 0x80 ? 1 : byte[0] < 0xC2 ? 0 : byte[0] < 0xE0 ? 2 : byte[0] < 0xF0 ? 3 : 4;
  *point = n == 1 ? byte[0] : n == 2 ? byte[0] & 0x1FU : n == 3 ? byte[0] & 0x0FU : byte[0] & 0x07U;
  bool whole = n > 0 && n <= left;
  for (size_t i = 1; i < n && whole; i++) {
    whole = (byte[i] & 0xC0U) == 0x80;
    *point = (*point << 6) | (byte[i] & 0x3FU);
  }
  if (whole)
    return n;
  *point = 0x110000U + byte[0];
  return 1;
}

/* The letter and the mark that make this one; false, and nothing written, where it has none. */
static bool parted(unsigned point, unsigned *letter, unsigned *mark) {
  for (size_t i = 0; i < sizeof compositions / sizeof *compositions; i++) {
    const char *at = compositions[i].pairs;
    size_t left = strlen(at);
    while (left > 0) {
      unsigned without = 0, with = 0;
      size_t n = first_point(at, left, &without);
      n += first_point(at + n, left - n, &with);
      if (with == point) {
        *letter = without;
        *mark = compositions[i].mark;
        return true;
      }
      at += n;
      left -= n;
    }
  }
  return false;
}

/* A letter and the marks behind it, taken to pieces and in order. */
typedef struct cluster {
  unsigned point[LONGEST];
  size_t n;
} cluster;

/* A mark goes before those of a higher class that stand at the end. */
static void add_point(cluster *to, unsigned point) {
  unsigned is = class_of(point);
  size_t at = to->n++;
  for (; is > 0 && at > 0 && class_of(to->point[at - 1]) > is; at--)
    to->point[at] = to->point[at - 1];
  to->point[at] = point;
}

static void add_pieces(cluster *to, unsigned point) {
  unsigned mark[PIECES];
  size_t n = 0;
  while (n < PIECES && point >= 0xC0 && parted(point, &point, &mark[n]))
    n++;
  add_point(to, base_fold_point(point));
  while (n > 0)
    add_point(to, mark[--n]);
}

/* Takes the first cluster off the text. */
static cluster take(const char **text, size_t *left) {
  cluster taken = {.n = 0};
  while (*left > 0 && taken.n + PIECES < LONGEST) {
    unsigned point = 0;
    size_t n = first_point(*text, *left, &point);
    if (taken.n > 0 && class_of(point) == 0)
      break;
    add_pieces(&taken, point);
    *text += n;
    *left -= n;
  }
  return taken;
}

bool base_may_be_composed(const char *text, size_t length) {
  for (size_t i = 0; i < length; i++) {
    unsigned char byte = (unsigned char)text[i];
    if (byte == 0xCC || byte == 0xCD || byte == 0xE1)
      return true;
  }
  return false;
}

bool base_same_composed(const char *a, size_t a_n, const char *b, size_t b_n) {
  while (a_n > 0 && b_n > 0) {
    cluster one = take(&a, &a_n), other = take(&b, &b_n);
    if (one.n != other.n || memcmp(one.point, other.point, one.n * sizeof *one.point) != 0)
      return false;
  }
  return a_n == 0 && b_n == 0;
}
