// Reads a results file back: the plan it was made from, and every point with all its fields.
//
// Works through the HDF5 library alone, so that a file which was repacked or compressed by another
// tool is read as well, and a file to which another process is still adding points too. May be
// used from several threads; the calls take turns.
#pragma once

#include <cstddef>
#include <memory>
#include <string>

#include "models/figures/point_result.hpp"
#include "tools/results/store_error.hpp"
#include "tools/results/study_plan.hpp"

namespace pulsewright::tools {

class ResultsReader {
 public:
  // How much of a point is read: without traces and wave diagram a point is a few kilobytes.
  enum class Detail { figures, all };

  // Throws StoreError if the file is missing, damaged or no results file, FormatVersionError if it
  // is one of another version.
  explicit ResultsReader(const std::string& path);
  ~ResultsReader();
  ResultsReader(ResultsReader&&) noexcept;
  ResultsReader& operator=(ResultsReader&&) noexcept;

  const StudyPlan& plan() const;
  // When the file was made, ISO 8601, UTC.
  const std::string& date() const;

  // All below throw StoreError, and std::out_of_range for wrong indices.
  PointStatus status(std::size_t header_index, std::size_t speed_index) const;
  // s, time the computation took; NaN for a missing point.
  double seconds(std::size_t header_index, std::size_t speed_index) const;
  // Empty unless the point failed.
  std::string failure(std::size_t header_index, std::size_t speed_index) const;
  // Exactly what was written; NaN and -1 for a figure that the file's program did not know yet. A
  // missing or failed point has no numbers: StoreError.
  models::PointResult point(std::size_t header_index, std::size_t speed_index,
                            Detail detail = Detail::all) const;

 private:
  class File;
  std::unique_ptr<File> file_;
};

}  // namespace pulsewright::tools
