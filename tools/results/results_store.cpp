#include "tools/results/results_store.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cstring>
#include <filesystem>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <stdexcept>
#include <system_error>

#include "tools/results/file_layout.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/point_check.hpp"
#include "tools/results/results_reader.hpp"
#include "tools/results/root_variables.hpp"
#include "tools/results/structure_checksums.hpp"
#include "tools/results/temporary_file.hpp"

namespace pulsewright::tools {

namespace {

namespace fs = std::filesystem;

// Refuses what must not be replaced: devices and folders, and results in use.
void require_replaceable(const std::string& path, bool overwrite) {
  std::error_code error;
  const auto status = fs::status(path, error);
  if (!fs::exists(status)) return;
  if (!fs::is_regular_file(status)) throw StoreError(path, "exists and is no regular file");
  if (!overwrite) {
    throw StoreError(path,
                     "exists already; resume it, ask to overwrite it, or choose another file");
  }
  if (is_being_written(path)) {
    throw StoreError(path, "another run is writing to it; wait for it or choose another file");
  }
}

std::uint64_t bytes_of_values(const StudyPlan& plan) {
  std::uint64_t total = 0;
  const auto add = [&](const std::vector<Variable>& variables) {
    for (const auto& one : variables) total += one.record_bytes() * one.shape.front();
  };
  add(root_variables(plan));
  for (const auto& header_plan : plan.headers) add(header_variables(plan, header_plan));
  return total;
}

// Everything that goes wrong inside becomes an error that names the file.
template <class Action>
auto naming(const std::string& path, Action action) {
  try {
    return action();
  } catch (const StoreError& error) {
    if (error.path() == path) throw;
    throw StoreError(path, error.reason());  // users are not shown the temporary name
  } catch (const std::invalid_argument&) {
    throw;
  } catch (const std::exception& error) {
    throw StoreError(path, error.what());
  }
}

// Cuts a text to what the file has room for, without cutting a UTF-8 character in two.
std::string_view cut_text(std::string_view text) {
  constexpr std::size_t most = failure_text_bytes - 1;
  if (text.size() <= most) return text;
  std::size_t length = most;
  while (length > 0 && (static_cast<unsigned char>(text[length]) & 0xC0U) == 0x80U) --length;
  return text.substr(0, length);
}

}  // namespace

std::string current_date() {
  const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now));
}

std::unique_ptr<ResultsStore> ResultsStore::create(const std::string& path, const StudyPlan& plan,
                                                   bool overwrite) {
  check_plan(plan);
  return naming(path, [&] { return make(path, plan, overwrite, nullptr); });
}

std::unique_ptr<ResultsStore> ResultsStore::resume(const std::string& path, const StudyPlan& plan) {
  check_plan(plan);
  return naming(path, [&] {
    if (std::error_code error; !fs::exists(path, error)) {
      throw StoreError(path, "does not exist, there is nothing to resume");
    }
    std::unique_ptr<ResultsStore> store;
    try {
      const auto difference = first_difference(ResultsReader(path).plan(), plan);
      if (!difference.empty()) {
        throw PlanMismatch(path, "cannot be resumed, it was made for another run: " + difference);
      }
      auto file = std::make_unique<PosixFile>(path, PosixFile::Mode::read_write);
      file->lock();
      store.reset(new ResultsStore(path, plan, std::move(file)));
    } catch (const DamagedStructure& damage) {
      store = restored(path, plan, damage.reason());
    }
    store->read_status();
    return store;
  });
}

// old: the file whose points the new one takes over; null for a new one with every point missing.
std::unique_ptr<ResultsStore> ResultsStore::make(const std::string& path, const StudyPlan& plan,
                                                 bool replace, const ResultsReader* old) {
  const std::string target = target_of_link(path);
  require_replaceable(target, replace);
  require_space(target, bytes_of_values(plan));
  TemporaryFile temporary(target);
  const std::string date = current_date();
  auto store = lay_out(temporary.path(), plan, date);
  store->fill();
  store->append_table(date);
  if (old != nullptr) {
    store->in_place_ = false;
    store->take_over(*old);
    store->file_->sync();
    store->in_place_ = true;
  }
  store->put_in_place(temporary, path, replace);
  return store;
}

std::unique_ptr<ResultsStore> ResultsStore::extend(const std::string& path, const StudyPlan& plan) {
  check_plan(plan);
  return naming(path, [&] {
    const ResultsReader old(path);
    const auto difference = first_difference(old.plan(), part_of(plan, old.plan()));
    if (!difference.empty()) {
      throw PlanMismatch(path, "cannot be resumed, it was made for another run: " + difference);
    }
    return make(path, plan, true, &old);
  });
}

// A damaged point is missing: it is computed anew.
void ResultsStore::take_over(const ResultsReader& old) {
  for (std::size_t run = 0; run < old.plan().headers.size(); ++run) {
    const auto same = [&](const HeaderPlan& planned) {
      return run_group_name(planned) == run_group_name(old.plan().headers[run]);
    };
    const auto target = static_cast<std::size_t>(
        std::find_if(plan_.headers.begin(), plan_.headers.end(), same) - plan_.headers.begin());
    for (std::size_t s = 0; s < old.plan().speeds.size(); ++s) {
      const auto speed = static_cast<std::size_t>(
          std::lower_bound(plan_.speeds.begin(), plan_.speeds.end(), old.plan().speeds[s]) -
          plan_.speeds.begin());
      switch (old.status(run, s)) {
        case PointStatus::missing:
          break;
        case PointStatus::damaged:
          remarks_.push_back(damage_text(old.plan(), run, s, old.damaged_variables(run, s)));
          break;
        case PointStatus::failed:
          write_failure(target, speed, old.failure(run, s), old.seconds(run, s));
          break;
        case PointStatus::converged:
        case PointStatus::not_converged:
          write(target, speed, old.point(run, s), old.seconds(run, s));
          break;
      }
    }
  }
}

std::unique_ptr<ResultsStore> ResultsStore::lay_out(const std::string& temporary,
                                                    const StudyPlan& plan,
                                                    const std::string& date) {
  auto file = std::make_unique<PosixFile>(temporary, PosixFile::Mode::create_new);
  file->lock();
  {
    const std::lock_guard lock(hdf5_mutex());
    write_file_layout(temporary, plan, date);
  }
  return std::unique_ptr<ResultsStore>(new ResultsStore(temporary, plan, std::move(file)));
}

// The structure of a file follows from plan, date, program and HDF5 library: where the table of the
// damaged file confirms that the new structure is what it was, the points are taken over.
std::unique_ptr<ResultsStore> ResultsStore::restored(const std::string& path, const StudyPlan& plan,
                                                     const std::string& damage) {
  const std::string target = target_of_link(path);
  PosixFile old(target, PosixFile::Mode::read_write);
  old.lock();
  const auto table = read_structure_table(old);
  if (!table) throw DamagedStructure(path, damage);
  TemporaryFile temporary(target);
  auto store = lay_out(temporary.path(), plan, table->date);
  if (structure_pieces(*store->file_, store->value_ranges()) != table->pieces) {
    throw DamagedStructure(path, damage +
                                     "; it cannot be restored: case, options or program are not "
                                     "those that it was made with");
  }
  std::vector<std::byte> bytes;
  for (const auto& range : tools::value_ranges(*table)) {
    constexpr std::uint64_t chunk = std::uint64_t{1} << 20U;
    for (std::uint64_t at = 0; at < range.length; at += chunk) {
      bytes.resize(static_cast<std::size_t>(std::min(chunk, range.length - at)));
      old.read(range.offset + at, bytes);
      store->file_->write(range.offset + at, bytes);
    }
  }
  store->append_table(table->date);
  store->put_in_place(temporary, path, true);
  store->remarks_.push_back("its structure was damaged and has been restored");
  return store;
}

void ResultsStore::append_table(const std::string& date) {
  append_structure_table(*file_, structure_pieces(*file_, value_ranges()), date);
  file_->sync();
}

void ResultsStore::put_in_place(TemporaryFile& temporary, const std::string& path, bool replace) {
  temporary.put_in_place(replace);
  path_ = path;
  file_->set_path(path);
}

std::vector<ByteRange> ResultsStore::value_ranges() const {
  std::vector<ByteRange> ranges;
  const auto add = [&](const std::vector<Variable>& variables,
                       const std::vector<std::uint64_t>& offsets) {
    for (std::size_t v = 0; v < variables.size(); ++v) {
      ranges.push_back({offsets[v], variables[v].record_bytes() * variables[v].shape.front()});
    }
  };
  add(root_variables_, root_offsets_);
  for (const auto& header : headers_) add(header.variables, header.offsets);
  return ranges;
}

ResultsStore::ResultsStore(std::string path, StudyPlan plan, std::unique_ptr<PosixFile> file)
    : path_(std::move(path)), plan_(std::move(plan)), file_(std::move(file)) {
  locate();
}

// Where in the file each variable is, and its row at the root.
void ResultsStore::locate() {
  const std::lock_guard lock(hdf5_mutex());
  const Hdf5Handle file = hdf5_open_for_reading(path_);
  root_variables_ = root_variables(plan_);
  root_offsets_ = locate_variables(file.get(), root_path, root_variables_);
  for (std::size_t c = 0; c < plan_.headers.size(); ++c) {
    StoredHeader& target = headers_.emplace_back();
    target.variables = header_variables(plan_, plan_.headers[c]);
    target.offsets = locate_variables(file.get(), group_path(plan_.headers[c]), target.variables);
    target.root_rows.resize(target.variables.size());
    target.status.assign(plan_.speeds.size(), PointStatus::missing);
    target.begun.assign(plan_.speeds.size(), false);
    const auto row = root_row(plan_, c);
    for (std::size_t r = 0; row && r < root_variables_.size(); ++r) {
      const auto own = std::find_if(
          target.variables.begin(), target.variables.end(),
          [&](const Variable& variable) { return variable.name == root_variables_[r].name; });
      target.root_rows.at(static_cast<std::size_t>(own - target.variables.begin())) =
          root_offsets_[r] + *row * root_variables_[r].record_bytes();
    }
  }
}

ResultsStore::StoredHeader& ResultsStore::header_at(std::size_t header_index,
                                                    std::size_t speed_index) {
  auto& target = headers_.at(header_index);
  static_cast<void>(target.status.at(speed_index));
  return target;
}

// Allocates every value on the disk, so that a full disk fails now.
void ResultsStore::fill() {
  for (std::size_t r = 0; r < root_variables_.size(); ++r) {
    fill_variable(root_variables_[r], root_offsets_[r]);
  }
  for (const auto& target : headers_) {
    for (std::size_t v = 0; v < target.variables.size(); ++v) {
      fill_variable(target.variables[v], target.offsets[v]);
    }
  }
  file_->sync();
}

void ResultsStore::fill_variable(const Variable& variable, std::uint64_t offset) {
  constexpr std::size_t chunk = std::size_t{1} << 20U;
  const std::size_t record = variable.record_bytes();
  const std::size_t records = std::min(variable.shape.front(), 1 + chunk / record);
  std::vector<std::byte> buffer(records * record);
  for (std::size_t r = 0; r < records; ++r) variable.fill_record(buffer.data() + r * record);
  for (std::size_t first = 0; first < variable.shape.front(); first += records) {
    const std::size_t count = std::min(records, variable.shape.front() - first);
    file_->write(offset + first * record, std::span(buffer).first(count * record));
  }
}

// A damaged point is missing: it is computed anew.
void ResultsStore::read_status() {
  const ResultsReader reader(path_);
  for (std::size_t c = 0; c < headers_.size(); ++c) {
    StoredHeader& target = headers_[c];
    target.begun.assign(target.begun.size(), true);
    for (std::size_t s = 0; s < target.status.size(); ++s) {
      target.status[s] = reader.status(c, s);
      if (target.status[s] != PointStatus::damaged) continue;
      target.status[s] = PointStatus::missing;
      remarks_.push_back(damage_text(plan_, c, s, reader.damaged_variables(c, s)));
    }
  }
}

void ResultsStore::write(std::size_t header_index, std::size_t speed_index,
                         const models::PointResult& point, double seconds) {
  const std::lock_guard lock(mutex_);
  StoredHeader& target = header_at(header_index, speed_index);
  check_point(plan_, plan_.headers[header_index], speed_index, point);
  store(target, speed_index, &point,
        point.converged ? PointStatus::converged : PointStatus::not_converged, seconds, {});
}

void ResultsStore::write_failure(std::size_t header_index, std::size_t speed_index,
                                 std::string_view reason, double seconds) {
  const std::lock_guard lock(mutex_);
  store(header_at(header_index, speed_index), speed_index, nullptr, PointStatus::failed, seconds,
        cut_text(reason));
}

PointStatus ResultsStore::status(std::size_t header_index, std::size_t speed_index) const {
  const std::lock_guard lock(mutex_);
  return headers_.at(header_index).status.at(speed_index);
}

void ResultsStore::store(StoredHeader& target, std::size_t speed, const models::PointResult* point,
                         PointStatus status, double seconds, std::string_view reason) {
  if (target.begun[speed]) withdraw(target, speed);
  target.begun[speed] = true;
  std::vector<std::int64_t> checksums;
  std::vector<std::byte> record;
  for (std::size_t v = 0; v + 1 < target.variables.size(); ++v) {
    const auto& variable = target.variables[v];
    const auto at = record_of_speed(plan_, variable, speed);
    record.resize(at ? variable.record_bytes() : 0);
    if (variable.name == status_variable) {
      record[0] = static_cast<std::byte>(status);
    } else if (!at) {
      // no diagram at this speed
    } else if (variable.name == seconds_variable) {
      std::memcpy(record.data(), &seconds, sizeof seconds);
    } else if (variable.name == failure_variable) {
      variable.fill_record(record.data());
      std::transform(reason.begin(), reason.end(), record.begin(),
                     [](char letter) { return static_cast<std::byte>(letter); });
    } else if (point != nullptr) {
      variable.encode(*point, record.data());
    } else {
      variable.fill_record(record.data());
    }
    checksums.push_back(record_checksum(record));
    if (v > 0 && at) file_->write(target.offsets[v] + *at * record.size(), record);
    if (v > 0 && target.root_rows[v]) {
      file_->write(*target.root_rows[v] + speed * record.size(), record);
    }
  }
  write_checksums(target, speed, 1, std::span(checksums).subspan(1));
  if (in_place_) file_->sync();
  write_status(target, speed, status);
  write_checksums(target, speed, 0, std::span(checksums).first(1));
  if (in_place_) file_->sync();
  target.status[speed] = status;
}

// Without a checksum of its status a point counts as missing, whatever else there is of it.
void ResultsStore::withdraw(StoredHeader& target, std::size_t speed) {
  write_checksums(target, speed, 0, std::array{no_checksum});
  write_status(target, speed, PointStatus::missing);
  file_->sync();
  target.status[speed] = PointStatus::missing;
}

void ResultsStore::write_status(StoredHeader& target, std::size_t speed, PointStatus status) {
  const std::array<std::byte, 1> value = {static_cast<std::byte>(status)};
  file_->write(target.offsets.front() + speed, value);
  if (target.root_rows.front()) file_->write(*target.root_rows.front() + speed, value);
}

void ResultsStore::write_checksums(StoredHeader& target, std::size_t speed, std::size_t first,
                                   std::span<const std::int64_t> checksums) {
  const std::size_t row = target.variables.back().record_bytes();
  file_->write(target.offsets.back() + speed * row + first * sizeof(std::int64_t),
               std::as_bytes(checksums));
}

}  // namespace pulsewright::tools
