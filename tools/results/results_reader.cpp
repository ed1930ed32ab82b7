#include "tools/results/results_reader.hpp"

#include <algorithm>
#include <cstring>
#include <fmt/format.h>
#include <stdexcept>
#include <vector>

#include "tools/results/file_layout.hpp"
#include "tools/results/hdf5_types.hpp"
#include "tools/results/plan_attributes.hpp"

namespace pulsewright::tools {

// Datasets are opened at first use and stay open, so that reading all points of a large file does
// not look them up again and again.
class ResultsReader::File {
 public:
  explicit File(const std::string& path);
  ~File();

  // Reads the record of one variable at one speed; empty for a diagram that is not stored.
  std::vector<std::byte> record(std::size_t header_index, std::size_t variable, std::size_t speed);
  std::vector<std::byte> record(std::size_t header_index, const char* variable, std::size_t speed);
  const std::vector<Variable>& variables(std::size_t header_index);
  void require_indices(std::size_t header_index, std::size_t speed) const;
  [[noreturn]] void fail(const std::string& reason) const { throw StoreError(path_, reason); }

  const StudyPlan& plan() const { return plan_; }
  const std::string& date() const { return date_; }

 private:
  struct OpenHeader {
    std::vector<Variable> variables;
    std::vector<Hdf5Handle> datasets;
  };

  std::string path_;
  Hdf5Handle file_;
  StudyPlan plan_;
  std::string date_;
  std::vector<OpenHeader> headers_;
};

ResultsReader::File::File(const std::string& path) : path_(path) {
  const std::lock_guard lock(hdf5_mutex());
  try {
    file_ = hdf5_open_for_reading(path);
    plan_ = read_plan(file_.get());
    date_ = read_text_attribute(file_.get(), "date");
  } catch (const StoreError&) {
    file_ = {};
    throw;
  } catch (const std::exception& error) {
    file_ = {};
    fail(error.what());
  }
  headers_.resize(plan_.headers.size());
}

ResultsReader::File::~File() {
  const std::lock_guard lock(hdf5_mutex());
  headers_.clear();
  file_ = {};
}

const std::vector<Variable>& ResultsReader::File::variables(std::size_t header_index) {
  auto& target = headers_.at(header_index);
  if (target.variables.empty()) {
    target.variables = header_variables(plan_, plan_.headers[header_index]);
    target.datasets.resize(target.variables.size());
  }
  return target.variables;
}

void ResultsReader::File::require_indices(std::size_t header_index, std::size_t speed) const {
  static_cast<void>(plan_.headers.at(header_index));
  static_cast<void>(plan_.speeds.at(speed));
}

std::vector<std::byte> ResultsReader::File::record(std::size_t header_index, std::size_t variable,
                                                   std::size_t speed) {
  const Variable& what = variables(header_index)[variable];
  const auto at = record_of_speed(plan_, what, speed);
  if (!at) return {};
  try {
    auto& dataset = headers_[header_index].datasets[variable];
    if (dataset.get() < 0) {
      if (what.kind == VariableKind::figure &&
          !has_variable(file_.get(), plan_.headers[header_index], what)) {
        std::vector<std::byte> unknown(what.record_bytes());
        what.fill_record(unknown.data());
        return unknown;
      }
      dataset = open_variable(file_.get(), plan_.headers[header_index], what);
    }
    std::vector<hsize_t> start(what.shape.size(), 0);
    std::vector<hsize_t> count(what.shape.begin(), what.shape.end());
    start[0] = *at;
    count[0] = 1;
    const Hdf5Handle in_file(H5Dget_space(dataset.get()), H5Sclose, "read " + what.name);
    hdf5_check(H5Sselect_hyperslab(in_file.get(), H5S_SELECT_SET, start.data(), nullptr,
                                   count.data(), nullptr),
               "read " + what.name);
    const Hdf5Handle in_memory(
        H5Screate_simple(static_cast<int>(count.size()), count.data(), nullptr), H5Sclose,
        "read " + what.name);
    std::vector<std::byte> bytes(what.record_bytes());
    hdf5_check(H5Dread(dataset.get(), memory_type(what.type), in_memory.get(), in_file.get(),
                       H5P_DEFAULT, bytes.data()),
               "read " + what.name);
    return bytes;
  } catch (const std::exception& error) {
    fail(error.what());
  }
}

std::vector<std::byte> ResultsReader::File::record(std::size_t header_index, const char* variable,
                                                   std::size_t speed) {
  const auto& all = variables(header_index);
  const auto at = std::find_if(all.begin(), all.end(),
                               [&](const Variable& one) { return one.name == variable; });
  return record(header_index, static_cast<std::size_t>(at - all.begin()), speed);
}

ResultsReader::ResultsReader(const std::string& path) : file_(std::make_unique<File>(path)) {}
ResultsReader::~ResultsReader() = default;
ResultsReader::ResultsReader(ResultsReader&&) noexcept = default;
ResultsReader& ResultsReader::operator=(ResultsReader&&) noexcept = default;

const StudyPlan& ResultsReader::plan() const { return file_->plan(); }

const std::string& ResultsReader::date() const { return file_->date(); }

PointStatus ResultsReader::status(std::size_t header_index, std::size_t speed_index) const {
  const std::lock_guard lock(hdf5_mutex());
  file_->require_indices(header_index, speed_index);
  const auto bytes = file_->record(header_index, status_variable, speed_index);
  const int value = std::to_integer<int>(bytes.front());
  if (value > static_cast<int>(PointStatus::failed)) {
    file_->fail(fmt::format("holds the unknown point status {}", value));
  }
  return static_cast<PointStatus>(value);
}

double ResultsReader::seconds(std::size_t header_index, std::size_t speed_index) const {
  const std::lock_guard lock(hdf5_mutex());
  file_->require_indices(header_index, speed_index);
  const auto bytes = file_->record(header_index, seconds_variable, speed_index);
  double value = 0;
  std::memcpy(&value, bytes.data(), sizeof value);
  return value;
}

std::string ResultsReader::failure(std::size_t header_index, std::size_t speed_index) const {
  const std::lock_guard lock(hdf5_mutex());
  if (status(header_index, speed_index) != PointStatus::failed) return {};
  const auto bytes = file_->record(header_index, failure_variable, speed_index);
  const auto end = std::find(bytes.begin(), bytes.end(), std::byte{0});
  std::string text;
  std::transform(bytes.begin(), end, std::back_inserter(text),
                 [](std::byte byte) { return static_cast<char>(byte); });
  return text;
}

models::PointResult ResultsReader::point(std::size_t header_index, std::size_t speed_index,
                                         Detail detail) const {
  const std::lock_guard lock(hdf5_mutex());
  const PointStatus state = status(header_index, speed_index);
  if (state == PointStatus::missing || state == PointStatus::failed) {
    file_->fail(fmt::format("header '{}', speed {} of {}: the point {}",
                            run_group_name(plan().headers[header_index]), speed_index + 1,
                            plan().speeds.size(),
                            state == PointStatus::missing ? "is missing" : "failed"));
  }
  auto point = empty_point(plan().headers[header_index]);
  const auto& variables = file_->variables(header_index);
  for (std::size_t v = 0; v < variables.size(); ++v) {
    const auto kind = variables[v].kind;
    const bool is_heavy = kind == VariableKind::trace || kind == VariableKind::diagram;
    if (kind == VariableKind::bookkeeping || (is_heavy && detail == Detail::figures)) continue;
    const auto bytes = file_->record(header_index, v, speed_index);
    if (!bytes.empty()) variables[v].decode(bytes.data(), point);
  }
  finish_point(point);
  point.converged = state == PointStatus::converged;
  return point;
}

}  // namespace pulsewright::tools
