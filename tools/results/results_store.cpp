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
#include <unistd.h>

#include "tools/results/file_layout.hpp"
#include "tools/results/point_check.hpp"

namespace pulsewright::tools {

namespace {

namespace fs = std::filesystem;

std::string current_date() {
  const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now));
}

// The file itself where a symbolic link is given, so that renaming does not replace the link.
std::string resolve(const std::string& path) {
  std::error_code error;
  if (!fs::is_symlink(path, error)) return path;
  const auto target = fs::weakly_canonical(path, error);
  return error ? path : target.string();
}

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

// The file under its temporary name: taken away again unless it was put in place.
class TemporaryFile {
 public:
  explicit TemporaryFile(const std::string& target)
      : path_(fmt::format("{}.new-{}", target, ::getpid())) {
    fs::remove(path_, ignored_);  // left by a killed run that had the same process number
  }
  ~TemporaryFile() {
    if (!in_place_) fs::remove(path_, ignored_);
  }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;

  const std::string& path() const { return path_; }
  void put_in_place(const std::string& target, bool replace) {
    rename_durably(path_, target, replace);
    in_place_ = true;
  }

 private:
  std::string path_;
  bool in_place_ = false;
  std::error_code ignored_;
};

std::uint64_t bytes_of_values(const StudyPlan& plan) {
  std::uint64_t total = 0;
  for (const auto& header_plan : plan.headers) {
    for (const auto& variable : header_variables(plan, header_plan)) {
      total += variable.record_bytes() * variable.shape.front();
    }
  }
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

std::vector<std::vector<std::uint64_t>> locate(
    const std::string& path, const StudyPlan& plan,
    const std::vector<std::vector<Variable>>& variables) {
  const std::lock_guard lock(hdf5_mutex());
  const Hdf5Handle file = hdf5_open_for_reading(path);
  std::vector<std::vector<std::uint64_t>> offsets;
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    offsets.push_back(locate_variables(file.get(), plan.headers[c], variables[c]));
  }
  return offsets;
}

StudyPlan stored_plan(const std::string& path) {
  const std::lock_guard lock(hdf5_mutex());
  const Hdf5Handle file = hdf5_open_for_reading(path);
  try {
    return read_plan(file.get());
  } catch (const std::invalid_argument& error) {
    throw std::runtime_error(std::string("holds a damaged plan: ") + error.what());
  }
}

std::size_t index_of(const std::vector<Variable>& variables, const char* name) {
  const auto at = std::find_if(variables.begin(), variables.end(),
                               [&](const Variable& variable) { return variable.name == name; });
  return static_cast<std::size_t>(at - variables.begin());
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

std::unique_ptr<ResultsStore> ResultsStore::create(const std::string& path, const StudyPlan& plan,
                                                   bool overwrite) {
  check_plan(plan);
  return naming(path, [&] {
    const std::string target = resolve(path);
    require_replaceable(target, overwrite);
    TemporaryFile temporary(target);
    auto file = std::make_unique<PosixFile>(temporary.path(), PosixFile::Mode::create_new);
    file->lock();
    require_space(target, bytes_of_values(plan));
    {
      const std::lock_guard lock(hdf5_mutex());
      write_file_layout(temporary.path(), plan, current_date());
    }
    std::unique_ptr<ResultsStore> store(new ResultsStore(temporary.path(), plan, std::move(file)));
    store->fill();
    temporary.put_in_place(target, overwrite);
    store->path_ = path;
    store->file_->set_path(path);
    return store;
  });
}

std::unique_ptr<ResultsStore> ResultsStore::resume(const std::string& path, const StudyPlan& plan) {
  check_plan(plan);
  return naming(path, [&] {
    if (std::error_code error; !fs::exists(path, error)) {
      throw StoreError(path, "does not exist, there is nothing to resume");
    }
    const auto difference = first_difference(stored_plan(path), plan);
    if (!difference.empty()) {
      throw PlanMismatch(path, "cannot be resumed, it was made for another run: " + difference);
    }
    auto file = std::make_unique<PosixFile>(path, PosixFile::Mode::read_write);
    file->lock();
    std::unique_ptr<ResultsStore> store(new ResultsStore(path, plan, std::move(file)));
    store->read_status();
    return store;
  });
}

ResultsStore::ResultsStore(std::string path, StudyPlan plan, std::unique_ptr<PosixFile> file)
    : path_(std::move(path)), plan_(std::move(plan)), file_(std::move(file)) {
  std::vector<std::vector<Variable>> variables;
  for (const auto& header_plan : plan_.headers) {
    variables.push_back(header_variables(plan_, header_plan));
  }
  auto offsets = locate(path_, plan_, variables);
  for (std::size_t c = 0; c < plan_.headers.size(); ++c) {
    headers_.push_back({std::move(variables[c]), std::move(offsets[c]),
                        std::vector<PointStatus>(plan_.speeds.size(), PointStatus::missing)});
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
  constexpr std::size_t chunk = std::size_t{1} << 20U;
  std::vector<std::byte> buffer;
  for (const auto& target : headers_) {
    for (std::size_t v = 0; v < target.variables.size(); ++v) {
      const auto& variable = target.variables[v];
      const std::size_t record = variable.record_bytes();
      const std::size_t records = std::min(variable.shape.front(), 1 + chunk / record);
      buffer.resize(records * record);
      for (std::size_t r = 0; r < records; ++r) variable.fill_record(buffer.data() + r * record);
      for (std::size_t first = 0; first < variable.shape.front(); first += records) {
        const std::size_t count = std::min(records, variable.shape.front() - first);
        file_->write(target.offsets[v] + first * record, std::span(buffer).first(count * record));
      }
    }
  }
  file_->sync();
}

void ResultsStore::read_status() {
  for (auto& target : headers_) {
    const std::size_t v = index_of(target.variables, status_variable);
    std::vector<std::byte> bytes(target.status.size());
    file_->read(target.offsets[v], bytes);
    for (std::size_t s = 0; s < bytes.size(); ++s) {
      const int value = std::to_integer<int>(bytes[s]);
      if (value > static_cast<int>(PointStatus::failed)) {
        throw StoreError(path_, fmt::format("holds the unknown point status {}", value));
      }
      target.status[s] = static_cast<PointStatus>(value);
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
  if (target.status[speed] != PointStatus::missing) {
    write_status(target, speed, PointStatus::missing);
  }
  std::vector<std::byte> record;
  for (std::size_t v = 0; v < target.variables.size(); ++v) {
    const auto& variable = target.variables[v];
    const auto at = record_of_speed(plan_, variable, speed);
    if (!at || variable.name == status_variable) continue;
    record.resize(variable.record_bytes());
    if (variable.name == seconds_variable) {
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
    file_->write(target.offsets[v] + *at * record.size(), record);
  }
  file_->sync();
  write_status(target, speed, status);
}

void ResultsStore::write_status(StoredHeader& target, std::size_t speed, PointStatus status) {
  const std::size_t v = index_of(target.variables, status_variable);
  const std::array<std::byte, 1> value = {static_cast<std::byte>(status)};
  file_->write(target.offsets[v] + speed, value);
  file_->sync();
  target.status[speed] = status;
}

}  // namespace pulsewright::tools
