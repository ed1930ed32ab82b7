#include "tools/search/search_record.hpp"

#include <algorithm>
#include <limits>

namespace pulsewright::tools {

bool Trial::complete() const {
  return std::none_of(faults.begin(), faults.end(),
                      [](const TrialFault& fault) { return fault == PointFault::missing; });
}

Trial missing_trial(TrialKey key, std::size_t speeds) {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  Trial trial;
  trial.key = std::move(key);
  trial.torque.assign(speeds, nan);
  trial.power.assign(speeds, nan);
  trial.faults.assign(speeds, PointFault::missing);
  return trial;
}

std::string first_difference(const SearchPlan& one, const SearchPlan& other) {
  if (one.verb != other.verb) return "verb";
  if (one.case_text != other.case_text) return "case file";
  if (one.program_version != other.program_version || one.commit != other.commit) {
    return "version of the program";
  }
  if (one.header != other.header) return "header";
  if (one.variables != other.variables) return "variables";
  if (one.speeds != other.speeds) return "speeds";
  if (one.band_from != other.band_from || one.band_to != other.band_to) return "band";
  if (one.cell_size != other.cell_size) return "cell size";
  if (one.tolerance != other.tolerance) return "tolerance of convergence";
  if (one.build_tolerance != other.build_tolerance) return "build tolerance";
  if (one.seed != other.seed) return "seed";
  if (one.settings != other.settings) return "settings";
  return {};
}

}  // namespace pulsewright::tools
