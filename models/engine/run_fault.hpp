// How a run can end early.
#pragma once

#include <stdexcept>

namespace pulsewright::models {

// A run that could not be finished; the message names part, place, quantity, crank angle or time.
class RunFault : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

// Thrown when the caller requested a stop.
class RunStopped : public std::runtime_error {
 public:
  RunStopped() : std::runtime_error("stopped on request") {}
};

}  // namespace pulsewright::models
