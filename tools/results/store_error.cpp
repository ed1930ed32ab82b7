#include "tools/results/store_error.hpp"

#include <utility>

namespace pulsewright::tools {

StoreError::StoreError(std::string path, std::string reason)
    : std::runtime_error(path + ": " + reason),
      path_(std::move(path)),
      reason_(std::move(reason)) {}

}  // namespace pulsewright::tools
