// What a validation case hands back: figures held against values from outside, and curves to look
// at. A case is one function; the list of all is in all_cases.cpp.
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace pulsewright::validation {

// How sure the value from outside is.
enum class Standing {
  seen,            // read in a copy of the publication
  restated,        // read in another publication that restates it
  from_memory,     // not looked up
  computed,        // worked independently of this code from the formula of the publication
  common_practice  // a rule of the trade without a publication
};
const char* name_of(Standing standing);

struct Source {
  std::string text;  // author, title, year, table or section
  Standing standing = Standing::computed;
};

// Which way a figure may miss its value.
enum class Sense { equal, at_most, at_least };

struct Figure {
  std::string quantity;
  std::string unit;  // "" for a pure number
  double expected = 0;
  double ours = 0;
  double tolerance = 0;  // in the unit of the figure, or a share of |expected| if `relative`
  bool relative = false;
  std::string why;  // why this tolerance
  Source source;
  Sense sense = Sense::equal;

  // Ours less expected, in the unit or as a share of |expected|.
  double error() const;
  // False for a number that is none.
  bool passed() const;
};

struct Curve {
  std::string name;
  std::vector<double> x, y;
  bool points = false;  // marks instead of a line
};

struct Plot {
  std::string title, x_label, y_label;
  std::vector<Curve> curves;
  bool log_x = false, log_y = false;
};

struct CaseReport {
  std::string title;
  std::string text;  // what is computed, how, and what to know about the result; \n parts lines
  std::vector<Figure> figures;
  std::vector<Plot> plots;

  // False when a figure misses or when there is none.
  bool passed() const;
};

// A variant of the program that is wrong on purpose, to show that a case can fail. Each case knows
// those that concern it and runs unchanged for the others.
enum class Broken {
  nothing,
  first_order,        // no slopes within the cells
  smeared_contact,    // a flux that knows no contact
  area_term,          // the pressure on the walls of a taper, or a change of area, in part left out
  predictor_area,     // area with the wrong sign in the prediction, which costs the second order
  friction,           // no wall friction
  wall_heat,          // no heat through the walls
  enlargement,        // a step of area without loss of momentum
  end_reflection,     // an end that lets everything pass
  end_correction,     // an open end without its added length
  junction_momentum,  // a merge that forgets the direction of the jets
  valve_choking,      // a valve that never chokes
  characteristics,    // a slip in the method of characteristics
  coarse_grid,        // finest grids that are not fine
  tuning              // pipes that send nothing back to the cylinder
};
const char* name_of(Broken broken);

struct CaseEntry {
  std::string group, name;
  CaseReport (*run)(Broken) = nullptr;
  bool is_long = false;  // takes more than about ten seconds
};

// All cases by group, in the order of the report.
const std::vector<CaseEntry>& all_cases();

// Broken variants that must make a figure of their case miss: at least one for each group.
struct BrokenVariant {
  std::string group, name;  // of the case
  Broken broken = Broken::nothing;
};
const std::vector<BrokenVariant>& broken_variants();

// The case of that group and name; throws std::invalid_argument when there is none.
const CaseEntry& find_case(const std::string& group, const std::string& name);

}  // namespace pulsewright::validation
