// Computes what a results file lacks of a study, and adds speeds where the difference of two
// headers bends.
//
// A results file may have more speeds than the study that it was made for: those that were added.
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
};

// Both, ascending, each once.
std::vector<double> merged_speeds(std::vector<double> speeds, const std::vector<double>& others);

// Opens the file of an earlier run; one with fewer speeds or runs than the plan, or without the
// checksums of its structure, gets what it lacks. Throws as ResultsStore::resume().
std::unique_ptr<ResultsStore> resume_or_extend(const std::string& path, const StudyPlan& plan);

// Computes the points that the file lacks: those of the study alone or with the other processes,
// and those at speeds that the file has or gets beside them in this process alone, with the bits
// that they would have anywhere. Returns false when it was interrupted. `store` may become another
// one for the same path.
bool compute_runs(const RunsOptions& options, const cases::CaseFile& case_file,
                  const StudyOptions& chosen, std::unique_ptr<ResultsStore>& store,
                  ProcessGroup* process_group);

}  // namespace pulsewright::tools
