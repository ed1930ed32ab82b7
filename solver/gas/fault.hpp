// Thrown when the gas can no longer be computed, with place and time.
#pragma once

#include <stdexcept>
#include <string>

namespace pulsewright::solver {

class Fault : public std::runtime_error {
 public:
  // part: pipe, junction or cylinder; quantity and value: what went wrong; place: m from the left
  // end, or negative where it has no meaning. Time in s is filled in by the caller that knows it.
  Fault(std::string part, const std::string& quantity, double value, double place)
      : std::runtime_error("in '" + part + "'" +
                           (place >= 0 ? " at " + std::to_string(place) + " m" : std::string()) +
                           ": " + quantity + " = " + std::to_string(value)),
        part_(std::move(part)),
        quantity_(quantity),
        value_(value),
        place_(place) {}

  const std::string& part() const { return part_; }
  const std::string& quantity() const { return quantity_; }
  double value() const { return value_; }
  double place() const { return place_; }

 private:
  std::string part_, quantity_;
  double value_, place_;
};

}  // namespace pulsewright::solver
