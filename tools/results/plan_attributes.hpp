// How a plan is spelled in a results file: the one place where its parts become texts, and texts
// become parts.
//
//   part                     in the file
//   header and variant       name of the group: "equal-length", "equal-length/variants/coarse"
//   settings                 root attribute `settings`: JSON, keys as in for_each_setting()
//   groups, primary lengths  attribute `grouping` of a header: JSON
//
// Kind of header and junction law are spelled as in the case file (cases/case_file.hpp).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tools/results/study_plan.hpp"

namespace pulsewright::tools {

// Name of a run's group below /headers, and back; none for what no plan would write. Variants:
// "coarse", "merge-weak", "merge-strong", "longer", "cooler-gas", "absorbed-<number of the
// cylinder>", "length-tube-of-<number of the header>" with all parts that come from it.
std::string run_group_name(const HeaderPlan& plan);
std::string run_group_name(std::string_view header_group, const RunVariant& variant);
struct RunGroup {
  std::string header_group;
  RunVariant variant;
};
std::optional<RunGroup> parse_run_group(std::string_view name);

// "header 'equal-length' at 3000 rpm: torque and 2 more are damaged": for messages, of the
// variables of one point. A header of a variant is named as its group.
std::string damage_text(const StudyPlan& plan, std::size_t header_index, std::size_t speed_index,
                        const std::vector<std::string>& variables);

// {"courant": 0.8, ..., "band_from_hz": 75.0, ...}
std::string settings_text(const StudySettings& settings);
// Throws std::runtime_error for a text that settings_text() did not make.
StudySettings parse_settings(const std::string& text);

// {"groups": [{"name", "cylinders", "interval_deg", "position", "parts"}, ...],
//  "primary_length_m": {"<number of the cylinder>": m, ...}}
std::string grouping_text(const HeaderPlan& plan);
// Fills groups and primary_length. Throws std::runtime_error for a text that grouping_text() did
// not make.
void parse_grouping(const std::string& text, HeaderPlan& plan);

// Throw std::runtime_error for a name that this program does not know.
cases::HeaderKind parse_kind(const std::string& name);
models::JunctionLaw parse_law(const std::string& name);

}  // namespace pulsewright::tools
