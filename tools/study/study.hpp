// What a comparison computes: every header at every speed, once on the production grid and again in
// the variants of tools/results/run_variant.hpp, which show the uncertainty of its numbers.
//
// The variants of one point start from its coarse run, and so does the run on the production grid,
// which leaves fewer cycles to go. So the numbers of a point depend on nothing that was computed
// before it, beside it or on how many threads. Whether the engine repeats from cycle to cycle is
// found out on the production grid; the variants that start from the coarse run accelerate.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cases/header_builder.hpp"
#include "models/engine/point_simulation.hpp"
#include "models/figures/point_result.hpp"
#include "tools/results/study_plan.hpp"

namespace pulsewright::tools {

// A header with parts of another one (cases/mixed_header.hpp), without its kind; names.
struct Companion {
  std::string header, source;
  cases::HeaderParts parts = 0;
  bool operator==(const Companion&) const = default;
};

struct StudyOptions {
  std::vector<std::string> headers;               // names; empty = all of the case
  std::vector<double> speeds;                     // rev/s; empty = those of the case
  double cell_size = 0;                           // m; 0 = that of the case
  std::optional<models::JunctionLaw> law;         // none = that of the case
  std::optional<std::pair<double, double>> band;  // rev/s, from and to; none = that of the case
  bool quick = false;                             // only the coarse variant
  bool interference = false;                      // the variants with absorbed pulses too
  // Mixed headers to run too; those of headers that are not compared, or that cannot be, are left
  // out.
  std::vector<Companion> companions;
  std::vector<double> companion_speeds;  // rev/s, at which those are run
};

// A header at a speed, with all its runs: indices.
using StudyPoint = std::pair<std::size_t, std::size_t>;

// How one run of a point ended.
struct PointOutcome {
  std::size_t header_index = 0;  // into StudyPlan::headers
  std::size_t speed_index = 0;
  const models::PointResult* result = nullptr;  // null when the run failed
  std::string failure;
  double seconds = 0;
};

class Study {
 public:
  // Throws CaseError for a header name that does not exist, std::invalid_argument for a case
  // without an engine, and for interference in a header whose cylinders do not all meet at merges.
  Study(const cases::CaseFile& case_file, StudyOptions options);

  const StudyPlan& plan() const { return plan_; }
  // The runs of a header; the first is the one on the production grid.
  const std::vector<RunVariant>& variants(std::size_t header) const { return variants_[header]; }
  // Whether a run is made at a speed: mixed headers are at their own.
  bool has_run(std::size_t header, std::size_t speed, std::size_t variant) const;
  std::size_t headers() const { return headers_.size(); }  // without variants
  std::size_t speeds() const { return plan_.speeds.size(); }
  // Index into plan().headers.
  std::size_t plan_index(std::size_t header, std::size_t variant) const {
    return first_run_[header] + variant;
  }
  // What one run simulates.
  models::EngineSpecification engine(std::size_t header, std::size_t variant) const;

  // The variant that the others of its point start from.
  static constexpr std::size_t first_variant = 1;

  // One run, ready to go. start: the finished first variant of the same point, null for that one
  // itself or where it failed.
  std::unique_ptr<models::PointSimulation> make_run(std::size_t header, std::size_t speed,
                                                    std::size_t variant,
                                                    const models::PointSimulation* start) const;
  // Cells of every pipe that a run computes: runs of one header with the same can be stepped in one
  // batch.
  const std::vector<std::size_t>& cells_of_pipes(std::size_t header, std::size_t variant) const {
    return cells_[plan_index(header, variant)];
  }

 private:
  void choose_headers_and_speeds();
  void choose_variants();
  void add_absorbed_pulses();
  void add_companions();
  void plan_study();
  double cell_size(const RunVariant& variant) const;  // m
  // The header as it is, or mixed.
  cases::HeaderDesign design(std::size_t header, const RunVariant& variant) const;
  HeaderPlan plan_header(std::size_t header, const RunVariant& variant,
                         const models::EngineSpecification& engine) const;
  models::RunSettings settings_at(std::size_t speed, const RunVariant& variant) const;

  const cases::CaseFile& case_;
  StudyOptions options_;
  std::vector<const cases::HeaderDesign*> headers_;
  std::vector<std::vector<RunVariant>> variants_;  // by header
  std::vector<std::size_t> first_run_;             // by header, into the plan's headers
  StudyPlan plan_;
  std::vector<std::vector<std::size_t>> cells_;  // by index into the plan's headers, by pipe
};

}  // namespace pulsewright::tools
