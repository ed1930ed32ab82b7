// Reads a results file back: the plan it was made from, and every point with all its fields.
//
// Works through the HDF5 library alone, so that a file which was repacked or compressed by another
// tool is read as well, and a file to which another process is still adding points too. Nothing is
// read that its checksum does not confirm (structure_checksums.hpp, `checksum` in FORMAT.md); a
// file without checksums of its structure is read in a child process first, where the library may
// crash. May be used from several threads; the calls take turns.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "models/figures/point_result.hpp"
#include "tools/results/store_error.hpp"
#include "tools/results/study_plan.hpp"

namespace pulsewright::tools {

class ResultsReader {
 public:
  // How much of a point is read: without traces and wave diagram a point is a few kilobytes.
  enum class Detail { figures, all };

  // Throws StoreError if the file is missing or no results file, DamagedStructure if it is damaged
  // outside the values of its points, FormatVersionError if it is one of another version.
  explicit ResultsReader(const std::string& path);
  ~ResultsReader();
  ResultsReader(ResultsReader&&) noexcept;
  ResultsReader& operator=(ResultsReader&&) noexcept;

  const StudyPlan& plan() const;
  // When the file was made, ISO 8601, UTC.
  const std::string& date() const;

  // False for a file that another tool rewrote: then a change of its texts and coordinates cannot
  // be seen, only one of the values of its points.
  bool structure_tested() const { return structure_tested_; }

  // All below throw StoreError, and std::out_of_range for wrong indices. Nothing of a damaged point
  // is given out.
  PointStatus status(std::size_t header_index, std::size_t speed_index) const;
  // Names of the variables of a point that are not as they were written; empty unless it is
  // damaged.
  std::vector<std::string> damaged_variables(std::size_t header_index,
                                             std::size_t speed_index) const;
  // s, time the computation took; NaN for a missing or damaged point.
  double seconds(std::size_t header_index, std::size_t speed_index) const;
  // Empty unless the point failed.
  std::string failure(std::size_t header_index, std::size_t speed_index) const;
  // Exactly what was written; NaN and -1 for a figure that the file's program did not know yet. A
  // missing, failed or damaged point has no numbers: StoreError.
  models::PointResult point(std::size_t header_index, std::size_t speed_index,
                            Detail detail = Detail::all) const;

 private:
  class File;
  bool structure_tested_ = false;
  std::unique_ptr<File> file_;
};

}  // namespace pulsewright::tools
