#include "validation/case.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace pulsewright::validation {

const char* name_of(Confidence confidence) {
  switch (confidence) {
    case Confidence::original:
      return "read in the original";
    case Confidence::restated:
      return "restated";
    case Confidence::from_memory:
      return "from memory";
    case Confidence::computed:
      return "computed";
    case Confidence::common_practice:
      return "common practice, no source";
  }
  return "";
}

const char* name_of(Broken broken) {
  switch (broken) {
    case Broken::nothing:
      return "nothing";
    case Broken::first_order:
      return "first-order";
    case Broken::smeared_contact:
      return "smeared-contact";
    case Broken::area_term:
      return "area-term";
    case Broken::predictor_area:
      return "area-term-of-the-predictor";
    case Broken::friction:
      return "friction";
    case Broken::wall_heat:
      return "wall-heat";
    case Broken::enlargement:
      return "enlargement";
    case Broken::end_reflection:
      return "end-reflection";
    case Broken::end_correction:
      return "end-correction";
    case Broken::junction_momentum:
      return "junction-momentum";
    case Broken::valve_choking:
      return "valve-choking";
    case Broken::characteristics:
      return "characteristics";
    case Broken::coarse_grid:
      return "coarse-grid";
    case Broken::tuning:
      return "tuning";
  }
  return "";
}

double Figure::error() const {
  const double difference = computed - expected;
  return relative ? difference / std::abs(expected) : difference;
}

namespace {

bool within(const Figure& figure, double most) {
  switch (figure.sense) {
    case Sense::equal:
      return std::abs(figure.error()) <= most;
    case Sense::at_most:
      return figure.error() <= most;
    case Sense::at_least:
      return figure.error() >= -most;
  }
  return false;
}

}  // namespace

bool Figure::passed() const { return within(*this, tolerance); }

bool Figure::misses_goal() const { return goal && passed() && !within(*this, *goal); }

bool CaseReport::passed() const {
  return !figures.empty() &&
         std::all_of(figures.begin(), figures.end(), [](const Figure& f) { return f.passed(); });
}

const CaseEntry& find_case(const std::string& group, const std::string& name) {
  const auto& cases = all_cases();
  const auto found = std::find_if(cases.begin(), cases.end(), [&](const CaseEntry& c) {
    return c.group == group && c.name == name;
  });
  if (found == cases.end()) {
    throw std::invalid_argument("no validation case '" + group + "/" + name + "'");
  }
  return *found;
}

}  // namespace pulsewright::validation
