/* The table of the summary page: what stands in a row, and how rows are set. */
#ifndef BEAMTALLY_REPORT_TABLE_H
#define BEAMTALLY_REPORT_TABLE_H

#include "report_build.h"

typedef enum table_column {
  TABLE_TITLE,
  TABLE_TOLERANCE,
  TABLE_JUDGED,
  TABLE_LAST,
  TABLE_CONTROL,
  TABLE_LEVEL,
  TABLE_OPEN,
  TABLE_NEXT,
  TABLE_PAGE,
  TABLE_COLUMNS
} table_column;

/* What stands in a row; texts owned, the page's number among them empty. */
typedef struct table_cells {
  bt_text text[TABLE_COLUMNS];
  bt_ink ink[TABLE_COLUMNS];
} table_cells;

void report_cells_fill(const bt_unit_study *unit, const bt_study *of, table_cells *cells);
/* Fewer words, but whole ones, where those of the cell have no room; some cells have no fewer. */
void report_cell_shorten(const bt_study *of, table_column column, bt_text *words);
void report_cells_free(report_builder *builder, table_cells *cells);

#endif
