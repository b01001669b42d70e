/* What the files of `verify FOLDER` share, and `verify FILE`. */
#ifndef CLI_VERIFY_CASE_H
#define CLI_VERIFY_CASE_H

#include "cli.h"

#include "beamtally/drift.h"
#include "beamtally/emit.h"
#include "beamtally/spc.h"

/* One characteristic of a folder with what is computed anew from its rows. */
typedef struct verify_chart {
  const bt_told_case *told;
  const bt_told_chart *chart;
  size_t n;        /* points */
  size_t *row;     /* of each point: its first check */
  bt_time *at;     /* when that was */
  size_t *point;   /* of each check; BT_NONE: in no point */
  uint8_t *failed; /* a check of the point is outside tolerance */
  double *value;   /* as charted */
  double *reading; /* mean of its checks */
  double *age;     /* mean fill age, 0 where not known */
  uint8_t *has_age;
  double *target;   /* mean target energy, 0 where none is told */
  uint8_t *other;   /* of another target energy than its baseline's */
  double *x, *y;    /* mean offset, for T² */
  int32_t *segment; /* index into the chart's, -1: none */
  uint8_t *used;    /* entered its baseline, as fitted anew */
  uint8_t *judged, *has_range, *strength;
  double *z, *range;
  bt_rules *rules[BT_SIDES];
  bt_cusum cusum;
} verify_chart;

/* verify_points.c: points from the rows, against the point's columns. */
bt_status verify_points(verify_chart *of, bt_error *error) BT_MUST_CHECK;

/* A baseline's points, and the span that it judges. */
typedef struct verify_period {
  const bt_told_segment *told;
  size_t from, phase2, to; /* points */
  size_t end; /* of the period's points; beyond `to` where the next baseline begins inside it */
} verify_period;

typedef struct verify_fit {
  bool too_few;
  bt_slope slope;
  bt_individuals chart;
  bt_radial_limit radial;
} verify_fit;

/* verify_fit.c: a baseline fitted to the rows; sets used[p] of the points of its whole
 * period. */
bt_status verify_fit_period(const verify_chart *of, const verify_period *its, uint8_t *used,
                            verify_fit *found, bt_error *error) BT_MUST_CHECK;
/* T² likewise. BT_INPUT where too few points are left, or all lie on one line. */
bt_status verify_fit_vector(const verify_chart *of, const verify_period *its, bool from_differences,
                            uint8_t *used, bt_vector *found, bt_error *error) BT_MUST_CHECK;

/* verify_target.c: whether a target is another than that; the baseline's, in mJ (0: none is told);
 * sets other[p] of the points that it judges. */
bool verify_is_other_target(double target, double usual);
bt_status verify_median_target(const verify_chart *of, const verify_period *its, double *median,
                               bt_error *error) BT_MUST_CHECK;
void verify_mark_targets(verify_chart *of, const verify_period *its);

/* verify_limits.c: each baseline fitted anew, against limits.json; values and what is judged. */
bt_status verify_limits(verify_chart *of, bt_error *error) BT_MUST_CHECK;

/* verify_signals.c: rules and CUSUM, against signals.csv. */
bt_status verify_signals(verify_chart *of, bt_error *error) BT_MUST_CHECK;

/* verify_case.c: all of it; *signals is how many signals follow. */
bt_status verify_case(const bt_told_case *told, size_t *signals, bt_error *error) BT_MUST_CHECK;

/* verify_rows.c: the row of another characteristic of that very check, NULL. Below, what is said of
 * one row or chart. */
const bt_told_check *verify_row_of(const bt_told_case *told, const char *key,
                                   const bt_told_check *check);
bool verify_same(double a, double b); /* within a billionth */
bool verify_is_vector(const verify_chart *of);
bool verify_is_radial(const verify_chart *of);
bool verify_is_outside(const bt_told_check *check);

/* verify_again.c: the files of the folder, by the names in its manifest, against those that the
 * ledger gives as of that state with the same choices; BT_DAMAGED names the first file and line
 * that differ. The PDF is compared where nothing was entered after that state; copies of logs by
 * the SHA-256 of their source. */
bt_status verify_again(const cli_context *cli, bt_ledger *ledger, const bt_state_place *place,
                       const char *folder, char *const *names, size_t n, const bt_told_case *told,
                       bt_error *error) BT_MUST_CHECK;

/* verify_manifest.c: the files that a folder's manifest lists. Zeroed at first. */
#define VERIFY_MANIFEST "MANIFEST.sha256"
typedef struct verify_manifest {
  size_t n, room;
  char **name;
} verify_manifest;

/* The folder is whole; BT_DAMAGED names the first file that isn't as it was. */
bt_status verify_manifest_read(const char *folder, verify_manifest *of,
                               bt_error *error) BT_MUST_CHECK;
void verify_manifest_free(verify_manifest *of);

/* Adds "SHA-256 of MANIFEST.sha256: 1a2b 3c4d ...", in groups of four digits as on paper, and in
 * one as sha256sum prints it. */
bt_status verify_manifest_digest(const char *folder, bt_text *out, bt_error *error) BT_MUST_CHECK;

/* verify_folder.c: verify FOLDER. */
cli_exit verify_folder(cli_context *cli, const char *folder);

/* verify_issued.c: verify FILE. */
cli_exit verify_issued(cli_context *cli, const char *file);

#endif
