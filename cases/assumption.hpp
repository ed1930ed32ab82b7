// What a case file leaves out and the reader takes instead, where it matters to the result.
#pragma once

#include <string>

#include "cases/quantity.hpp"

namespace pulsewright::cases {

struct Assumption {
  std::string key;    // full name, e.g. "combustion.burned_50"
  std::string value;  // taken, as it would be written in the file, without quotes
  // Ends of the range that engines have, as they would be written; empty where no one value of the
  // key stands for them.
  std::string least, greatest;
  std::string reason;                     // why this value and range, or what is assumed
  Dimension dimension = Dimension::none;  // of the values
};

}  // namespace pulsewright::cases
