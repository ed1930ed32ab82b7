// A file under its temporary name, "<target>.new-<process>", until it is complete.
#pragma once

#include <string>

namespace pulsewright::tools {

class TemporaryFile {
 public:
  // Clears what processes that were killed while they made the same target have left behind; makes
  // no file yet.
  explicit TemporaryFile(const std::string& target);
  // Takes the file away again unless it was put in place.
  ~TemporaryFile();
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;

  const std::string& path() const { return path_; }
  // Gives the file its name; see rename_durably(). Throws StoreError.
  void put_in_place(bool replace);

 private:
  std::string target_;
  std::string path_;
  bool in_place_ = false;
};

}  // namespace pulsewright::tools
