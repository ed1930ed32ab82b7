// How a run can end early.
#pragma once

#include <stdexcept>
#include <string>

#include "models/network/specification.hpp"
#include "solver/gas/fault.hpp"

namespace pulsewright::models {

// A run that could not be finished; the message says what happened, in which pipe, junction or
// cylinder, at which place, crank angle or time.
class RunFault : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

// The fault of a part of the network, whose names `network` has, in words. when: "crank angle 12.5
// deg of cycle 3, speed 6000 rpm" or "time 0.0125 s".
RunFault run_fault(const solver::Fault& fault, const NetworkSpecification& network,
                   const std::string& when);

// A number for a message: four significant digits.
std::string short_number(double value);

// Thrown when the caller requested a stop.
class RunStopped : public std::runtime_error {
 public:
  RunStopped() : std::runtime_error("stopped on request") {}
};

}  // namespace pulsewright::models
