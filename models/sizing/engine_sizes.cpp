#include "models/sizing/engine_sizes.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "models/sizing/circle.hpp"

namespace pulsewright::models {

namespace {

void require_possible(const SizingInput& input) {
  const auto positive = [](double value) { return value > 0 && std::isfinite(value); };
  if (input.cylinders < 1 || !positive(input.cylinder_volume) || !positive(input.band_from) ||
      !positive(input.torque_peak) || !positive(input.power) ||
      !positive(input.exhaust_period_deg)) {
    throw std::invalid_argument(
        "cylinders, displacement, speeds, power and the exhaust period must be above zero");
  }
  if (!(input.band_to > input.band_from)) throw std::invalid_argument("the band must rise");
  if (!(length_of_speed(input.band_to, input.exhaust_opens_deg) > 0)) {
    throw std::invalid_argument("the hand rules have no tuned length for the top of the band");
  }
}

std::vector<Wanted> bores_of(const SizingInput& input, double length) {
  // The tube in which the gas has this mean speed at the torque peak.
  const auto at = [&](double gas_speed) {
    return circle_diameter(2 * input.torque_peak * input.cylinder_volume / gas_speed);
  };
  const double by_length = bore_of_length(length, input.cylinder_volume);
  const Range outside = tube_of_power(input.power / input.cylinders);
  return {{HandRule::mean_velocity,
           {at(gas_speed_at_torque_peak.most), at(gas_speed_at_torque_peak.least)}},
          {HandRule::bore_of_length, {by_length, by_length}},
          {HandRule::tube_of_power,
           {outside.least - 2 * wall_16_gauge, outside.most - 2 * wall_16_gauge}}};
}

double mean_of_used(const std::vector<Wanted>& wanted) {
  double sum = 0;
  int count = 0;
  for (const Wanted& one : wanted) {
    if (!one.used) continue;
    sum += one.value.middle();
    ++count;
  }
  return sum / count;
}

// The chosen tube with two smaller and two larger ones.
std::vector<StockRow> stock_rows(const SizingInput& input, const StockTube& chosen) {
  const auto stock = tube_stock();
  const auto at = &chosen - stock.data();
  const auto from = std::max<std::ptrdiff_t>(0, at - 2);
  const auto to = std::min<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(stock.size()), at + 3);
  std::vector<StockRow> rows;
  for (auto i = from; i < to; ++i) {
    StockRow row;
    row.tube = &stock[static_cast<std::size_t>(i)];
    const double area = circle_area(row.tube->bore());
    row.gas_speed = mean_gas_speed(input.torque_peak, input.cylinder_volume, area);
    row.torque_peak = torque_peak_of_area(area, input.cylinder_volume);
    row.in_range = gas_speed_at_torque_peak.holds(row.gas_speed);
    rows.push_back(row);
  }
  return rows;
}

void choose_collector(const SizingInput& input, EngineSizes& out) {
  if (input.tubes_of_collector < 2) return;
  const double outside = out.primary->outside_diameter;
  // The rules are for four tubes; others by the area of all of them.
  const double tubes = std::sqrt(input.tubes_of_collector / 4.0);
  const auto scaled = [&](const Range& range) {
    return Range{range.least * tubes, range.most * tubes};
  };
  const double by_length = tubes * collector_of_length(out.middle, input.cylinder_volume);
  out.collector_bores = {{HandRule::collector_of_tube, scaled(collector_of_tube(outside)), true},
                         {HandRule::collector_of_length, {by_length, by_length}, false}};
  out.merge_neck = scaled(merge_neck_of_tube(outside));
  out.collector = &nearest_stock_tube(mean_of_used(out.collector_bores));
  out.collector_length = collector_lengths.middle();
}

}  // namespace

EngineSizes engine_sizes(const SizingInput& input) {
  require_possible(input);
  EngineSizes out;
  const double middle = (input.band_from + input.band_to) / 2;
  out.shortest = length_of_speed(input.band_to, input.exhaust_opens_deg);
  out.middle = length_of_speed(middle, input.exhaust_opens_deg);
  out.longest = length_of_speed(input.band_from, input.exhaust_opens_deg);
  out.period_length = length_of_period(usual_sound_speed, input.exhaust_period_deg, middle);
  out.bores = bores_of(input, out.middle);
  out.primary = &nearest_stock_tube(mean_of_used(out.bores));
  out.stock = stock_rows(input, *out.primary);
  out.secondary = &nearest_stock_tube(secondary_bore(out.primary->bore()));
  out.paired_secondary = std::max(0.0, out.middle - paired_primary_length);
  choose_collector(input, out);
  out.needed_intake_flow = flow_of_power(input.power / input.cylinders);
  return out;
}

}  // namespace pulsewright::models
