// The result of a validation case: computed figures compared with reference values, tables and
// plots. A case is one function; all_cases.cpp lists them all.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace pulsewright::validation {

// Where a reference value was read, that is, how far it can be trusted.
enum class Confidence {
  original,        // read in a copy of the publication itself
  restated,        // read in another publication that restates it
  from_memory,     // not looked up
  computed,        // evaluated independently of this code from the formula of the publication
  common_practice  // a rule of the trade without a publication
};
const char* name_of(Confidence confidence);

struct Source {
  std::string text;  // author, title, year, table or section
  Confidence confidence = Confidence::computed;
};

// How a computed value is compared with its reference: two-sided or one-sided.
enum class Sense { equal, at_most, at_least };

struct Figure {
  std::string quantity;
  std::string unit;  // "" for a pure number
  double expected = 0;
  double computed = 0;
  double tolerance = 0;  // in the unit of the figure, or a fraction of |expected| if `relative`
  bool relative = false;
  std::string why;  // why this tolerance
  Source source;
  Sense sense = Sense::equal;
  // What the model should reach, where it does not yet: smaller than the tolerance, in the same
  // unit. The tolerance then states by how much it is missed.
  std::optional<double> goal = std::nullopt;

  // Computed minus expected, in the unit or as a fraction of |expected|.
  double error() const;
  // False for NaN.
  bool passed() const;
  // Passed, but beyond the goal.
  bool misses_goal() const;
};

struct Curve {
  std::string name;
  std::vector<double> x, y;
  bool points = false;  // markers instead of a line
};

struct Plot {
  std::string title, x_label, y_label;
  std::vector<Curve> curves;
  bool log_x = false, log_y = false;
};

// Values that belong to the result but are not held to a tolerance.
struct Table {
  std::string title;
  std::vector<std::string> columns;
  std::vector<std::vector<std::string>> rows;  // as long as columns
};

struct CaseReport {
  std::string title;
  std::string text;  // what is computed, how, and known limits of the result; \n breaks lines
  std::vector<Figure> figures;
  std::vector<Plot> plots;
  std::vector<Table> tables = {};

  // False when a figure fails or when there are no figures.
  bool passed() const;
};

// A deliberately wrong variant of the program, to show that a case can fail (a mutation test). Each
// case implements the variants that concern it and runs unchanged for the others.
enum class Broken {
  nothing,
  first_order,        // no reconstruction: cell averages as face states
  smeared_contact,    // a numerical flux that does not resolve contacts (HLL)
  area_term,          // part of the wall-pressure term of a taper, or of a change of area, left out
  predictor_area,     // area term with the wrong sign in the predictor, which loses second order
  friction,           // no wall friction
  wall_heat,          // no heat through the walls
  enlargement,        // a sudden enlargement without the Borda-Carnot loss
  end_reflection,     // an end without reflection
  end_correction,     // an open end without its end correction
  junction_momentum,  // a merge that ignores the direction of the jets
  valve_choking,      // a valve that never chokes
  characteristics,    // an error in the method of characteristics
  coarse_grid,        // the finest grids replaced by coarse ones
  tuning              // pipes without reflection to the cylinder
};
const char* name_of(Broken broken);

struct CaseEntry {
  std::string group, name;
  std::function<CaseReport(Broken)> run;
  bool is_long = false;  // takes more than about ten seconds
};

// All cases by group, in the order of the report.
const std::vector<CaseEntry>& all_cases();

// Broken variants that must make their case fail: at least one for each group.
struct BrokenVariant {
  std::string group, name;  // of the case
  Broken broken = Broken::nothing;
};
const std::vector<BrokenVariant>& broken_variants();

// The case of that group and name; throws std::invalid_argument if no such case exists.
const CaseEntry& find_case(const std::string& group, const std::string& name);

}  // namespace pulsewright::validation
