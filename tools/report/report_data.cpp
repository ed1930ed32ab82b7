#include "tools/report/report_data.hpp"

#include <cctype>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "cases/quantity.hpp"
#include "tools/report/bench_sheet.hpp"
#include "tools/report/dyno_data.hpp"
#include "tools/report/header_drawing.hpp"
#include "tools/report/packed_series.hpp"
#include "tools/report/sound_data.hpp"
#include "tools/study/comparison_csv.hpp"
#include "tools/study/comparison_json.hpp"
#include "tools/study/comparison_words.hpp"
#include "tools/study/figure_rows.hpp"
#include "tools/study/interference.hpp"
#include "tools/study/point_text.hpp"
#include "tools/study/supersonic.hpp"

namespace pulsewright::tools {

namespace {

using models::PointResult;
using nlohmann::json;

json rounded(double value) {
  return std::isfinite(value) ? json(std::stod(fmt::format("{:.9g}", value))) : json(nullptr);
}

json rounded(const std::vector<double>& values) {
  json list = json::array();
  for (const double value : values) list.push_back(rounded(value));
  return list;
}

// Every number below is rounded.
json all_rounded(json data) {
  if (data.is_number_float()) return rounded(data.get<double>());
  if (data.is_structured()) {
    for (auto& part : data) part = all_rounded(std::move(part));
  }
  return data;
}

// pairs: words for every header against every other one.
json words_of(const Comparison& comparison, UnitSystem system) {
  const ComparisonWords words(comparison, system);
  json pairs = json::array();
  for (std::size_t a = 0; a < comparison.headers.size(); ++a) {
    for (std::size_t b = 0; b < comparison.headers.size(); ++b) {
      if (a == b) continue;
      const PairwiseComparison pair = comparison.between(a, b);
      pairs.push_back(
          {{"header", a},
           {"other", b},
           {"single_speeds", words.single_speeds(pair)},
           {"other_bands", words.with_other_bands(pair)},
           {"contributions",
            words.contributions(pair.torque.parts, words.units().torque, words.torque_digits())}});
    }
  }
  return {{"summary", words.summary()}, {"pairs", pairs}};
}

json units_of(UnitSystem system) {
  const DisplayUnits u(system);
  const auto unit = [](const DisplayUnit& one) {
    return json{{"factor", one.factor}, {"name", one.name}};
  };
  return {{"torque", unit(u.torque)},
          {"power", unit(u.power)},
          {"pressure", unit(u.pressure)},
          {"high_pressure", unit(u.high_pressure)},
          {"length", unit(u.length)},
          {"length_step", {{"metres", u.small_length_step}, {"name", u.small_length_name}}}};
}

// Pressures of all cylinders at one speed, one after the other, cylinder by cylinder.
json traces_of(const PointResult& point) {
  if (point.traces.empty()) return nullptr;
  using T = models::CylinderTraces;
  json packed = json::object();
  for (const auto& [member, step] : {std::pair{&T::exhaust_pressure, port_pressure_step},
                                     std::pair{&T::exhaust_outgoing, port_pressure_step},
                                     std::pair{&T::exhaust_returning, port_pressure_step},
                                     std::pair{&T::intake_pressure, port_pressure_step},
                                     std::pair{&T::cylinder_pressure, cylinder_pressure_step}}) {
    std::vector<float> all;
    for (const auto& trace : point.traces) {
      all.insert(all.end(), (trace.*member).begin(), (trace.*member).end());
    }
    packed[key_of(member)] = pack_series(all, step);
  }
  return packed;
}

json merges_of(const PointResult& point) {
  json merges = json::array();
  for (const auto& merge : point.merges) merges.push_back(merge_json(merge));
  return merges;
}

// The figures of cylinders that have a curve over speed, and the indicated mean effective pressure.
json cylinders_of(const PointResult& point) {
  using C = models::CylinderFigures;
  std::vector<double C::*> members{&C::imep};
  for (const CurveFigure& row : curve_figures) {
    if (row.by_cylinder != nullptr) members.push_back(row.by_cylinder);
  }
  json by_figure = json::object();
  for (const auto member : members) {
    for (const C& cylinder : point.cylinders) by_figure[key_of(member)].push_back(cylinder.*member);
  }
  return by_figure;
}

const char* kind_of(ShownIn shown_in) {
  switch (shown_in) {
    case ShownIn::torque:
      return "torque";
    case ShownIn::power:
      return "power";
    case ShownIn::percent:
      return "percent";
    case ShownIn::degree:
      return "degree";
    case ShownIn::pressure:
    case ShownIn::gauge:
      break;
  }
  return "pressure";
}

// Columns of the summary, from band_figures.
json band_columns() {
  json columns = json::array();
  for (const BandFigure& row : band_figures) {
    if (row.heading == nullptr) continue;
    columns.push_back({{"figure", key_of(row.member)},
                       {"heading", row.heading},
                       {"unit", kind_of(row.shown_in)},
                       {"gauge", row.shown_in == ShownIn::gauge},
                       {"digits", row.digits ? json(*row.digits) : json(nullptr)},
                       {"spread", row.spread != nullptr}});
  }
  return columns;
}

// Columns of the split of differences, of all parts.
json header_parts() {
  json parts = json::array();
  for (const cases::HeaderPart part : cases::header_parts) {
    std::string heading(ComparisonWords::part(part));
    heading.front() = static_cast<char>(std::toupper(heading.front()));
    parts.push_back({{"part", cases::part_name(part)}, {"heading", heading}});
  }
  return parts;
}

json point_of(const StoredPoint& point) {
  static constexpr const char* names[] = {"missing", "converged", "not converged", "failed",
                                          "damaged"};
  json j{{"status", names[static_cast<int>(point.status)]}, {"seconds", rounded(point.seconds)}};
  if (point.status == PointStatus::failed) j["failure"] = point.failure;
  if (point.status == PointStatus::damaged) j["damage"] = point.damage;
  if (!point.result) return j;
  const PointResult& p = *point.result;
  j["cycles"] = p.cycles;
  j["period"] = p.period;
  j["cells"] = p.cells;
  j["cell_size"] = p.cell_size;
  j["clipped"] = p.clipped;
  if (const auto uneven = uneven_point(p)) {
    j["uneven"] = {{"metric", pattern_words(*uneven, UnitSystem::metric)},
                   {"inch", pattern_words(*uneven, UnitSystem::inch)}};
  }
  if (const auto supersonic = supersonic_point(p)) {
    j["supersonic"] = {{"metric", supersonic_words(*supersonic, UnitSystem::metric)},
                       {"inch", supersonic_words(*supersonic, UnitSystem::inch)}};
  }
  j["cylinders"] = cylinders_of(p);
  j["merges"] = merges_of(p);
  j["ledger"] = ledger_json(p.ledger);
  j["traces"] = traces_of(p);
  if (!p.wave.pressure.empty()) {
    j["wave"] = {{"cylinder", p.wave.cylinder},
                 {"pressure", pack_series(p.wave.pressure, diagram_pressure_step)}};
  }
  return all_rounded(std::move(j));
}

json figures_of(const HeaderFigures& f) {
  json j = header_figures_json(f);
  j["faults"] = ComparisonWords::faults(f);
  return j;
}

// What the coarse runs of a header took, s: a measure for runs that are yet to be made.
double coarse_seconds(const StoredHeader& header) {
  double sum = 0;
  const StoredRun* coarse = header.find(coarse_grid);
  if (coarse == nullptr) return 0;
  for (const StoredPoint& point : coarse->points) {
    if (std::isfinite(point.seconds)) sum += point.seconds;
  }
  return sum;
}

json interference_json(const Interference& one) {
  json points = json::array();
  for (const auto& point : one.points) {
    json rows = json::array();
    for (const auto& row : point.change) rows.push_back(rounded(row));
    points.push_back({{"change", rows}, {"seconds", rounded(point.seconds)}});
  }
  return points;
}

json settings_of(const StudySettings& settings) {
  return {{"courant", settings.courant},
          {"tolerance", settings.tolerance},
          {"most_cycles", settings.most_cycles},
          {"quick", settings.quick},
          {"band_from_rpm", rounded(60 * settings.band_from)},
          {"band_to_rpm", rounded(60 * settings.band_to)},
          {"build_tolerance_m", settings.build_tolerance}};
}

// The air on the day, in words.
json ambient_of(const StudyPlan& plan) {
  const auto words = [&](UnitSystem system, const char* pressure_unit, int digits) {
    return fmt::format("{:.{}f} {}, {:.1f} {}",
                       cases::in_unit(plan.ambient_pressure, pressure_unit), digits, pressure_unit,
                       shown_temperature(system, plan.ambient_temperature),
                       temperature_name(system));
  };
  return {{"metric", words(UnitSystem::metric, "mbar", 1)},
          {"inch", words(UnitSystem::inch, "inHg", 2)}};
}

// What stands for measurements that the case does not have; not the defaults of single keys.
json assumed_curves(const std::optional<cases::CaseFile>& case_file) {
  json list = json::array();
  if (!case_file) return list;
  for (const cases::Assumption& one : case_file->assumptions) {
    if (one.least.empty()) list.push_back(fmt::format("{} ({})", one.key, one.reason));
  }
  return list;
}

// What the page shows of all headers together.
json study_of(const StudyResults& results, const Comparison& comparison, UnitSystem units,
              const std::optional<cases::CaseFile>& case_file) {
  const StudyPlan& plan = results.plan();
  json j{
      {"title", plan.title},
      {"date", results.date()},
      {"program_version", plan.program_version},
      {"commit", plan.commit},
      {"case_file", std::filesystem::path(plan.case_file).filename().string()},
      {"case_text", plan.case_text},
      {"settings", settings_of(plan.settings)},
      {"ambient_pressure", plan.ambient_pressure},
      {"ambient", ambient_of(plan)},
      {"trace_points", plan.trace_points},
      {"diagram_angles", plan.wave_angles},
      {"band_rpm", rounded({60 * comparison.band_from, 60 * comparison.band_to})},
      {"build_tolerance", comparison.build_tolerance},
      {"quick", comparison.quick},
      {"invented", case_file && case_file->invented},
      {"notes", case_file ? case_file->notes : std::string()},
      {"assumed", assumed_curves(case_file)},
      {"band_columns", band_columns()},
      {"curve_charts", curve_charts()},
      {"header_parts", header_parts()},
      {"step",
       {{"port", port_pressure_step},
        {"cylinder", cylinder_pressure_step},
        {"diagram", diagram_pressure_step}}},
      {"words",
       {{"metric", words_of(comparison, UnitSystem::metric)},
        {"inch", words_of(comparison, UnitSystem::inch)},
        {"cautions", ComparisonWords::cautions(comparison.calibrated)},
        {"parts_explained", ComparisonWords::parts_explained()}}},
      {"first_units", units == UnitSystem::metric ? "metric" : "inch"},
      {"units", {{"metric", units_of(UnitSystem::metric)}, {"inch", units_of(UnitSystem::inch)}}},
      {"valves", case_file && case_file->has_engine() ? valve_events(*case_file) : json(nullptr)},
      {"headers", json::array()}};
  for (const double speed : plan.speeds) j["speeds"].push_back(rounded(60 * speed));
  return j;
}

json header_of(const StudyResults& results, const Comparison& comparison, std::size_t number) {
  const StoredHeader& stored = results.headers()[number];
  const HeaderPlan& plan = results.plan_of(stored);
  json one{{"name", plan.name},
           {"kind", cases::kind_name(plan.kind)},
           {"group", plan.group},
           {"junction_law", cases::law_name(plan.junction_law)},
           {"cell_size", rounded(plan.cell_size)},
           {"cylinders", plan.cylinder_numbers},
           {"merges", plan.merges},
           {"figures", all_rounded(figures_of(comparison.headers[number]))},
           {"step_length", rounded(comparison.step_length[number])},
           {"coarse_seconds", rounded(coarse_seconds(stored))},
           {"diagram",
            {{"distance", rounded(plan.wave_distance)},
             {"pipe_start", rounded(plan.wave_pipe_start)},
             {"pipe_name", plan.wave_pipe_names}}}};
  for (const StoredPoint& point : stored.production.points) {
    one["points"].push_back(point_of(point));
  }
  return one;
}

// What the case notes of a header; empty if it has no header of that name.
std::string notes_of(const cases::CaseFile& case_file, const std::string& name) {
  for (const auto& header : case_file.headers) {
    if (header.name == name) return header.notes;
  }
  return {};
}

}  // namespace

json report_data(const StudyResults& results, const Comparison& comparison, UnitSystem units,
                 const DynoResult* dyno) {
  const auto curves = figure_curves(results);
  const auto case_file = case_of(results.plan());
  json j = study_of(results, comparison, units, case_file);
  for (std::size_t i = 0; i < results.headers().size(); ++i) {
    json one = header_of(results, comparison, i);
    for (std::size_t k = 0; k < curve_figures.size(); ++k) {
      const FigureCurve& curve = curves[i][k];
      one["curves"][key_of(curve_figures[k].member)] = {{"value", rounded(curve.value)},
                                                        {"low", rounded(curve.low)},
                                                        {"high", rounded(curve.high)}};
    }
    const std::string& name = results.plan_of(results.headers()[i]).name;
    one["drawing"] = case_file ? all_rounded(header_drawing(*case_file, name)) : json(nullptr);
    one["cut_sheet"] = case_file ? all_rounded(bench_sheet(*case_file, name)) : json(nullptr);
    one["notes"] = case_file ? notes_of(*case_file, name) : std::string();
    j["headers"].push_back(std::move(one));
  }
  j["csv"] = {{"metric", comparison_csv(results, comparison, UnitSystem::metric)},
              {"inch", comparison_csv(results, comparison, UnitSystem::inch)}};
  j["sound"] = sound_data(results, case_file);
  j["ranking"] = comparison.ranking;
  if (dyno != nullptr) j["dyno"] = all_rounded(dyno_data(*dyno));
  j["pairs"] = json::array();
  for (const auto& pair : comparison.pairs) {
    auto& one = j["pairs"].emplace_back(all_rounded(pair_json(pair)));
    one["header"] = pair.header;
    one["other"] = pair.other;
  }
  for (const auto& interference : interference_of(results)) {
    j["headers"][interference.header_number]["interference"] = interference_json(interference);
  }
  return j;
}

json curve_charts() {
  json charts = json::array();
  for (const CurveFigure& row : curve_figures) {
    charts.push_back({{"figure", key_of(row.member)},
                      {"heading", row.heading},
                      {"unit", kind_of(row.shown_in)},
                      {"by_cylinder", row.by_cylinder != nullptr}});
  }
  return charts;
}

void add_search_frame(json& findings, UnitSystem units) {
  const std::size_t speeds = findings["speeds_rpm"].size();
  findings["speeds"] = findings["speeds_rpm"];
  findings["first_units"] = units == UnitSystem::metric ? "metric" : "inch";
  findings["units"] = {{"metric", units_of(UnitSystem::metric)},
                       {"inch", units_of(UnitSystem::inch)}};
  // The modules that both pages share look for headers.
  findings["ranking"] = {0};
  findings["pairs"] = json::array();
  findings["headers"] = {{{"name", findings["header"]},
                          {"cylinders", {1}},
                          {"figures", {{"excluded", json::array()}}},
                          {"points", std::vector<json>(speeds, {{"status", "converged"}})}}};
}

}  // namespace pulsewright::tools
