#include "tools/cli/study_runs.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/progress.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/results_reader.hpp"
#include "tools/study/comparison.hpp"
#include "tools/study/study_results.hpp"
#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

namespace {

// The points of a study in a results file, which may have more speeds than the study.
class StudyStore {
 public:
  StudyStore(const Study& study, ResultsStore& store) : study_(study), store_(store) {
    const auto& speeds = store.plan().speeds;
    for (const double speed : study.plan().speeds) {
      const auto at = std::lower_bound(speeds.begin(), speeds.end(), speed);
      index_.push_back(static_cast<std::size_t>(at - speeds.begin()));
    }
  }

  bool is_missing(std::size_t header, std::size_t speed) const {
    for (std::size_t v = 0; v < study_.variants().size(); ++v) {
      if (store_.status(study_.plan_index(header, v), index_[speed]) == PointStatus::missing) {
        return true;
      }
    }
    return false;
  }

  // Stores one run, unless the file has it from an earlier run, which gave the same numbers.
  void store(const PointOutcome& outcome, bool quiet) {
    const std::size_t header = outcome.header_index;
    const std::size_t speed = index_[outcome.speed_index];
    if (store_.status(header, speed) != PointStatus::missing) return;
    if (outcome.result != nullptr) {
      store_.write(header, speed, *outcome.result, outcome.seconds);
      return;
    }
    store_.write_failure(header, speed, outcome.failure, outcome.seconds);
    if (quiet) return;
    print_message(fmt::format("\npulsewright: {} at {:.0f} rpm failed: {}\n",
                              run_group_name(store_.plan().headers[header]),
                              60 * store_.plan().speeds[speed], outcome.failure));
  }

 private:
  const Study& study_;
  ResultsStore& store_;
  std::vector<std::size_t> index_;  // by speed of the study
};

// Computes the points that the file lacks, alone or with the other processes.
QueueReport compute_missing(const RunsOptions& options, const Study& study, ResultsStore& store,
                            ProcessGroup* process_group) {
  StudyStore target(study, store);
  const auto missing = [&](std::size_t header, std::size_t speed) {
    return target.is_missing(header, speed);
  };
  const auto work_of = [&](std::size_t speed) { return 1.0 / study.plan().speeds[speed]; };
  std::size_t points = 0;
  double work = 0;
  for (std::size_t h = 0; h < study.headers(); ++h) {
    for (std::size_t s = 0; s < study.speeds(); ++s) {
      if (!missing(h, s)) continue;
      ++points;
      work += work_of(s);
    }
  }
  if (points == 0 && process_group == nullptr) return {};
  Progress progress(points, work, options.quiet);
  const OutcomeSink consume = [&](const PointOutcome& outcome) {
    target.store(outcome, options.quiet);
  };
  const PointDone point_done = [&](std::size_t, std::size_t speed) {
    progress.part_done(work_of(speed));
  };
  if (process_group == nullptr) {
    return run_study(study, std::max(1U, options.jobs.value_or(all_cores())), interrupted(),
                     missing, consume, point_done);
  }
  return process_group->coordinate(study, options.jobs.value_or(1), interrupted(), missing, consume,
                                   point_done);
}

// How well the mean over the band of a difference is to be known before no speed is added, and how
// close two speeds may lie.
constexpr double wanted_mean = 0.5;           // N m
constexpr double least_distance = 25.0 / 60;  // rev/s

// Adds speeds where the difference of two headers bends, round by round, and computes them: this
// process alone, with the bits that it would have anywhere. Returns whether it was stopped.
bool add_speeds(const RunsOptions& options, const cases::CaseFile& case_file, StudyOptions chosen,
                std::unique_ptr<ResultsStore>& store) {
  const std::size_t given = chosen.speeds.size();
  const std::size_t most = options.most_added_speeds;
  while (true) {
    chosen.speeds = merged_speeds(chosen.speeds, store->plan().speeds);
    if (chosen.speeds.size() > given &&
        compute_missing(options, Study(case_file, chosen), *store, nullptr).stopped) {
      return true;
    }
    const std::size_t added = chosen.speeds.size() - given;
    if (added >= most) return false;
    const StudyResults results(ResultsReader(store->path()), ResultsReader::Detail::figures);
    if (results.headers().size() < 2) return false;
    const std::vector<double> more =
        speeds_wanted(compare_headers(results), wanted_mean, least_distance, most - added);
    if (more.empty()) return false;
    chosen.speeds = merged_speeds(chosen.speeds, more);
    const std::string path = store->path();
    store.reset();
    store = ResultsStore::extend(path, Study(case_file, chosen).plan());
  }
}

}  // namespace

std::vector<double> merged_speeds(std::vector<double> speeds, const std::vector<double>& others) {
  speeds.insert(speeds.end(), others.begin(), others.end());
  std::sort(speeds.begin(), speeds.end());
  speeds.erase(std::unique(speeds.begin(), speeds.end()), speeds.end());
  return speeds;
}

std::unique_ptr<ResultsStore> resume_or_extend(const std::string& path, const StudyPlan& plan) {
  bool lacks = false;
  try {
    const ResultsReader reader(path);
    const StudyPlan part = part_of(plan, reader.plan());
    lacks = first_difference(reader.plan(), part).empty() &&
            (!first_difference(part, plan).empty() || !reader.structure_tested());
  } catch (const StoreError&) {  // resume() says what is wrong, or restores it
  }
  return lacks ? ResultsStore::extend(path, plan) : ResultsStore::resume(path, plan);
}

bool compute_runs(const RunsOptions& options, const cases::CaseFile& case_file,
                  const StudyOptions& chosen, std::unique_ptr<ResultsStore>& store,
                  ProcessGroup* process_group) {
  return !compute_missing(options, Study(case_file, chosen), *store, process_group).stopped &&
         !add_speeds(options, case_file, chosen, store);
}

}  // namespace pulsewright::tools
