#include "tools/cli/study_runs.hpp"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <map>

#include "cases/header_builder.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"
#include "tools/cli/progress.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/results_reader.hpp"
#include "tools/results/structure_checksums.hpp"
#include "tools/study/band.hpp"
#include "tools/study/comparison.hpp"
#include "tools/study/difference_split.hpp"
#include "tools/study/study_results.hpp"
#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

namespace {

// The points of a study in a results file, which may have more speeds and runs than the study.
class StudyStore {
 public:
  StudyStore(const Study& study, ResultsStore& store) : study_(study), store_(store) {
    const auto& speeds = store.plan().speeds;
    for (const double speed : study.plan().speeds) {
      const auto at = std::lower_bound(speeds.begin(), speeds.end(), speed);
      index_.push_back(static_cast<std::size_t>(at - speeds.begin()));
    }
    std::map<std::string, std::size_t> runs;
    for (const HeaderPlan& run : store.plan().headers)
      runs.emplace(run_group_name(run), runs.size());
    for (const HeaderPlan& run : study.plan().headers) run_.push_back(runs.at(run_group_name(run)));
  }

  bool is_missing(std::size_t header, std::size_t speed, std::size_t variant) const {
    const std::size_t run = run_[study_.plan_index(header, variant)];
    return study_.has_run(header, speed, variant) &&
           store_.status(run, index_[speed]) == PointStatus::missing;
  }
  bool is_missing(std::size_t header, std::size_t speed) const {
    for (std::size_t v = 0; v < study_.variants(header).size(); ++v) {
      if (is_missing(header, speed, v)) return true;
    }
    return false;
  }

  // Stores one run, unless the file has it from an earlier run, which gave the same numbers.
  void store(const PointOutcome& outcome, bool quiet) {
    const std::size_t header = run_[outcome.header_index];
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
  std::vector<std::size_t> run_;    // by run of the study
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
                     missing, consume, point_done,
                     [&](std::size_t header, std::size_t speed, std::size_t variant) {
                       return target.is_missing(header, speed, variant);
                     });
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
    chosen = with_added(chosen, store->plan());
    if (compute_missing(options, Study(case_file, chosen), *store, nullptr).stopped) return true;
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

// The speeds on which the mean difference of two headers depends.
std::vector<double> speeds_of_mean(const Comparison& comparison, std::size_t one,
                                   std::size_t other) {
  std::vector<double> speeds;
  for (const auto& at : comparison.between(one, other).speeds) speeds.push_back(at.speed);
  const auto weights = band_weights(speeds, comparison.band_from, comparison.band_to);
  std::vector<double> found;
  for (std::size_t s = 0; s < speeds.size(); ++s) {
    if (weights[s] > 0) found.push_back(speeds[s]);
  }
  return found;
}

// Adds the mixed headers between the best header and each other one, and computes them. Returns
// whether it was stopped.
bool add_companions(const RunsOptions& options, const cases::CaseFile& case_file,
                    const StudyOptions& chosen, std::unique_ptr<ResultsStore>& store) {
  const StudyResults results(ResultsReader(store->path()), ResultsReader::Detail::figures);
  const Comparison comparison = compare_headers(results);
  const std::size_t best = comparison.ranking.front();
  const auto design = [&](std::size_t header) -> const cases::HeaderDesign& {
    return cases::find_header(case_file, results.plan_of(results.headers()[header]).name);
  };
  StudyOptions all = with_added(chosen, store->plan());
  for (std::size_t h = 0; h < results.headers().size(); ++h) {
    if (h == best) continue;
    const auto more = companions_of(case_file, design(h), h, design(best), best);
    all.companions.insert(all.companions.end(), more.begin(), more.end());
    all.companion_speeds = merged_speeds(all.companion_speeds, speeds_of_mean(comparison, h, best));
  }
  const Study study(case_file, all);
  if (study.plan().headers.size() > store->plan().headers.size()) {
    const std::string path = store->path();
    store.reset();
    store = ResultsStore::extend(path, study.plan());
  }
  return compute_missing(options, study, *store, nullptr).stopped;
}

// --overwrite replaces results, damaged or not, and nothing else that happens to have the name.
void require_results_file(const std::string& path) {
  if (looks_like_results(path)) return;
  throw UsageError(
      fmt::format("--overwrite replaces results files only, and '{}' is none; remove "
                  "the file or name another",
                  path));
}

}  // namespace

void require_results_place(const ResultsPlace& place) {
  const bool exists = std::filesystem::exists(place.path);
  if (exists && std::filesystem::equivalent(place.path, place.case_file)) {
    throw UsageError(fmt::format("-o '{}' is the case file itself; name another file", place.path));
  }
  if (exists && !place.resume && !place.overwrite) {
    throw UsageError(
        fmt::format("'{}' exists. --resume adds what is missing, --overwrite replaces "
                    "it, -o NAME writes elsewhere",
                    place.path));
  }
  require_writable("-o", place.path, Writing::beside);
  if (!place.resume && std::filesystem::is_regular_file(place.path)) {
    require_results_file(place.path);
  }
}

std::unique_ptr<ResultsStore> open_results(const ResultsPlace& place, const StudyPlan& plan) {
  require_results_place(place);
  if (place.resume && std::filesystem::exists(place.path)) {
    return resume_or_extend(place.path, plan);
  }
  return ResultsStore::create(place.path, plan, place.overwrite);
}

StudyOptions with_added(StudyOptions chosen, const StudyPlan& stored) {
  chosen.speeds = merged_speeds(chosen.speeds, stored.speeds);
  chosen.companions = companions_in(stored);
  return chosen;
}

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
         !add_speeds(options, case_file, chosen, store) &&
         !(options.split && add_companions(options, case_file, chosen, store));
}

}  // namespace pulsewright::tools
