#include "tools/dyno/measured_curve.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <numbers>

#include "cases/case_error.hpp"
#include "cases/case_text.hpp"
#include "cases/flow_bench.hpp"
#include "cases/quantity.hpp"
#include "cases/read_dyno.hpp"
#include "cases/visible_text.hpp"
#include "tools/dyno/pull_table.hpp"
#include "tools/study/verdict.hpp"

namespace pulsewright::tools {

namespace {

using models::PowerCorrection;
using models::TestAir;

// Columns of torque and power of one file agree better than that unless a unit is wrong.
constexpr double most_disagreement = 0.03;

struct PullColumns {
  std::vector<std::string> keys, headings;
};

PullColumns columns_of(const cases::DynoRecord& record) {
  PullColumns out;
  for (const auto& [key, column] : record.columns) {
    out.keys.push_back(key);
    out.headings.push_back(column.heading);
  }
  return out;
}

std::string read_pull_file(const std::filesystem::path& path, const std::string& case_file,
                           int line) {
  try {
    return cases::read_text_file(path);
  } catch (const cases::CaseError& error) {
    throw PullFileError(
        fmt::format("{}\n  named in {}, line {}", error.what(), cases::visible(case_file), line));
  }
}

// One column in SI; NaN where a cell is empty.
std::vector<double> numbers_of(const PullTable& table, std::size_t column, const std::string& key,
                               const cases::DynoColumn& named, cases::Dimension& dimension) {
  const std::string unit = named.unit.empty() ? table.unit(column) : named.unit;
  const PullCell& first = table.cell(0, column);
  if (unit.empty()) {
    table.refuse(first, fmt::format("the column '{}' has no unit; name it in brackets behind the "
                                    "heading, or as {} = \"{}\" in [dyno.units] of the case",
                                    cases::shortened(named.heading), key,
                                    key == "speed"    ? "rpm"
                                    : key == "torque" ? "N m"
                                                      : "kg/h"));
  }
  try {
    dimension = cases::dyno_dimension(key, unit);
  } catch (const cases::QuantityError& error) {
    table.refuse(first, fmt::format("unit of the column '{}': {}", cases::shortened(named.heading),
                                    error.what()));
  }
  std::vector<double> values;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const PullCell& cell = table.cell(row, column);
    if (cell.text.empty() && key != "speed") {
      values.push_back(nothing);
      continue;
    }
    if (cell.text.empty()) table.refuse(cell, "the speed is missing");
    try {
      values.push_back(cases::parse_quantity(cell.text + " " + unit, dimension));
    } catch (const cases::QuantityError& error) {
      table.refuse(cell, fmt::format("{} = '{}': {}", cases::shortened(named.heading),
                                     cases::shortened(cell.text), error.what()));
    }
    if (key == "speed" && !(values.back() > 0)) table.refuse(cell, "the engine does not turn");
  }
  return values;
}

// All columns of one pull in SI, as the file has them.
struct PullData {
  std::map<std::string, std::vector<double>, std::less<>> values;
  bool volume_of_air = false;
};

PullData read_pull(const cases::DynoRecord& record, const PullTable& table,
                   const PullColumns& columns) {
  PullData out;
  for (std::size_t i = 0; i < columns.keys.size(); ++i) {
    const std::string& key = columns.keys[i];
    cases::Dimension dimension{};
    out.values[key] = numbers_of(table, i, key, record.columns.find(key)->second, dimension);
    if (key == "air_flow") out.volume_of_air = dimension == cases::Dimension::volume_flow;
  }
  return out;
}

double flow_factor(const TestAir& from, const TestAir& to) {
  return correction_factor(PowerCorrection::sae_j607, from) /
         correction_factor(PowerCorrection::sae_j607, to);
}

// Torque from power where there is none; what both say of each other.
void complete_torque(PullData& pull, const std::string& file, std::vector<std::string>& remarks) {
  const auto power = pull.values.find("power");
  if (power == pull.values.end()) return;
  const auto& speed = pull.values["speed"];
  std::vector<double> torque;
  for (std::size_t i = 0; i < speed.size(); ++i) {
    torque.push_back(power->second[i] / (2 * std::numbers::pi * speed[i]));
  }
  const auto given = pull.values.find("torque");
  if (given == pull.values.end()) {
    pull.values["torque"] = std::move(torque);
    return;
  }
  double sum = 0, n = 0;
  for (std::size_t i = 0; i < speed.size(); ++i) {
    const double ratio = torque[i] / given->second[i];
    if (std::isfinite(ratio)) sum += ratio, n += 1;
  }
  if (n > 0 && std::abs(sum / n - 1) > most_disagreement) {
    remarks.push_back(fmt::format(
        "{}: power and torque disagree, by {:+.1f} % in the mean; torque is taken. Check the units",
        cases::visible(file), 100 * (sum / n - 1)));
  }
}

class RecordReader {
 public:
  RecordReader(const cases::CaseFile& case_file, const cases::DynoRecord& record,
               const std::filesystem::path& folder)
      : case_(case_file), record_(record), folder_(folder), air_(test_air(case_file)) {}

  MeasuredHeader read(const std::vector<double>& speeds) {
    out_.header = record_.header;
    out_.pulls = record_.pulls.size();
    for (const cases::DynoPull& pull : record_.pulls) take(pull);
    double step = speeds.size() > 1 ? std::numeric_limits<double>::infinity() : 500.0 / 60;
    for (std::size_t i = 1; i < speeds.size(); ++i)
      step = std::min(step, speeds[i] - speeds[i - 1]);
    for (const auto& [key, pulls] : samples_) {
      out_.channels[key] = models::mean_of_pulls(pulls, speeds, step);
    }
    const auto& counts = out_.channels["torque"].count;
    if (std::all_of(counts.begin(), counts.end(), [](std::size_t n) { return n == 0; })) {
      throw PullFileError(fmt::format(
          "{}: none of the speeds lies within these pulls; their speeds, or their unit, are others "
          "than those of the case",
          cases::visible(record_.pulls.front().file)));
    }
    return std::move(out_);
  }

 private:
  void take(const cases::DynoPull& pull) {
    const std::filesystem::path path = folder_ / pull.file;
    const PullColumns columns = columns_of(record_);
    const PullTable table(read_pull_file(path, case_.file_name, pull.line), path.string(),
                          columns.headings);
    PullData data = read_pull(record_, table, columns);
    complete_torque(data, pull.file, out_.remarks);
    const double factor = torque_factor(pull);
    for (const std::string key : {"torque", "air_flow", "fuel_flow", "exhaust_temperature"}) {
      const auto values = data.values.find(key);
      if (values == data.values.end()) continue;
      const double own = key == "torque" ? factor : flow_to_case(key, pull, data, table);
      models::PullSamples samples;
      for (std::size_t i = 0; i < values->second.size(); ++i) {
        if (!std::isfinite(values->second[i])) continue;
        samples.speed.push_back(data.values["speed"][i]);
        samples.value.push_back(own * values->second[i]);
      }
      samples_[key].push_back(std::move(samples));
    }
  }

  // From the file to the air of the case.
  double torque_factor(const cases::DynoPull& pull) {
    const bool observed = record_.correction == PowerCorrection::none;
    const PowerCorrection standard = observed ? PowerCorrection::sae_j1349 : record_.correction;
    const double to_standard = correction_between(record_.correction, standard, pull.air);
    for (const auto& [air, where] :
         {std::pair{pull.air, "of " + pull.file}, std::pair{air_, std::string("of the case")}}) {
      if (correction_holds(standard, air) || (!observed && where != "of the case")) continue;
      const std::string text = fmt::format(
          "{} does not claim to hold in the air {} (factor {:.3f})", correction_title(standard),
          cases::visible(where), correction_factor(standard, air));
      if (std::find(out_.remarks.begin(), out_.remarks.end(), text) == out_.remarks.end()) {
        out_.remarks.push_back(text);
      }
    }
    remark_other_air(pull);
    return to_standard * correction_between(standard, PowerCorrection::none, air_);
  }

  // Standards and engines do not agree to a tenth of a per cent on what the air does.
  void remark_other_air(const cases::DynoPull& pull) {
    constexpr double least_pressure = 1000, least_temperature = 4;  // Pa, K: some 0.5 % of torque
    if (!pull.air_known ||
        (std::abs(pull.air.pressure - air_.pressure) < least_pressure &&
         std::abs(pull.air.temperature - air_.temperature) < least_temperature)) {
      return;
    }
    const std::string text =
        "the pulls were made in other air than that of [ambient], to which a standard brings them; "
        "for a calibration give [ambient] the air of the pulls";
    if (std::find(out_.remarks.begin(), out_.remarks.end(), text) == out_.remarks.end()) {
      out_.remarks.push_back(text);
    }
  }

  double flow_to_case(const std::string& key, const cases::DynoPull& pull, const PullData& data,
                      const PullTable& table) {
    if (key == "exhaust_temperature") return 1;
    const bool volume = key == "air_flow" && data.volume_of_air;
    if (!pull.air_known) {
      if (volume) {
        table.refuse(table.cell(0, 0),
                     "the flow of air is a volume, which says nothing without "
                     "pressure and temperature of the pull in the case");
      }
      return 1;
    }
    const double density =
        pull.air.dry_pressure() / (cases::air_gas_constant * pull.air.temperature);  // kg/m3
    return (volume ? density : 1) * flow_factor(pull.air, air_);
  }

  const cases::CaseFile& case_;
  const cases::DynoRecord& record_;
  const std::filesystem::path& folder_;
  TestAir air_;
  MeasuredHeader out_;
  std::map<std::string, std::vector<models::PullSamples>, std::less<>> samples_;
};

}  // namespace

models::TestAir test_air(const cases::CaseFile& case_file) {
  return {case_file.ambient.pressure, case_file.ambient.temperature,
          case_file.combustion.water_vapour * case_file.ambient.pressure};
}

double least_scatter() { return dynamometer_repeatability / 2; }

std::vector<MeasuredHeader> read_measured(const cases::CaseFile& case_file,
                                          const std::filesystem::path& folder,
                                          const std::vector<double>& speeds) {
  std::vector<MeasuredHeader> out;
  for (const cases::DynoRecord& record : case_file.dyno) {
    out.push_back(RecordReader(case_file, record, folder).read(speeds));
  }
  return out;
}

}  // namespace pulsewright::tools
