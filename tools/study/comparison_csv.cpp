#include "tools/study/comparison_csv.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "tools/study/comparison_words.hpp"
#include "tools/study/csv_table.hpp"

namespace pulsewright::tools {

namespace {

struct Column {
  const char* name;  // "{}" is the unit
  double models::PointResult::*member;
  ShownIn shown_in;
  int digits;
};

constexpr std::array csv_columns{
    Column{"torque, {}", &models::PointResult::torque, ShownIn::torque, 2},
    Column{"power, {}", &models::PointResult::power, ShownIn::power, 2},
    Column{"volumetric efficiency (air through the intake), {}",
           &models::PointResult::volumetric_efficiency, ShownIn::percent, 2},
    Column{"charging efficiency (air trapped), {}", &models::PointResult::charging_efficiency,
           ShownIn::percent, 2},
    Column{"residual gas, {}", &models::PointResult::residual_fraction, ShownIn::percent, 3},
    Column{"pressure at the exhaust valve during overlap, {} absolute",
           &models::PointResult::overlap_exhaust_pressure, ShownIn::pressure, 3},
    Column{"lowest pressure at the exhaust valve, {} absolute", &models::PointResult::depression,
           ShownIn::pressure, 3}};

std::string value_or_empty(double value, int digits) {
  return std::isfinite(value) ? fmt::format("{:.{}f}", value, digits) : "";
}

class CsvWriter {
 public:
  CsvWriter(const StudyResults& results, const Comparison& comparison, UnitSystem system)
      : results_(results), comparison_(comparison), system_(system), units_(system) {
    for (const cases::HeaderPart part : cases::header_parts) {
      const auto has_part = [&](const PairwiseComparison& pair) {
        return pair.split && std::any_of(pair.split->shares.begin(), pair.split->shares.end(),
                                         [&](const PartShare& s) { return s.part == part; });
      };
      if (std::any_of(comparison.pairs.begin(), comparison.pairs.end(), has_part)) {
        split_.push_back(part);
      }
    }
  }

  std::string write() {
    add("header");
    add("speed, rpm");
    add("counts");
    for (const Column& column : csv_columns) {
      add(fmt::format(fmt::runtime(column.name), units_.of(column.shown_in).name));
    }
    add(system_ == UnitSystem::metric ? "exhaust temperature at the port, degC"
                                      : "exhaust temperature at the port, degF");
    add(system_ == UnitSystem::metric ? "fuel, kg/h" : "fuel, lb/h");
    for (const cases::HeaderPart part : split_) {
      add(fmt::format("of the torque less that of {}: {}, {}",
                      comparison_.headers[comparison_.ranking.front()].name,
                      ComparisonWords::part(part), units_.torque.name));
    }
    end_row();
    for (std::size_t h = 0; h < comparison_.headers.size(); ++h) {
      for (std::size_t s = 0; s < comparison_.speeds.size(); ++s) row(h, s);
    }
    return table_.text();
  }

 private:
  void add(const std::string& cell) { table_.add(cell); }
  void end_row() { table_.end_row(); }

  void row(std::size_t header, std::size_t s) {
    const HeaderFigures& figures = comparison_.headers[header];
    add(figures.name);
    add(fmt::format("{:.6g}", 60.0 * comparison_.speeds[s]));
    std::string counts = "yes";
    for (const ExcludedPoint& point : figures.excluded) {
      if (point.speed == comparison_.speeds[s]) counts = fault_name(point.fault);
    }
    add(counts);
    const auto& result = results_.headers()[header].production.points[s].result;
    for (const Column& column : csv_columns) {
      add(result ? value_or_empty((*result).*column.member * units_.of(column.shown_in).factor,
                                  column.digits)
                 : "");
    }
    constexpr double pounds = 1.0 / 0.45359237;  // NIST Special Publication 811 (2008)
    const double mass = system_ == UnitSystem::metric ? 1.0 : pounds;
    add(result ? value_or_empty(shown_temperature(system_, result->exhaust_temperature), 1) : "");
    add(result ? value_or_empty(3600.0 * mass * result->fuel_flow, 3) : "");
    for (const cases::HeaderPart part : split_) add(share(header, comparison_.speeds[s], part));
    end_row();
  }

  // What the part makes of the difference to the best header at a speed; empty where that is not
  // known.
  std::string share(std::size_t header, double speed, cases::HeaderPart part) const {
    const std::size_t best = comparison_.ranking.front();
    if (header == best) return "";
    const auto split = comparison_.between(header, best).split;
    if (!split) return "";
    for (const auto& at : split->speeds) {
      if (at.speed != speed) continue;
      for (std::size_t i = 0; i < split->shares.size(); ++i) {
        if (split->shares[i].part == part)
          return value_or_empty(at.torque[i] * units_.torque.factor, 2);
      }
      return value_or_empty(0, 2);  // the same in both
    }
    return "";
  }

  const StudyResults& results_;
  const Comparison& comparison_;
  UnitSystem system_;
  DisplayUnits units_;
  std::vector<cases::HeaderPart> split_;  // parts that make a difference to the best header
  CsvTable table_;
};

}  // namespace

std::string comparison_csv(const StudyResults& results, const Comparison& comparison,
                           UnitSystem system) {
  return CsvWriter(results, comparison, system).write();
}

}  // namespace pulsewright::tools
