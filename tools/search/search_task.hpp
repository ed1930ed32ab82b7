// What a search is asked to do, in the form that all of its verbs share: case, header, variables,
// speeds, grid. From it follow the plan of the file, the space of designs, and who computes them.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cases/case_file.hpp"
#include "tools/search/aims.hpp"
#include "tools/search/search_record.hpp"
#include "tools/search/search_space.hpp"
#include "tools/search/trial_source.hpp"

namespace pulsewright::tools {

// Cycles of a search need not repeat as well as those of other runs: accelerated, with this many
// times their tolerance, torque is off by 0.02 N m of 500 (root mean square), without by 0.013 at
// the tolerance itself (eight own lengths, 30 mm cells).
inline constexpr double coarser_tolerance = 3;

struct SearchOptions {
  std::string verb;
  std::optional<std::string> header;              // name; none = that of [tune], or the first
  std::vector<double> speeds;                     // rev/s; empty = those of the case in the band
  std::optional<std::pair<double, double>> band;  // rev/s; none = that of the case
  std::vector<double>
      other_edges;       // rev/s, of other bands that the speeds of the case are to reach
  double cell_size = 0;  // m; 0 = those of the coarse grid, which differences between designs
                         // hardly depend on
  double tolerance = 0;  // of cycle convergence; 0 = coarser_tolerance times that of the case
  // That the search changes; sizes and orders that are left out are those of the header.
  std::vector<cases::DesignVariable> variables;
  // Primaries are held within tune.fits; a map and slopes also tell of what does not fit.
  bool holds_fits = false;
  BuildErrors errors = BuildErrors::two_valued;
  std::optional<int> seed;  // none = that of [tune]
  std::string settings;     // see SearchPlan
};

class SearchTask {
 public:
  // The case must outlive it. Throws CaseError for a header that does not exist,
  // std::invalid_argument for what cannot be searched: a case of pipes only, a network, a band
  // without speeds, a variable that the header has not got.
  SearchTask(const cases::CaseFile& case_file, SearchOptions options);

  const cases::CaseFile& case_file() const { return case_; }
  const SearchPlan& plan() const { return plan_; }
  const SearchSpace& space() const { return space_; }
  const std::vector<double>& speeds() const { return plan_.speeds; }  // rev/s
  Band band() const { return {plan_.band_from, plan_.band_to}; }

  // For threads of this process.
  DesignEvaluator evaluator(unsigned jobs) const;

 private:
  const cases::CaseFile& case_;
  SearchPlan plan_;
  SearchSpace space_;
};

// The header that a search begins with: by name, or that of [tune], or the first. Throws CaseError.
const cases::HeaderDesign& searched_header(const cases::CaseFile& case_file,
                                           const std::optional<std::string>& name);

// What a variable ranges over, for the file: "primary length 1+3 from 0.7112 to 0.9144".
std::string range_text(const cases::DesignVariable& variable);

}  // namespace pulsewright::tools
