// Speeds from one to another in equal steps, as a case file and the command line give them.
#pragma once

#include <cstddef>
#include <vector>

namespace pulsewright::cases {

inline constexpr std::size_t most_speeds = 1000;

// Whether two speeds (rev/s) that were read from text, maybe in different units, are one.
bool same_speed(double a, double b);

struct SpeedRange {
  double from = 0, to = 0, step = 0;  // rev/s, step > 0

  bool rises() const { return from <= to; }
  // How many speeds it has. Only of one that rises.
  double count() const;
  // from, from + step, ... up to `to`, which is among them if the steps reach it. Only of a range
  // that rises and has most_speeds at most.
  std::vector<double> speeds() const;
};

}  // namespace pulsewright::cases
