#include "tools/results/posix_file.hpp"

#include <cerrno>
#include <cstdio>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <system_error>
#include <unistd.h>

#include "tools/results/store_error.hpp"

namespace pulsewright::tools {

namespace {

std::string system_reason(const std::string& action) {
  return action + ": " + std::generic_category().message(errno);
}

std::string folder_of(const std::string& path) {
  const auto folder = std::filesystem::path(path).parent_path().string();
  return folder.empty() ? "." : folder;
}

// An open-file-description lock: it belongs to this descriptor and goes with it, kill included.
struct flock write_lock() {
  struct flock lock {};
  lock.l_type = F_WRLCK;
  lock.l_whence = SEEK_SET;
  return lock;
}

}  // namespace

PosixFile::PosixFile(const std::string& path, Mode mode) : path_(path) {
  const int access = mode == Mode::read_only ? O_RDONLY : O_RDWR;
  const int creation = mode == Mode::create_new ? O_CREAT | O_EXCL : 0;
  descriptor_ = ::open(path.c_str(), access | O_CLOEXEC | creation, 0666);
  if (descriptor_ >= 0) return;
  throw StoreError(path_, system_reason(mode == Mode::read_only ? "cannot be opened"
                                                                : "cannot be opened for writing"));
}

PosixFile::~PosixFile() { ::close(descriptor_); }

void PosixFile::lock() {
  struct flock lock = write_lock();
  if (::fcntl(descriptor_, F_OFD_SETLK, &lock) == 0) return;
  if (errno == EAGAIN || errno == EACCES) {
    throw StoreError(path_, "another run is writing to it; wait for it or choose another file");
  }
  // Some network file systems know no locks: work on, as without a second run it is not needed.
}

void PosixFile::write(std::uint64_t offset, std::span<const std::byte> bytes) {
  while (!bytes.empty()) {
    const auto count =
        ::pwrite(descriptor_, bytes.data(), bytes.size(), static_cast<off_t>(offset));
    if (count < 0 && errno == EINTR) continue;
    if (count <= 0) throw StoreError(path_, system_reason("cannot be written"));
    bytes = bytes.subspan(static_cast<std::size_t>(count));
    offset += static_cast<std::uint64_t>(count);
  }
}

void PosixFile::read(std::uint64_t offset, std::span<std::byte> bytes) const {
  while (!bytes.empty()) {
    const auto count = ::pread(descriptor_, bytes.data(), bytes.size(), static_cast<off_t>(offset));
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) throw StoreError(path_, system_reason("cannot be read"));
    if (count == 0) throw StoreError(path_, "ends too early");
    bytes = bytes.subspan(static_cast<std::size_t>(count));
    offset += static_cast<std::uint64_t>(count);
  }
}

void PosixFile::sync() {
  if (::fdatasync(descriptor_) != 0) {
    throw StoreError(path_, system_reason("cannot be brought to the disk"));
  }
}

std::uint64_t PosixFile::size() const {
  struct stat status {};
  if (::fstat(descriptor_, &status) != 0) {
    throw StoreError(path_, system_reason("cannot be examined"));
  }
  return static_cast<std::uint64_t>(status.st_size);
}

std::string target_of_link(const std::string& path) {
  std::error_code error;
  if (!std::filesystem::is_symlink(path, error)) return path;
  const auto target = std::filesystem::weakly_canonical(path, error);
  return error ? path : target.string();
}

bool is_being_written(const std::string& path) {
  const int descriptor = ::open(path.c_str(), O_RDWR | O_CLOEXEC);
  if (descriptor < 0) return false;
  struct flock lock = write_lock();
  const bool queried = ::fcntl(descriptor, F_OFD_GETLK, &lock) == 0;
  ::close(descriptor);
  return queried && lock.l_type != F_UNLCK;
}

void rename_durably(const std::string& from, const std::string& to, bool replace) {
  int result = ::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(),
                           replace ? 0U : unsigned{RENAME_NOREPLACE});
  if (result != 0 && !replace && errno == EINVAL) {
    // The file system cannot refuse an existing target by itself.
    std::error_code ignored;
    if (std::filesystem::exists(to, ignored)) {
      errno = EEXIST;
    } else {
      result = ::rename(from.c_str(), to.c_str());
    }
  }
  if (result != 0) throw StoreError(to, system_reason("cannot be put in place"));
  const int folder = ::open(folder_of(to).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (folder < 0) throw StoreError(to, system_reason("its folder cannot be opened"));
  const int synced = ::fsync(folder);
  const int reason = errno;
  ::close(folder);
  // EINVAL: the file system has nothing to synchronise for a folder.
  if (synced != 0 && reason != EINVAL) {
    errno = reason;
    throw StoreError(to, system_reason("its folder cannot be brought to the disk"));
  }
}

void require_space(const std::string& path, std::uint64_t bytes) {
  struct statvfs status {};
  if (::statvfs(folder_of(path).c_str(), &status) != 0) return;  // the write itself will report it
  const std::uint64_t free = std::uint64_t{status.f_bavail} * status.f_frsize;
  if (free < bytes) {
    throw StoreError(
        path, fmt::format("no space left on the disk: {:.1f} MB are needed, {:.1f} MB "
                          "are free; free some, or choose another folder",
                          static_cast<double>(bytes) / 1e6, static_cast<double>(free) / 1e6));
  }
}

}  // namespace pulsewright::tools
