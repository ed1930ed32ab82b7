#include "tools/study/comparison_json.hpp"

#include <nlohmann/json.hpp>
#include <string>

#include "tools/study/figure_rows.hpp"

namespace pulsewright::tools {

namespace {

nlohmann::json difference_json(const Difference& d) {
  const IntervalParts& p = d.parts;
  return {{"value", d.value},
          {"low", d.low()},
          {"high", d.high()},
          {"complete", d.complete},
          {"parts",
           {{"grid", p.grid},
            {"cycle", p.cycle},
            {"speeds", p.speeds},
            {"build", p.build},
            {"merge_low", p.merge_low},
            {"merge_high", p.merge_high},
            {"gas_temperature", p.gas}}}};
}

nlohmann::json split_json(const DifferenceSplit& split) {
  if (!split.obstacle.empty()) return {{"obstacle", split.obstacle}};
  nlohmann::json shares = nlohmann::json::object();
  for (const PartShare& share : split.shares) {
    shares[std::string(cases::part_name(share.part))] = {
        {"torque", share.torque}, {"low", share.low()}, {"high", share.high()}};
  }
  nlohmann::json speeds = nlohmann::json::array();
  for (const auto& at : split.speeds) {
    nlohmann::json one{{"speed_rpm", 60.0 * at.speed}};
    for (std::size_t i = 0; i < split.shares.size(); ++i) {
      one[std::string(cases::part_name(split.shares[i].part))] = at.torque[i];
    }
    speeds.push_back(one);
  }
  return {{"shares", shares}, {"rest", split.rest}, {"speeds", speeds}};
}

}  // namespace

nlohmann::json pair_json(const PairwiseComparison& pair) {
  nlohmann::json speeds = nlohmann::json::array();
  for (const auto& d : pair.speeds) {
    speeds.push_back({{"speed_rpm", 60.0 * d.speed},
                      {"torque", difference_json(d.torque)},
                      {"verdict", verdict_name(d.verdict)}});
  }
  nlohmann::json bands = nlohmann::json::array();
  for (const auto& other : pair.other_bands) {
    bands.push_back({{"band_rpm", {60.0 * other.from, 60.0 * other.to}},
                     {"torque", other.value},
                     {"verdict", verdict_name(other.verdict)}});
  }
  nlohmann::json crossings = nlohmann::json::array();
  for (const double speed : pair.crossings) crossings.push_back(60.0 * speed);
  return {{"torque", difference_json(pair.torque)},
          {"verdict", verdict_name(pair.verdict)},
          {"power", pair.power},
          {"overlap_exhaust_pressure", difference_json(pair.overlap_exhaust_pressure)},
          {"other_bands", bands},
          {"crossings_rpm", crossings},
          {"split", pair.split ? split_json(*pair.split) : nlohmann::json(nullptr)},
          {"speeds", speeds}};
}

nlohmann::json header_figures_json(const HeaderFigures& f) {
  nlohmann::json band = nlohmann::json::object();
  for (std::size_t i = 0; i < band_figures.size(); ++i) {
    const std::string key = key_of(band_figures[i].member);
    band[key] = f.band[i].value;
    if (band_figures[i].spread != nullptr) band[key + "_spread"] = f.band[i].spread;
  }
  nlohmann::json uneven = nlohmann::json::array();
  for (const UnevenPoint& point : f.uneven) uneven.push_back(60.0 * point.speed);
  nlohmann::json supersonic = nlohmann::json::array();
  for (const SupersonicPoint& point : f.supersonic) {
    supersonic.push_back(
        {{"speed_rpm", 60.0 * point.speed}, {"mach", point.mach}, {"pipe", point.pipe}});
  }
  nlohmann::json excluded = nlohmann::json::array();
  for (const ExcludedPoint& point : f.excluded) {
    excluded.push_back({{"speed_rpm", 60.0 * point.speed}, {"fault", fault_name(point.fault)}});
  }
  return {{"peak_torque", f.torque.value},
          {"peak_torque_rpm", 60.0 * f.torque.speed},
          {"peak_power", f.power.value},
          {"peak_power_rpm", 60.0 * f.power.speed},
          {"band", band},
          {"points_missing", f.missing},
          {"points_failed", f.failed},
          {"points_damaged", f.damaged},
          {"points_not_converged", f.unconverged},
          {"points_repeating", f.repeating},
          {"uneven_rpm", uneven},
          {"supersonic", supersonic},
          {"excluded", excluded},
          {"peak_at_end", f.peak_at_end},
          {"dip", {{"depth", f.dip.depth}, {"speed_rpm", 60.0 * f.dip.speed}}},
          {"clipped", f.clipped},
          {"worst_imbalance", f.worst_imbalance}};
}

nlohmann::json comparison_json(const Comparison& c) {
  nlohmann::json j;
  j["title"] = c.title;
  j["band_rpm"] = {60.0 * c.band_from, 60.0 * c.band_to};
  j["quick"] = c.quick;
  if (!c.calibrated.empty()) j["calibrated"] = c.calibrated;
  j["build_tolerance_m"] = c.build_tolerance;
  for (const double speed : c.speeds) j["speed_rpm"].push_back(60.0 * speed);
  for (std::size_t i = 0; i < c.headers.size(); ++i) {
    auto& one = j["headers"].emplace_back(header_figures_json(c.headers[i]));
    one["name"] = c.headers[i].name;
    one["kind"] = cases::kind_name(c.headers[i].kind);
    one["torque"] = c.torque[i];
  }
  j["ranking"] = nlohmann::json::array();
  for (const std::size_t i : c.ranking) j["ranking"].push_back(c.headers[i].name);
  j["pairs"] = nlohmann::json::array();
  for (const auto& pair : c.pairs) {
    auto& one = j["pairs"].emplace_back(pair_json(pair));
    one["header"] = c.headers[pair.header].name;
    one["other"] = c.headers[pair.other].name;
  }
  j["merges"] = nlohmann::json::array();
  for (const auto& s : c.spacings) {
    auto& one = j["merges"].emplace_back(merge_json(s.merge));
    one["header"] = c.headers[s.header_number].name;
    one["merge"] = s.merge.name;
    one["speed_rpm"] = 60.0 * s.speed;
  }
  return j;
}

}  // namespace pulsewright::tools
