/* The record: what a log or a person put in (checks, events, sources, refused lines), what people
 * decided about it (conflicts, corrections, dispositions, issued reports), and what the ledger
 * tells of it.
 *
 * Words. A *check* is one row of a log: the readings of one calibration session of one unit at one
 * time. An *event* is something done to a unit at a time. A *source* is a log file, known by its
 * SHA-256. A *refusal* is a line (or a field of it) that could not be taken.
 *
 * Ownership: the texts in a record are borrowed; they live as long as whoever handed it out says.
 */
#ifndef BEAMTALLY_RECORD_H
#define BEAMTALLY_RECORD_H

#include "beamtally/record/book.h"
#include "beamtally/record/check.h"
#include "beamtally/record/conflict.h"
#include "beamtally/record/correction.h"
#include "beamtally/record/digest.h"
#include "beamtally/record/disposition.h"
#include "beamtally/record/event.h"
#include "beamtally/record/import.h"
#include "beamtally/record/issued.h"
#include "beamtally/record/provenance.h"
#include "beamtally/record/source.h"
#include "beamtally/record/table.h"

#endif
