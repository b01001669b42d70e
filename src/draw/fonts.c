/* The faces that pages are set in, from named files alone: what else a machine has installed or
 * configured must not change a page. */
#include <cairo.h>
#include <errno.h>
#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "draw_room.h"

static const char *const faces[] = {"Inter-Regular.otf", "Inter-SemiBold.otf", "Inter-Bold.otf"};

/* Folders are never added whole: fontconfig would warn about its cache on every run. */
static bt_status add_face(FcConfig *config, const char *folder, const char *face, bt_error *error) {
  bt_text path = {0};
  bt_text_format(&path, "%s/%s", folder, face);
  bt_status status = BT_OK;
  if (!bt_text_ok(&path))
    status = bt_fail_memory(error);
  else if (access(bt_text_get(&path), R_OK) != 0 ||
           !FcConfigAppFontAddFile(config, (const FcChar8 *)bt_text_get(&path)))
    status = bt_fail(error, BT_SYSTEM,
                     "the typeface %s cannot be read in %s: install the Debian package fonts-inter",
                     face, folder);
  bt_text_free(&path);
  return status;
}

bt_status draw_fonts_open(const char *folder, PangoFontMap **fonts, bt_error *error) {
  bt_status status = BT_OK;
  PangoFontMap *map = NULL;
  FcConfig *config = FcConfigCreate();
  if (config == NULL) {
    status = bt_fail_memory(error);
    goto done;
  }
  for (size_t i = 0; status == BT_OK && i < sizeof faces / sizeof faces[0]; i++)
    status = add_face(config, folder, faces[i], error);
  if (status != BT_OK)
    goto done;

  /* Without a current configuration the text library would load the machine's, in a thread. */
  if (!FcConfigSetCurrent(config)) {
    status = bt_fail_memory(error);
    goto done;
  }
  map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
  if (map == NULL) {
    status = bt_fail(error, BT_SYSTEM,
                     "the text library has no FreeType: install the Debian package "
                     "libpangocairo-1.0-0");
    goto done;
  }
  pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(map), config);
  pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map), 72.0); /* 1 unit a point */
  *fonts = map;
done:
  if (config != NULL)
    FcConfigDestroy(config);
  return status;
}

/* A folder would be taken whole, with all that is below it. */
static bt_status add_file(FcConfig *config, const char *file, bt_error *error) {
  struct stat info;
  if (stat(file, &info) != 0 || access(file, R_OK) != 0)
    return bt_fail(error, BT_SYSTEM, "the typeface %s cannot be read: %s", file, strerror(errno));
  if (!S_ISREG(info.st_mode))
    return bt_fail(error, BT_SYSTEM, "the typeface %s is no file; name the file of one face", file);
  FcFontSet *faces_before = FcConfigGetFonts(config, FcSetApplication);
  int before = faces_before == NULL ? 0 : faces_before->nfont;
  if (!FcConfigAppFontAddFile(config, (const FcChar8 *)file) ||
      FcConfigGetFonts(config, FcSetApplication)->nfont == before)
    return bt_fail(error, BT_SYSTEM,
                   "%s is no typeface that can be read: name a file such as one that ends in .otf, "
                   ".ttf or .ttc",
                   file);
  return BT_OK;
}

bt_status draw_fonts_add(PangoFontMap *fonts, const char *file, bt_error *error) {
  FcConfig *config = pango_fc_font_map_get_config(PANGO_FC_FONT_MAP(fonts));
  bt_status status = add_file(config, file, error);
  if (status == BT_OK)
    pango_fc_font_map_config_changed(PANGO_FC_FONT_MAP(fonts));
  return status;
}

bt_status bt_face_check(const char *file, bt_error *error) {
  FcConfig *config = FcConfigCreate();
  if (config == NULL)
    return bt_fail_memory(error);
  bt_status status = add_file(config, file, error);
  FcConfigDestroy(config);
  return status;
}

PangoContext *draw_fonts_context(PangoFontMap *fonts) {
  PangoContext *context = pango_font_map_create_context(fonts);
  cairo_font_options_t *options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(context, options);
  cairo_font_options_destroy(options);

  /* Rounded to whole points, letters would stand unevenly. */
  pango_context_set_round_glyph_positions(context, FALSE);
  /* Else these come from the environment. */
  pango_context_set_language(context, pango_language_from_string("en"));
  pango_context_set_base_dir(context, PANGO_DIRECTION_LTR);
  return context;
}
