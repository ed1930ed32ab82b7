// The points of a results file, read once: whatever is computed from a file computes from this.
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "models/figures/point_result.hpp"
#include "tools/results/results_reader.hpp"

namespace pulsewright::tools {

struct StoredPoint {
  PointStatus status = PointStatus::missing;
  double seconds = std::numeric_limits<double>::quiet_NaN();  // s that it took; NaN while missing
  std::string failure;                                        // empty unless it failed
  std::string damage;  // which variables are not as they were written; empty unless damaged
  std::optional<models::PointResult> result;  // of points that have numbers, converged or not
};

// One run of a header at all speeds.
struct StoredRun {
  RunVariant variant;
  double cell_size = 0;             // m, target
  std::vector<StoredPoint> points;  // by speed
};

struct StoredHeader {
  std::size_t plan_index = 0;  // into StudyPlan::headers, of the run on the production grid
  StoredRun production;
  std::vector<StoredRun> variants;

  const StoredRun* find(const RunVariant& variant) const;  // null where there is none
};

class StudyResults {
 public:
  // Throws StoreError when the file cannot be read.
  StudyResults(const ResultsReader& reader, ResultsReader::Detail detail);

  const StudyPlan& plan() const { return plan_; }
  const std::string& date() const { return date_; }  // ISO 8601, UTC
  // One text for each damaged point of any run, with header, speed and variables.
  const std::vector<std::string>& damages() const { return damages_; }
  // Whether a change of texts and coordinates would have been seen.
  bool structure_tested() const { return structure_tested_; }
  // In the order of the study; the first one is the reference of a comparison.
  const std::vector<StoredHeader>& headers() const { return headers_; }
  const HeaderPlan& plan_of(const StoredHeader& header) const {
    return plan_.headers[header.plan_index];
  }

 private:
  StudyPlan plan_;
  std::string date_;
  bool structure_tested_ = false;
  std::vector<std::string> damages_;
  std::vector<StoredHeader> headers_;
};

// The case a results file was made from; none if this version of the program refuses its text.
std::optional<cases::CaseFile> case_of(const StudyPlan& plan);

}  // namespace pulsewright::tools
