// What was measured with one header: the pulls of a table [[dyno]], averaged on common speeds and
// brought to the air of the case.
//
// Torque as corrected by a standard is that in the air of the standard; the same factor, the other
// way round, brings it to the air of the case. What is as observed is corrected by SAE J1349 in
// between. Air and fuel flow go with the dry density of the air and the root of its temperature
// ([saej1974]: p_d / sqrt(T)), where the air of the pull is known.
#pragma once

#include <filesystem>
#include <limits>
#include <map>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "models/dyno/mean_pull.hpp"

namespace pulsewright::tools {

inline constexpr double nothing = std::numeric_limits<double>::quiet_NaN();  // no value

// By key of dyno.columns: torque in N m, air_flow and fuel_flow in kg/s, exhaust_temperature in K.
using Channels = std::map<std::string, models::MeanPull, std::less<>>;

struct MeasuredHeader {
  std::string header;
  Channels channels;  // torque always
  std::size_t pulls = 0;
  std::vector<std::string> remarks;
};

// The air of the case before the engine.
models::TestAir test_air(const cases::CaseFile& case_file);

// Relative standard deviation that single pulls are taken to have at least: half of what a
// dynamometer repeats.
double least_scatter();

// The files of every record of the case. speeds: rev/s, ascending; folder: what the names of the
// files are relative to. Throws PullFileError: a file that is missing, or no such table, or has a
// cell that is no quantity; a unit that nobody names; no speed within reach of a pull.
std::vector<MeasuredHeader> read_measured(const cases::CaseFile& case_file,
                                          const std::filesystem::path& folder,
                                          const std::vector<double>& speeds);

}  // namespace pulsewright::tools
