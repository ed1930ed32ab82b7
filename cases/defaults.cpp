#include "cases/defaults.hpp"

#include <fmt/format.h>
#include <string>
#include <string_view>

#include "cases/parameters.hpp"

namespace pulsewright::cases {
namespace {

struct Row {
  std::string_view section, key;
  std::string_view least, greatest;  // as they would be written
  std::string_view reason;
};

// The ranges are common practice, no source, unless one is named.
constexpr Row rows[] = {
    {"ambient", "pressure", "970 mbar", "1040 mbar", "weather at sea level; or give altitude"},
    {"ambient", "temperature", "0 degC", "35 degC", "the day"},
    {"ambient", "relative_humidity", "0", "0.9", "the day"},
    {"engine", "scavenge_displacement", "0", "0.5", "how charge and residual gas meet in overlap"},
    {"combustion", "efficiency", "0.88", "0.97",
     "Heywood (1988), section 3.5.4: 0.95 to 0.98 lean"},
    {"combustion", "burned_50", "5 deg ATDC", "15 deg ATDC", "best spark advance, or held back"},
    {"combustion", "duration", "40 deg", "70 deg", "compact or open chamber"},
    {"combustion", "evaporated_in_cylinder", "0", "0.3",
     "how much fuel is still liquid at the valve"},
    {"cylinder_heat", "multiplier", "0.7", "1.4", "the spread of the correlations"},
    {"friction", "constant", "0.2 bar", "0.7 bar", "rings, bearings and accessories"},
    {"intake", "entry_loss", "0.03", "0.5", "bellmouth, or a sharp edge"},
    {"intake", "entry_area_ratio", "0.9", "1", "throttle plate and spindle in the entry"},
    {"intake", "wall_temperature", "20 degC", "90 degC", "manifold in the air, or heated by oil"},
    {"exhaust", "heat_multiplier", "0.7", "1.5", "the spread of the correlations"},
    {"exhaust", "finish", "bare", "wrapped", "outside of the tubes"},
    {"exhaust", "roughness", "0.002 mm", "0.1 mm", "drawn stainless tube, or scaled steel"},
    {"exhaust", "merge_half_angle", "7 deg", "20 deg", "long merge collector, or a formed one"},
};

void note_fuel_mixture(const CaseFile& case_file, Problems& problems) {
  // From the leanest to the richest mixture that is tuned for power: 13.5 to 12.2 of petrol.
  constexpr double richest = 12.2 / 12.8, leanest = 13.5 / 12.8;
  const double ratio = case_file.combustion.air_fuel_ratio;
  const auto text = [&](double factor) { return fmt::format("{:.3g}", factor * ratio); };
  problems.assume("combustion.air_fuel_ratio",
                  {"", text(1), text(richest), text(leanest), "tuned for power", Dimension::none});
}

void note_valve(const std::string& valve, Problems& problems) {
  const auto has = [&](const char* name) { return problems.has(valve + name); };
  if (has(".cam")) {
    if (!has(".cam.lash") && !has(".cam.follower")) {
      problems.assume(valve + ".cam.lash",
                      {"", "0 mm", "0 mm", "0.3 mm", "hydraulic, or solid", Dimension::length});
    }
    if (!has(".cam.rocker_ratio")) {
      problems.assume(
          valve + ".cam.rocker_ratio",
          {"", "1", "1", "1.6", "cam on the valve, or rockers on pushrods", Dimension::none});
    }
  }
  if (has(".flow.forward") && !has(".flow.reverse")) {
    problems.assume(valve + ".flow.reverse",
                    {"", "as forward", "", "", "benches show 5 to 15 % less", Dimension::none});
  }
}

}  // namespace

void note_defaults(const CaseFile& case_file, Problems& problems) {
  if (!case_file.has_engine()) return;
  for (const Row& row : rows) {
    const std::string path = fmt::format("{}.{}", row.section, row.key);
    if (problems.has(path) || (row.key == "pressure" && problems.has("ambient.altitude"))) continue;
    // A throttle of each runner gives the entry.
    if (row.key == "entry_area_ratio" &&
        (problems.has("intake.throttle_area") || problems.has("intake.throttle_flow"))) {
      continue;
    }
    const Parameter& parameter = *find_parameter(row.section, row.key);
    problems.assume(path,
                    {"", default_text(parameter), std::string(row.least), std::string(row.greatest),
                     std::string(row.reason), parameter.dimension});
  }
  if (!problems.has("combustion.air_fuel_ratio")) note_fuel_mixture(case_file, problems);
  note_valve("exhaust_valve", problems);
  note_valve("intake_valve", problems);
  if (!problems.has("exhaust.port_length")) {
    problems.assume(
        "exhaust.port_length",
        {"", "0 mm", "", "", "no port in the head: tubes count from the valve", Dimension::length});
  }
}

}  // namespace pulsewright::cases
