// The validation report as one HTML page that needs no network.
#pragma once

#include <string>
#include <vector>

#include "validation/run_cases.hpp"

namespace pulsewright::validation {

struct PageHead {
  std::string program;  // name, version and commit
  std::string date;
};

// The HTML page: a table of all cases, then text, figures and plots of each. `plots` as returned by
// draw_plots() (plots.hpp).
std::string report_page(const PageHead& head, const std::vector<CaseOutcome>& outcomes,
                        const std::vector<std::vector<std::string>>& plots);

// A number formatted for the tables.
std::string figure_number(double value);
// The tolerance with its sense: "±1 %", "at most", "at least"; with the goal where there is one:
// "±9 % (goal ±3 %)".
std::string tolerance_text(const Figure& figure);
// "pass", "misses the goal" or "fail".
const char* verdict_of(const Figure& figure);
// Computed minus expected: in per cent if relative.
std::string error_text(const Figure& figure);

}  // namespace pulsewright::validation
