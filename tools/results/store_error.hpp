// What goes wrong with a results file.
#pragma once

#include <stdexcept>
#include <string>

namespace pulsewright::tools {

// The file could not be made, written, opened or resumed. what() is "<path>: <reason>".
class StoreError : public std::runtime_error {
 public:
  StoreError(std::string path, std::string reason);
  const std::string& path() const { return path_; }
  const std::string& reason() const { return reason_; }

 private:
  std::string path_;
  std::string reason_;
};

// The file was made from another plan; what() names the first difference.
class PlanMismatch : public StoreError {
 public:
  using StoreError::StoreError;
};

// The file is damaged outside the values of its points; what() says where, and what to do.
class DamagedStructure : public StoreError {
 public:
  using StoreError::StoreError;
};

// The file is one of another format version; what() says which, and what to do.
class FormatVersionError : public StoreError {
 public:
  using StoreError::StoreError;
};

}  // namespace pulsewright::tools
