/* Cases that the tests of evidence folders make, look into and alter. */
#include "evidence_case.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <stdlib.h>
#include <string.h>

const char *const evidence_files[EVIDENCE_FILES] = {"README.txt",
                                                    "checks.csv",
                                                    "dispositions.csv",
                                                    "events.csv",
                                                    "evidence.pdf",
                                                    "held_back.csv",
                                                    "limits.json",
                                                    "missing.csv",
                                                    "readings.csv",
                                                    "refused_lines.csv",
                                                    "signals.csv",
                                                    "sources.csv",
                                                    "superseded_checks.csv",
                                                    "superseded_events.csv"};

const char private_log[] = "date,time,unit,target_mj,energy_mj,operator,remark,lot\n"
                           "2026-04-13,07:30,Room 1,1.61,1.605,OP7,=looked odd,A\n"
                           "2026-04-14,07:31,Room 1,1.61,1.612,OP7,,B\n"
                           "2026-04-15,07:29,Room 1,1.61,1.598,OP8,,C\n";
const char identity_log[] = "date,time,unit,target_mj,energy_mj,Patient name\n"
                            "2026-04-16,07:29,Room 1,1.61,1.598,nobody\n";

bool is_long(void) {
  return getenv("BEAMTALLY_LONG_TESTS") != NULL;
}

char *read_in(const char *folder, const char *name) {
  char *path = path_in(folder, name), *text = file_read(path, NULL);
  free(path);
  return text;
}

void replace_in(const char *folder, const char *name, const char *from, const char *to) {
  char *text = read_in(folder, name), *at = strstr(text, from);
  cr_assert_not_null(at, "%s has no \"%s\"", name, from);
  cr_assert_eq(strlen(from), strlen(to));
  memcpy(at, to, strlen(to));
  file_put(folder, name, text);
  free(text);
}

void verify_must_say(const char *folder, const char *words) {
  run_result result = RUN(folder, "verify", "case");
  cr_expect_eq(result.status, FAILED, "status %d: %s", result.status, result.out);
  cr_expect_not_null(strstr(result.err, words), "\"%s\" is not in: %s", words, result.err);
  run_free(&result);
}

void make_manifest_anew(const char *folder) {
  char *inside = path_in(folder, "case");
  const char *words[EVIDENCE_FILES + 1];
  for (size_t i = 0; i < EVIDENCE_FILES; i++)
    words[i] = evidence_files[i];
  words[EVIDENCE_FILES] = NULL;
  char *sums = tool_with(inside, "/usr/bin/sha256sum", DONE, words);
  file_put(inside, "MANIFEST.sha256", sums);
  free(TOOL(inside, "sha256sum", "--quiet", "-c", "MANIFEST.sha256"));
  free(sums);
  free(inside);
}

size_t names_in(const char *folder) {
  size_t n = 0;
  DIR *names = opendir(folder);
  cr_assert_not_null(names);
  while (readdir(names) != NULL)
    n++;
  (void)closedir(names);
  return n;
}

char *private_folder(const char *log) {
  char *folder = folder_begin();
  file_put(folder, "log.csv", log);
  free(RUN_DONE(folder, "import", "log.csv"));
  free(RUN_DONE(folder, "event", "--unit", "Room 1", "--at", "2026-04-14T12:00", "--by", "PERSON",
                "service", "--note", "NOTE of a visit"));
  return folder;
}
