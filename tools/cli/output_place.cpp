#include "tools/cli/output_place.hpp"

#include <cerrno>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <span>
#include <stdexcept>
#include <system_error>

#include "cases/visible_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/results/posix_file.hpp"
#include "tools/results/store_error.hpp"
#include "tools/results/temporary_file.hpp"

namespace pulsewright::tools {

namespace {

namespace fs = std::filesystem;

void try_beside(const std::string& path) {
  const TemporaryFile trial(path);
  const PosixFile file(trial.path(), PosixFile::Mode::create_new);
}

// Throws StoreError.
void try_to_write(const std::string& path, Writing writing) {
  const bool exists = fs::exists(path);
  // Devices and pipes take what is written and are not to be tried.
  if (exists && fs::is_regular_file(path)) const PosixFile file(path, PosixFile::Mode::read_write);
  if (writing == Writing::beside) try_beside(path);
  if (exists || writing == Writing::beside) return;
  { const PosixFile trial(path, PosixFile::Mode::create_new); }
  std::error_code ignored;
  fs::remove(path, ignored);
}

}  // namespace

void require_writable(std::string_view option, const std::string& path, Writing writing) {
  const auto refuse = [&](const std::string& reason) {
    throw UsageError(fmt::format("{} '{}': {}", option, path, reason));
  };
  std::error_code error;
  const std::string target = target_of_link(path);
  const auto folder = fs::absolute(target, error).parent_path();
  if (!fs::is_directory(folder, error)) {
    refuse(fmt::format("there is no folder '{}' (No such file or directory)", folder.string()));
  }
  const auto status = fs::status(target, error);
  if (fs::is_directory(status)) refuse("is a folder; name a file");
  if (writing == Writing::beside && fs::exists(status) && !fs::is_regular_file(status)) {
    refuse("exists and is no regular file");
  }
  try {
    try_to_write(target, writing);
  } catch (const StoreError& failure) {
    refuse(failure.reason());
  } catch (const fs::filesystem_error& failure) {
    refuse(failure.code().message());
  }
}

void refuse_existing(std::string_view verb, const std::string& path) {
  std::error_code ignored;
  if (fs::exists(fs::symlink_status(path, ignored))) {
    throw UsageError(fmt::format("{}: {} exists and is left as it is; name another file", verb,
                                 cases::shortened(path)));
  }
}

void write_new(const std::string& path, const std::string& text) {
  TemporaryFile temporary(path);
  {
    PosixFile file(temporary.path(), PosixFile::Mode::create_new);
    file.write(0, std::as_bytes(std::span(text)));
    file.sync();
  }
  temporary.put_in_place(false);
}

void write_text(std::string_view option, const std::string& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
  file.close();
  if (!file) {
    throw std::runtime_error(fmt::format("{} '{}' cannot be written: {}", option, path,
                                         std::generic_category().message(errno)));
  }
}

}  // namespace pulsewright::tools
