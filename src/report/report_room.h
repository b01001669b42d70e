/* All that the files of the report room share, but for drift and cases. */
#ifndef BEAMTALLY_REPORT_ROOM_H
#define BEAMTALLY_REPORT_ROOM_H

#include "report_build.h"
#include "report_chart.h"
#include "report_episodes.h"
#include "report_facts.h"
#include "report_pages.h"
#include "report_sentences.h"
#include "report_sheet.h"
#include "report_study.h"
#include "report_words.h"

#endif
