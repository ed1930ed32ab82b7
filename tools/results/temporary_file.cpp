#include "tools/results/temporary_file.hpp"

#include <cerrno>
#include <charconv>
#include <csignal>
#include <filesystem>
#include <fmt/format.h>
#include <string_view>
#include <system_error>
#include <unistd.h>
#include <vector>

#include "tools/results/posix_file.hpp"

namespace pulsewright::tools {

namespace {

namespace fs = std::filesystem;

// Whether the process that a temporary name ends in has ended.
bool is_of_ended_process(std::string_view number) {
  pid_t process = 0;
  const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), process);
  if (error != std::errc() || end != number.data() + number.size() || process <= 0) return false;
  return process == ::getpid() || (::kill(process, 0) != 0 && errno == ESRCH);
}

// The lock is asked too: the process may live on another machine that shares the folder.
void clear_stale(const fs::path& target) {
  const std::string start = target.filename().string() + ".new-";
  const fs::path folder = target.has_parent_path() ? target.parent_path() : fs::path(".");
  std::vector<fs::path> stale;
  std::error_code ignored;
  for (fs::directory_iterator entry(folder, ignored), end; entry != end; entry.increment(ignored)) {
    const std::string name = entry->path().filename().string();
    if (name.starts_with(start) && is_of_ended_process(name.substr(start.size())) &&
        entry->is_regular_file(ignored) && !is_being_written(entry->path().string())) {
      stale.push_back(entry->path());
    }
  }
  for (const auto& path : stale) fs::remove(path, ignored);
}

}  // namespace

TemporaryFile::TemporaryFile(const std::string& target)
    : target_(target), path_(fmt::format("{}.new-{}", target, ::getpid())) {
  clear_stale(target);
}

TemporaryFile::~TemporaryFile() {
  std::error_code ignored;
  if (!in_place_) fs::remove(path_, ignored);
}

void TemporaryFile::put_in_place(bool replace) {
  rename_durably(path_, target_, replace);
  in_place_ = true;
}

}  // namespace pulsewright::tools
