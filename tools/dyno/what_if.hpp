// What other air and another fuel make of torque, and whether the best length of the primaries
// moves: the case run again with each change, on coarse cells, beside the factors of the standards.
//
// Best length: of three lengths of all primaries - as built, shorter and longer by a tenth - the
// top of the parabola through the mean torque over the band. Its resolution is what the accuracy to
// which cycles repeat makes of the top; that of the cells is common to all changes.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "models/dyno/power_correction.hpp"

namespace pulsewright::tools {

struct Change {
  std::string words;  // "altitude 1500 m"
  std::vector<cases::Override> overrides;
  bool fuel = false;  // changes the fuel: no standard speaks of that
};

// Changes of a case, by the texts that a case file would have. Altitude: pressure of the standard
// atmosphere there, the temperature stays. Fuel: that of the table of fuels, in the mixture for
// power. altitude_change() and temperature_change() throw QuantityError for a text that is no such
// quantity; the others are judged where the case is read.
Change altitude_change(const std::string& height);
Change temperature_change(const std::string& temperature);
Change humidity_change(const std::string& relative);
Change fuel_change(const std::string& fuel);
// All of them at once.
Change together(const std::vector<Change>& changes);

struct BestLength {
  double shift = 0;       // m, of the mean length, from that which is built
  double resolution = 0;  // m, plus or minus
};

struct ChangeOutcome {
  std::string words;
  models::TestAir air;
  bool fuel = false;
  std::vector<double> torque;  // N m by speed, lengths as built; NaN where a run is no result
  double mean = 0;             // N m, over the band
  double change = 0;           // relative, of the mean, to the case as it is
  // What observed torque changes by according to a standard; none with another fuel.
  std::optional<double> sae_j1349, iso_1585, sae_j607;
  bool standards_hold = true;  // SAE J1349 and ISO 1585 claim to hold in both airs
  // None where the parabola has no top between the lengths, or lengths cannot be changed.
  std::optional<BestLength> best;
  std::string no_best;  // what the best length then is: "is not known: a run is no result"
  std::vector<std::string> faults;
};

struct WhatIf {
  std::string title, header;
  std::vector<double> speeds;  // rev/s
  double length = 0;           // m, mean of the primaries as built; 0 where there are none
  double length_step = 0;      // m
  double cell_size = 0;        // m
  ChangeOutcome base;          // the case as it is
  std::vector<ChangeOutcome> changes;
};

struct WhatIfOptions {
  std::string header;          // name
  std::vector<double> speeds;  // rev/s; empty = up to seven of the case within its band
  double cell_size = 0;        // m; 0 = three times that of the case
  unsigned jobs = 1;
  std::function<bool()> keep_going;
  std::function<void(std::size_t)> begin;  // number of runs, before the first
  std::function<void()> run_done;
};

// Throws CaseError where the changed case is refused or has no such header; std::invalid_argument
// where a header cannot be built as it is, or no speed is given and none of the case lies within
// its band; RunStopped.
WhatIf what_if(const cases::CaseFile& case_file, const std::vector<Change>& changes,
               const WhatIfOptions& options);

// The top of the parabola through values at -step, 0 and step; noise: of each value, plus or
// minus. None where it opens upward, or its top lies beyond 1.5 steps.
std::optional<BestLength> top_of_parabola(double below, double at, double above, double step,
                                          double noise);

}  // namespace pulsewright::tools
