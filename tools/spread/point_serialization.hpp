// A finished run of a point as bytes, to be sent from process to process of one program.
#pragma once

#include <optional>
#include <string>

#include "tools/study/study.hpp"

namespace pulsewright::tools {

// An outcome that owns its result.
struct OwnedOutcome {
  std::size_t header_index = 0;
  std::size_t speed_index = 0;
  std::optional<models::PointResult> result;
  std::string failure;
  double seconds = 0;

  PointOutcome view() const {
    return {header_index, speed_index, result ? &*result : nullptr, failure, seconds};
  }
};

// Every field, doubles to the last bit.
std::string bytes_of(const PointOutcome& outcome);

// Throws std::exception for bytes that bytes_of() did not make.
OwnedOutcome outcome_of(const std::string& bytes);

}  // namespace pulsewright::tools
