// What a search has computed: every design with its figures, and what it was asked. Plain data, SI.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tools/search/search_space.hpp"
#include "tools/study/point_fault.hpp"

namespace pulsewright::tools {

// Of a point of a search: none where it counts.
using TrialFault = std::optional<PointFault>;

// One design at every speed.
struct Trial {
  TrialKey key;
  std::vector<double> torque, power;  // N m and W by speed; NaN where there is none
  std::vector<TrialFault> faults;     // by speed; PointFault::missing until it is computed
  std::string failure;                // at the lowest speed at which it failed

  bool complete() const;
};

// Points of `speeds` that are missing.
Trial missing_trial(TrialKey key, std::size_t speeds);

// What is asked: two files with the same can go on from each other.
struct SearchPlan {
  std::string verb;  // "sweep", "tune", "tolerance"
  std::string title;
  std::string case_file, case_text;
  std::string program_version, commit;
  std::string header;
  std::vector<std::string> variables;  // names, with what they range over
  std::vector<std::string> units;      // of their values: "m", or "1" for a place in a list
  std::vector<double> speeds;          // rev/s
  double band_from = 0, band_to = 0;   // rev/s
  double cell_size = 0;                // m
  double tolerance = 0;                // of cycle convergence
  double build_tolerance = 0;          // m
  int seed = 0;
  std::string settings;  // all else that moves a number, as text
};

struct SearchRecord {
  SearchPlan plan;
  std::string date;  // ISO 8601, UTC, of the file's first design
  std::vector<Trial> trials;
  std::string findings;  // what came of it, as JSON; empty until the search is done
};

// What differs first; empty where the one file can go on from the other. Version and commit count:
// they may move numbers.
std::string first_difference(const SearchPlan& one, const SearchPlan& other);

}  // namespace pulsewright::tools
