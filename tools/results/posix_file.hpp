// A file descriptor with errors that name the file and the system's reason.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>

namespace pulsewright::tools {

class PosixFile {
 public:
  enum class Mode { read_only, read_write, create_new };
  // Throws StoreError. create_new fails if the file exists.
  PosixFile(const std::string& path, Mode mode);
  ~PosixFile();
  PosixFile(const PosixFile&) = delete;
  PosixFile& operator=(const PosixFile&) = delete;

  // Errors speak of this path from now on: the file was renamed.
  void set_path(const std::string& path) { path_ = path; }

  // Takes the one write lock of the file; throws StoreError if another process or another store
  // of this process holds it. Readers are not held up: HDF5 uses another kind of lock.
  void lock();

  // Whole transfers at a byte offset; throw StoreError.
  void write(std::uint64_t offset, std::span<const std::byte> bytes);
  void read(std::uint64_t offset, std::span<std::byte> bytes) const;

  // Returns once the data is on the disk; throws StoreError.
  void sync();
  std::uint64_t size() const;

 private:
  std::string path_;
  int descriptor_ = -1;
};

// The file itself where a symbolic link is given, so that renaming does not replace the link.
std::string target_of_link(const std::string& path);

// True if a store, here or in another process, has the file open for writing.
bool is_being_written(const std::string& path);

// Moves a file over another name in the same folder so that a crash leaves either the old or the
// new one there. Without `replace` an existing target is an error. Throws StoreError for `to`.
void rename_durably(const std::string& from, const std::string& to, bool replace);

// Throws StoreError if the file system has less than this left for the user.
void require_space(const std::string& path, std::uint64_t bytes);

}  // namespace pulsewright::tools
