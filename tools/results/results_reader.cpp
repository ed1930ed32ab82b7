#include "tools/results/results_reader.hpp"

#include <algorithm>
#include <cstring>
#include <fmt/format.h>
#include <limits>
#include <stdexcept>
#include <vector>

#include "tools/results/file_layout.hpp"
#include "tools/results/hdf5_types.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/root_variables.hpp"
#include "tools/results/structure_checksums.hpp"
#include "tools/results/trial_process.hpp"

namespace pulsewright::tools {

namespace {

// Where each variable but the last, the checksums, stands in the file's own list of those that have
// one; the end of that list for a variable that the file's program did not know.
std::vector<std::size_t> checked_places(hid_t file, const HeaderPlan& header_plan,
                                        const std::vector<Variable>& variables) {
  const std::string path = group_path(header_plan);
  const Hdf5Handle group(H5Gopen2(file, path.c_str(), H5P_DEFAULT), H5Gclose, "open group " + path);
  const auto names = read_texts(group.get(), checked_dimension);
  std::vector<std::size_t> places;
  for (const auto& variable : variables) {
    const auto at = std::find(names.begin(), names.end(), variable.name);
    places.push_back(static_cast<std::size_t>(at - names.begin()));
  }
  if (places.front() != 0) throw std::runtime_error("group " + path + " has no checksum of status");
  return places;
}

// False if the file has no checksums of its structure. Throws DamagedStructure.
bool require_sound_structure(const std::string& path) {
  const PosixFile file(path, PosixFile::Mode::read_only);
  const auto table = read_structure_table(file);
  if (!table) return false;
  const auto changed = first_changed_piece(file, *table);
  if (!changed) return true;
  throw DamagedStructure(
      path, fmt::format("is damaged: bytes {} to {}, of its structure, texts and coordinates, are "
                        "not as they were written. `pulsewright compare` with --resume restores "
                        "them where case, options and program are the same, with --overwrite it "
                        "computes all points anew",
                        changed->offset, changed->offset + changed->length - 1));
}

}  // namespace

// Datasets are opened at first use and stay open, so that reading all points of a large file does
// not look them up again and again.
class ResultsReader::File {
 public:
  // Opens without testing the structure.
  explicit File(const std::string& path);
  ~File();
  // Reads everything once, for nothing.
  void read_all();

  // Reads the record of one variable at one speed; empty for a diagram that is not stored.
  std::vector<std::byte> record(std::size_t header_index, std::size_t variable, std::size_t speed);
  std::vector<std::byte> record(std::size_t header_index, const char* variable, std::size_t speed);
  const std::vector<Variable>& variables(std::size_t header_index);
  // The element of a variable of the root, by index into root_variables(); empty where an older
  // program of the same format version left it out.
  std::vector<std::byte> root_element(std::size_t variable, std::size_t row, std::size_t speed);
  // Whether the file has a variable: its program may have known fewer figures.
  bool has(std::size_t header_index, std::size_t variable) const;
  // Status of a point, and which of its variables are damaged.
  struct PointCheck {
    PointStatus status = PointStatus::missing;
    std::vector<std::string> damaged;
  };
  const PointCheck& check(std::size_t header_index, std::size_t speed);
  void require_indices(std::size_t header_index, std::size_t speed) const;
  [[noreturn]] void fail(const std::string& reason) const { throw StoreError(path_, reason); }

  const StudyPlan& plan() const { return plan_; }
  const std::string& date() const { return date_; }

 private:
  struct OpenHeader {
    std::vector<Variable> variables;
    std::vector<Hdf5Handle> datasets;
    std::vector<std::size_t> checked;  // place in the row of checksums, by variable
    std::vector<PointCheck> checks;    // by speed; only what is not missing stays
  };
  static std::vector<std::byte> read(const Hdf5Handle& dataset, const Variable& what,
                                     std::size_t at);
  bool agrees_at_root(std::size_t header_index, const Variable& variable, std::size_t speed,
                      const std::vector<std::byte>& bytes);
  std::vector<std::int64_t> checksums(std::size_t header_index, std::size_t speed);
  PointCheck compute_check(std::size_t header_index, std::size_t speed);

  std::string path_;
  Hdf5Handle file_;
  StudyPlan plan_;
  std::string date_;
  std::vector<OpenHeader> headers_;
  std::vector<Variable> root_variables_;
  std::vector<Hdf5Handle> root_datasets_;
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
  root_variables_ = root_variables(plan_);
  root_datasets_.resize(root_variables_.size());
}

ResultsReader::File::~File() {
  const std::lock_guard lock(hdf5_mutex());
  headers_.clear();
  root_datasets_.clear();
  file_ = {};
}

const std::vector<Variable>& ResultsReader::File::variables(std::size_t header_index) {
  auto& target = headers_.at(header_index);
  if (target.variables.empty()) {
    target.variables = header_variables(plan_, plan_.headers[header_index]);
    target.datasets.resize(target.variables.size());
    target.checks.resize(plan_.speeds.size());
    target.checked = checked_places(file_.get(), plan_.headers[header_index], target.variables);
  }
  return target.variables;
}

std::vector<std::int64_t> ResultsReader::File::checksums(std::size_t header_index,
                                                         std::size_t speed) {
  const auto bytes = record(header_index, checksum_variable, speed);
  std::vector<std::int64_t> row(bytes.size() / sizeof(std::int64_t));
  std::memcpy(row.data(), bytes.data(), bytes.size());
  return row;
}

// The checksum of the status is written last: as long as there is none the point is missing.
ResultsReader::File::PointCheck ResultsReader::File::compute_check(std::size_t header_index,
                                                                   std::size_t speed) {
  const auto& all = variables(header_index);
  const auto row = checksums(header_index, speed);
  if (row.front() == no_checksum) return {};
  PointCheck check;
  for (std::size_t v = 0; v + 1 < all.size(); ++v) {
    const std::size_t place = headers_[header_index].checked[v];
    if (place >= row.size() || !has(header_index, v)) continue;
    const auto bytes = record(header_index, v, speed);
    if (row[place] != record_checksum(bytes)) {
      check.damaged.push_back(all[v].name);
    } else if (!agrees_at_root(header_index, all[v], speed, bytes)) {
      check.damaged.push_back(all[v].name + " at the root");
    }
    if (v == 0 && check.damaged.empty())
      check.status = PointStatus{std::to_integer<int8_t>(bytes.front())};
  }
  if (check.damaged.empty()) return check;
  // A run that replaces the point at this moment has taken the checksum away before it began.
  if (checksums(header_index, speed).front() == no_checksum) return {};
  check.status = PointStatus::damaged;
  return check;
}

const ResultsReader::File::PointCheck& ResultsReader::File::check(std::size_t header_index,
                                                                  std::size_t speed) {
  static_cast<void>(variables(header_index));
  auto& known = headers_[header_index].checks.at(speed);
  if (known.status == PointStatus::missing) known = compute_check(header_index, speed);
  return known;
}

void ResultsReader::File::read_all() {
  const std::lock_guard lock(hdf5_mutex());
  for (std::size_t r = 0; r < root_variables_.size(); ++r) {
    for (std::size_t h = 0; h < root_variables_[r].shape.front(); ++h) {
      static_cast<void>(root_element(r, h, 0));
    }
  }
  for (std::size_t c = 0; c < headers_.size(); ++c) {
    for (std::size_t s = 0; s < plan_.speeds.size(); ++s) {
      for (std::size_t v = 0; v < variables(c).size(); ++v) static_cast<void>(record(c, v, s));
    }
  }
}

void ResultsReader::File::require_indices(std::size_t header_index, std::size_t speed) const {
  static_cast<void>(plan_.headers.at(header_index));
  static_cast<void>(plan_.speeds.at(speed));
}

bool ResultsReader::File::has(std::size_t header_index, std::size_t variable) const {
  const Variable& what = headers_[header_index].variables[variable];
  return what.kind != VariableKind::figure ||
         has_variable(file_.get(), group_path(plan_.headers[header_index]), what);
}

std::vector<std::byte> ResultsReader::File::record(std::size_t header_index, std::size_t variable,
                                                   std::size_t speed) {
  const Variable& what = variables(header_index)[variable];
  const auto at = record_of_speed(plan_, what, speed);
  if (!at) return {};
  try {
    auto& dataset = headers_[header_index].datasets[variable];
    if (dataset.get() < 0) {
      if (!has(header_index, variable)) {
        std::vector<std::byte> unknown(what.record_bytes());
        what.fill_record(unknown.data());
        return unknown;
      }
      dataset = open_variable(file_.get(), group_path(plan_.headers[header_index]), what);
    }
    return read(dataset, what, *at);
  } catch (const std::exception& error) {
    fail(error.what());
  }
}

std::vector<std::byte> ResultsReader::File::root_element(std::size_t variable, std::size_t row,
                                                         std::size_t speed) {
  const Variable& what = root_variables_[variable];
  try {
    auto& dataset = root_datasets_[variable];
    if (dataset.get() < 0) {
      if (!has_variable(file_.get(), root_path, what)) return {};
      dataset = open_variable(file_.get(), root_path, what);
    }
    const auto bytes = read(dataset, what, row);
    const std::size_t size = element_size(what.type);
    const auto begin = bytes.begin() + static_cast<std::ptrdiff_t>(speed * size);
    return {begin, begin + static_cast<std::ptrdiff_t>(size)};
  } catch (const std::exception& error) {
    fail(error.what());
  }
}

// Whether the root, if it has this variable, has the same bytes.
bool ResultsReader::File::agrees_at_root(std::size_t header_index, const Variable& variable,
                                         std::size_t speed, const std::vector<std::byte>& bytes) {
  const auto row = root_row(plan_, header_index);
  const auto at = std::find_if(root_variables_.begin(), root_variables_.end(),
                               [&](const Variable& one) { return one.name == variable.name; });
  if (!row || at == root_variables_.end()) return true;
  const auto element =
      root_element(static_cast<std::size_t>(at - root_variables_.begin()), *row, speed);
  return element.empty() || element == bytes;
}

std::vector<std::byte> ResultsReader::File::read(const Hdf5Handle& dataset, const Variable& what,
                                                 std::size_t at) {
  std::vector<hsize_t> start(what.shape.size(), 0);
  std::vector<hsize_t> count(what.shape.begin(), what.shape.end());
  start[0] = at;
  count[0] = 1;
  const Hdf5Handle in_file(H5Dget_space(dataset.get()), H5Sclose, "read " + what.name);
  hdf5_check(H5Sselect_hyperslab(in_file.get(), H5S_SELECT_SET, start.data(), nullptr, count.data(),
                                 nullptr),
             "read " + what.name);
  const Hdf5Handle in_memory(
      H5Screate_simple(static_cast<int>(count.size()), count.data(), nullptr), H5Sclose,
      "read " + what.name);
  std::vector<std::byte> bytes(what.record_bytes());
  // A text is read as it stands: another tool may have padded it in another way.
  const Hdf5Handle stored(H5Dget_type(dataset.get()), H5Tclose, "read " + what.name);
  hdf5_check(
      H5Dread(dataset.get(), what.type == ElementType::text ? stored.get() : memory_type(what.type),
              in_memory.get(), in_file.get(), H5P_DEFAULT, bytes.data()),
      "read " + what.name);
  return bytes;
}

std::vector<std::byte> ResultsReader::File::record(std::size_t header_index, const char* variable,
                                                   std::size_t speed) {
  const auto& all = variables(header_index);
  const auto at = std::find_if(all.begin(), all.end(),
                               [&](const Variable& one) { return one.name == variable; });
  return record(header_index, static_cast<std::size_t>(at - all.begin()), speed);
}

ResultsReader::ResultsReader(const std::string& path) {
  structure_tested_ = require_sound_structure(path);
  if (!structure_tested_ && !comes_to_its_end([&] { File(path).read_all(); })) {
    throw DamagedStructure(
        path,
        "is damaged: the HDF5 library fails when it reads the file, and its checksums are gone; "
        "`pulsewright compare` with --overwrite computes all points anew");
  }
  file_ = std::make_unique<File>(path);
}
ResultsReader::~ResultsReader() = default;
ResultsReader::ResultsReader(ResultsReader&&) noexcept = default;
ResultsReader& ResultsReader::operator=(ResultsReader&&) noexcept = default;

const StudyPlan& ResultsReader::plan() const { return file_->plan(); }

const std::string& ResultsReader::date() const { return file_->date(); }

PointStatus ResultsReader::status(std::size_t header_index, std::size_t speed_index) const {
  const std::lock_guard lock(hdf5_mutex());
  file_->require_indices(header_index, speed_index);
  return file_->check(header_index, speed_index).status;
}

std::vector<std::string> ResultsReader::damaged_variables(std::size_t header_index,
                                                          std::size_t speed_index) const {
  const std::lock_guard lock(hdf5_mutex());
  file_->require_indices(header_index, speed_index);
  return file_->check(header_index, speed_index).damaged;
}

double ResultsReader::seconds(std::size_t header_index, std::size_t speed_index) const {
  const std::lock_guard lock(hdf5_mutex());
  file_->require_indices(header_index, speed_index);
  double value = std::numeric_limits<double>::quiet_NaN();
  const PointStatus state = file_->check(header_index, speed_index).status;
  if (state == PointStatus::missing || state == PointStatus::damaged) return value;
  const auto bytes = file_->record(header_index, seconds_variable, speed_index);
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
  if (state != PointStatus::converged && state != PointStatus::not_converged) {
    file_->fail(fmt::format("header '{}', speed {} of {}: the point {}",
                            run_group_name(plan().headers[header_index]), speed_index + 1,
                            plan().speeds.size(),
                            state == PointStatus::missing  ? "is missing"
                            : state == PointStatus::failed ? "failed"
                                                           : "is damaged"));
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
