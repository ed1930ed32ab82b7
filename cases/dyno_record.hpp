// Measured pulls as a case file names them: which header was on the engine, where the files are,
// what their columns hold, in which air. The files themselves are not read here.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "models/dyno/power_correction.hpp"

namespace pulsewright::cases {

struct DynoColumn {
  std::string heading;  // as it stands in the files
  std::string unit;     // "lb ft"; empty = as the files say it
};

struct DynoPull {
  std::string file;        // as written; relative to the folder of the case file
  models::TestAir air;     // during the pull
  bool air_known = false;  // pressure and temperature were given
  int line = 0;            // of the case file
};

struct DynoRecord {
  std::string header;                    // name
  models::PowerCorrection correction{};  // that the files already have
  // By key of dyno.columns: "speed", "torque", ...; those that were given.
  std::map<std::string, DynoColumn, std::less<>> columns;
  std::vector<DynoPull> pulls;  // at least one
  int line = 0;                 // of the case file
};

}  // namespace pulsewright::cases
