// Writes a results file, point by point, so that a kill at any instant harms no finished point.
//
// The file is laid out in full under a temporary name, brought to the disk and renamed; from then
// on a point only overwrites bytes that are already allocated, and the HDF5 library is not used
// for it. Order of a write: checksum of the status and status withdrawn if the point was there
// before, sync, values and their checksums, sync, status and its checksum, sync. So a status other
// than `missing` means that all values of the point are complete on disk, and a checksum that does
// not fit means that something changed them afterwards.
//
// Valid for local and network file systems that keep fdatasync's promise. A file is written by one
// store at a time. All members may be called from several threads.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "models/figures/point_result.hpp"
#include "tools/results/posix_file.hpp"
#include "tools/results/store_error.hpp"
#include "tools/results/structure_checksums.hpp"
#include "tools/results/study_plan.hpp"
#include "tools/results/temporary_file.hpp"
#include "tools/results/variables.hpp"

namespace pulsewright::tools {

class ResultsReader;

// Now, ISO 8601, UTC.
std::string current_date();

class ResultsStore {
 public:
  // Makes a new file with every point missing. An existing file is an error unless `overwrite` is
  // set; it is replaced only when the new one is complete. Throws StoreError, and
  // std::invalid_argument for a plan that check_plan refuses.
  static std::unique_ptr<ResultsStore> create(const std::string& path, const StudyPlan& plan,
                                              bool overwrite = false);

  // Opens a file that create() made, to add the points that are missing; a damaged point counts as
  // missing, and a damaged structure is restored where the plan is the same to the letter. Throws
  // StoreError, with the first difference if the file was made from another plan.
  static std::unique_ptr<ResultsStore> resume(const std::string& path, const StudyPlan& plan);

  // The file that create() makes for `plan`, with every point of the file at `path`, in the place
  // of that file: for a plan with more speeds or runs than the one that it was made from
  // (part_of()). The old file stays until the new one is complete. Throws StoreError, PlanMismatch
  // where the old file has other points than `plan`.
  static std::unique_ptr<ResultsStore> extend(const std::string& path, const StudyPlan& plan);

  // Stores a point and returns when it is on the disk. `seconds` is the time it took to compute.
  // A point stored before is replaced. Throws StoreError; std::invalid_argument if the point does
  // not fit the plan (then nothing is written); std::out_of_range for wrong indices.
  void write(std::size_t header_index, std::size_t speed_index, const models::PointResult& point,
             double seconds);

  // Stores that a point could not be computed, and why; the text is cut after 511 bytes.
  void write_failure(std::size_t header_index, std::size_t speed_index, std::string_view reason,
                     double seconds);

  PointStatus status(std::size_t header_index, std::size_t speed_index) const;
  const StudyPlan& plan() const { return plan_; }
  const std::string& path() const { return path_; }
  // What resume() found damaged, one text each.
  const std::vector<std::string>& remarks() const { return remarks_; }

 private:
  struct StoredHeader {
    std::vector<Variable> variables;
    std::vector<std::uint64_t> offsets;  // bytes from the start of the file
    // By variable: where its row at the root begins, for those that stand there too.
    std::vector<std::optional<std::uint64_t>> root_rows;
    std::vector<PointStatus> status;  // by speed
    std::vector<bool> begun;          // by speed: whether the file may have something of it
  };

  ResultsStore(std::string path, StudyPlan plan, std::unique_ptr<PosixFile> file);
  StoredHeader& header_at(std::size_t header_index, std::size_t speed_index);
  static std::unique_ptr<ResultsStore> make(const std::string& path, const StudyPlan& plan,
                                            bool replace, const ResultsReader* old);
  static std::unique_ptr<ResultsStore> lay_out(const std::string& temporary, const StudyPlan& plan,
                                               const std::string& date);
  static std::unique_ptr<ResultsStore> restored(const std::string& path, const StudyPlan& plan,
                                                const std::string& damage);
  void fill();
  void fill_variable(const Variable& variable, std::uint64_t offset);
  void locate();
  void append_table(const std::string& date);
  void take_over(const ResultsReader& old);
  void put_in_place(TemporaryFile& temporary, const std::string& path, bool replace);
  std::vector<ByteRange> value_ranges() const;
  void read_status();
  // A null point leaves fill values.
  void store(StoredHeader& target, std::size_t speed, const models::PointResult* point,
             PointStatus status, double seconds, std::string_view reason);
  void withdraw(StoredHeader& target, std::size_t speed);
  void write_status(StoredHeader& target, std::size_t speed, PointStatus status);
  void write_checksums(StoredHeader& target, std::size_t speed, std::size_t first,
                       std::span<const std::int64_t> checksums);

  std::string path_;
  StudyPlan plan_;
  std::unique_ptr<PosixFile> file_;
  std::vector<StoredHeader> headers_;
  std::vector<Variable> root_variables_;
  std::vector<std::uint64_t> root_offsets_;
  std::vector<std::string> remarks_;
  bool in_place_ = true;  // until then nothing needs to be on the disk after each point
  mutable std::mutex mutex_;
};

}  // namespace pulsewright::tools
