// Opens a results file and computes what it lacks of a study, adds speeds where the difference of
// two headers bends, and the runs of mixed headers that split the differences to the best one.
//
// A results file may have more than the study that it was made for: speeds and runs that were
// added.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "tools/results/results_store.hpp"
#include "tools/spread/process_group.hpp"
#include "tools/study/study.hpp"

namespace pulsewright::tools {

struct RunsOptions {
  std::optional<unsigned> jobs;  // threads; none: all cores, with other processes one
  bool quiet = false;
  std::size_t most_added_speeds = 0;
  bool split = false;  // the differences to the best header, by runs of mixed headers
};

// A results file as the command line names it.
struct ResultsPlace {
  std::string path;
  std::string case_file;  // whose place it must not be
  bool resume = false, overwrite = false;
};

// Whether runs can be stored there, which long work asks before it begins. Throws UsageError for a
// place that cannot be written, for the case file, for a file that is there unless it is to be gone
// on with or replaced, and for one to be replaced that is none of results.
void require_results_place(const ResultsPlace& place);

// A new file there, or that of an earlier run with what it lacks of the plan. Throws as
// require_results_place(), resume_or_extend() and ResultsStore::create().
std::unique_ptr<ResultsStore> open_results(const ResultsPlace& place, const StudyPlan& plan);

// Both, ascending, each once.
std::vector<double> merged_speeds(std::vector<double> speeds, const std::vector<double>& others);

// Opens the file of an earlier run; one with fewer speeds or runs than the plan, or without the
// checksums of its structure, gets what it lacks. Throws as ResultsStore::resume().
std::unique_ptr<ResultsStore> resume_or_extend(const std::string& path, const StudyPlan& plan);

// What a file has beside the given study, which it goes on with: `chosen` with the speeds and mixed
// headers of its plan.
StudyOptions with_added(StudyOptions chosen, const StudyPlan& stored);

// Computes the points that the file lacks: those of the study alone or with the other processes,
// and those at speeds and of mixed headers that the file has or gets beside them in this process
// alone, with the bits that they would have anywhere. Returns false when it was interrupted.
// `store` may become another one for the same path.
bool compute_runs(const RunsOptions& options, const cases::CaseFile& case_file,
                  const StudyOptions& chosen, std::unique_ptr<ResultsStore>& store,
                  ProcessGroup* process_group);

}  // namespace pulsewright::tools
