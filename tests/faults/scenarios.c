#include "scenarios.h"

#include <stdlib.h>
#include <string.h>

#define BY    "--by", "KL", "--why", "trial"
#define CHECK "--unit", "Room 1", "--at", "2026-04-14T07:30"

const scenario scenarios[] = {
    {"first import", true, true, NULL, {"import", "first.csv"}},
    {"import", false, true, NULL, {"import", "second.csv"}},
    {"import of events", false, true, NULL, {"import", "events.csv"}},
    {"import from a pipe", false, true, "second.csv", {"import", "-"}},
    {"import again", false, true, NULL, {"import", "--map", "map.ini", "--again", BY, "first.csv"}},
    {"record",
     false,
     true,
     NULL,
     {"record", "--unit", "Room 1", "--at", "2026-05-20T09:00", "--by", "KL", "energy_mj=1.6",
      "remark=typed"}},
    {"event",
     false,
     true,
     NULL,
     {"event", "--unit", "Room 1", "--at", "2026-05-20T09:00", "--by", "KL", "service", "--note",
      "window"}},
    {"correct", false, true, NULL, {"correct", "--yes", CHECK, "energy_mj=1.61", BY}},
    {"correct a day", false, true, NULL, {"correct", "--yes", CHECK, "time=2026-05-02T08:00", BY}},
    {"withdraw an event",
     false,
     true,
     NULL,
     {"correct", "--yes", "--event", "1", "--withdraw", BY}},
    {"redact",
     false,
     true,
     NULL,
     {"correct", "--yes", CHECK, "--redact", "remark", "--everywhere", BY}},
    {"redact a note", false, true, NULL, {"correct", "--yes", "--event", "1", "--redact", BY}},
    {"conflict", false, true, NULL, {"conflicts", "CONFLICT", "--keep", "new", BY}},
    {"leave out",
     false,
     true,
     NULL,
     {"conflicts", "--yes", "--refused", "other.csv:3", "--leave-out", BY}},
    {"settings", false, true, NULL, {"settings", "clinic.ini", BY}},
    {"baseline",
     false,
     true,
     NULL,
     {"baseline", "--unit", "Room 1", "--characteristic", "energy_ratio", "--from", "2026-04-01",
      "--to", "2026-04-14", BY}},
    {"resolve",
     false,
     true,
     NULL,
     {"resolve", "EPISODE", "--cause", "mirror", "--action", "cleaned", "--by", "KL", "--restart"}},
    {"issue",
     false,
     true,
     NULL,
     {"report", "--month", "2026-04", "--issue", "--by", "KL", "-o", "out"}},
    {"report", false, false, NULL, {"report", "--month", "2026-04", "-o", "out"}},
    {"chart",
     false,
     false,
     NULL,
     {"chart", "--unit", "Room 1", "--characteristic", "energy_ratio", "-o", "chart.png"}},
    {"analyse",
     false,
     false,
     NULL,
     {"analyse", "--unit", "Room 1", "--characteristic", "energy_ratio", "--format", "json"}},
    {"status", false, false, NULL, {"status"}},
    {"signals", false, false, NULL, {"signals", "--format", "json"}},
    {"drift", false, false, NULL, {"drift", "--unit", "Room 1", "--format", "json"}},
    {"conflicts", false, false, NULL, {"conflicts"}},
    {"verify", false, false, NULL, {"verify"}},
    {"evidence",
     false,
     false,
     NULL,
     {"evidence", "--unit", "Room 1", "--from", "2026-04-01", "-o", "out"}},
    {"export", false, false, NULL, {"export", "-o", "out"}},
    {"export json", false, false, NULL, {"export", "--format", "json", "-o", "out"}},
    {"backup", false, false, NULL, {"backup", "copy.sqlite"}},
    {"columns of a diary", false, false, NULL, {"columns", "diary.csv"}},
    {.name = NULL}};

run_result scenario_run(const scenario *of, const stage *s, const run_setting *how) {
  char *input = of->input == NULL ? NULL : path_in(s->folder, of->input);
  const char *words[WORDS + 1] = {NULL};
  for (size_t i = 0; i < WORDS && of->words[i] != NULL; i++)
    words[i] = strcmp(of->words[i], "EPISODE") == 0    ? s->episode
               : strcmp(of->words[i], "CONFLICT") == 0 ? s->conflict
                                                       : of->words[i];
  run_setting setting = *how;
  setting.folder = s->folder;
  setting.input = input;
  run_result result = run_with(&setting, words);
  free(input);
  return result;
}
