#include "cases/engine_figures.hpp"

#include <algorithm>
#include <cmath>

#include "cases/flow_bench.hpp"
#include "models/boundary/crank_angle.hpp"
#include "models/boundary/poppet_valve.hpp"
#include "models/cylinder/crank_slider.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::cases {
namespace {

constexpr double same_lift = 1e-5;  // m: 1.27 mm and 0.050 in are one

// First and last angle at which the lift (linear between its points) reaches `height`.
std::optional<ValveTiming> above(const models::LiftCurve& curve, double height) {
  const auto& angle = curve.angle_deg;
  const auto& lift = curve.lift;
  const auto crossing = [&](std::size_t low, std::size_t high) {
    const double t = (height - lift[low]) / (lift[high] - lift[low]);
    return angle[low] + t * (angle[high] - angle[low]);
  };
  std::size_t first = 0, last = lift.size() - 1;
  while (first < lift.size() && lift[first] < height) ++first;
  if (first == lift.size()) return std::nullopt;
  while (lift[last] < height) --last;
  return ValveTiming{height, first == 0 ? angle.front() : crossing(first - 1, first),
                     last + 1 == lift.size() ? angle.back() : crossing(last + 1, last)};
}

std::optional<ValveTiming> timing_at(const models::ValveSpecification& valve,
                                     const std::optional<Lobe>& lobe, TimingAtLift::From from,
                                     double lift) {
  if (from == TimingAtLift::From::lash || (!lobe && from == TimingAtLift::From::seat)) {
    return ValveTiming{0, valve.opens_deg, valve.closes_deg};
  }
  return lobe ? timing_of_lobe(*lobe, lift * lobe->rocker_ratio) : above(valve.lift, lift);
}

ValveFigures valve_figures(const models::ValveSpecification& valve, const std::optional<Lobe>& lobe,
                           double port_diameter) {
  ValveFigures out;
  out.opens_deg = lobe ? lobe->opens_deg : valve.opens_deg;
  out.closes_deg = lobe ? lobe->closes_deg : valve.closes_deg;
  out.open_deg = valve.closes_deg - valve.opens_deg;
  out.checked = timing_at(valve, lobe, TimingAtLift::From::lift, checking_lift);
  out.advertised = {0, out.opens_deg, out.closes_deg};
  const bool open_ramps = lobe && lobe->assumed && lobe->exponents.front().k == usual_exponent;
  if (open_ramps) {
    out.advertised =
        timing_at(valve, lobe, TimingAtLift::From::lift, advertised_lift).value_or(out.advertised);
  }
  out.centerline_deg = lobe          ? lobe->centerline_deg
                       : out.checked ? (out.checked->opens_deg + out.checked->closes_deg) / 2
                                     : (out.opens_deg + out.closes_deg) / 2;
  out.full_lift = *std::max_element(valve.lift.lift.begin(), valve.lift.lift.end());
  const models::PoppetValve poppet(valve);
  out.seat_area = valve.count * models::circle_area(valve.seat_diameter);
  out.curtain_area = valve.count * curtain_area(valve.seat_diameter, out.full_lift);
  out.flow_area = poppet.area_forward(out.full_lift);
  for (const double lift : valve.forward.lift) {
    if (lift <= out.full_lift) out.flow_area = std::max(out.flow_area, poppet.area_forward(lift));
  }
  out.port_area = models::circle_area(port_diameter);
  return out;
}

// Part of the cycle from the opening of the intake to the closing of the exhaust, -360 .. 360.
double overlap(double intake_opens, double exhaust_closes) {
  return models::fold(exhaust_closes - intake_opens + 360) - 360;
}

// Lifts at which the trade compares cams, and those of the cards; rising.
std::vector<double> lifts_of(const CaseFile& case_file) {
  std::vector<double> lifts{advertised_lift, checking_lift};
  for (const auto& lobe : {case_file.exhaust_lobe, case_file.intake_lobe}) {
    if (lobe) lifts.insert(lifts.end(), lobe->card_lifts.begin(), lobe->card_lifts.end());
  }
  std::sort(lifts.begin(), lifts.end());
  const auto same = [](double a, double b) { return std::abs(a - b) < same_lift; };
  lifts.erase(std::unique(lifts.begin(), lifts.end(), same), lifts.end());
  return lifts;
}

TimingAtLift timing_row(const CaseFile& case_file, const models::CrankSlider& crank,
                        TimingAtLift::From from, double lift) {
  TimingAtLift row;
  row.from = from;
  row.lift = lift;
  row.exhaust = timing_at(case_file.exhaust_valve, case_file.exhaust_lobe, from, lift);
  row.intake = timing_at(case_file.intake_valve, case_file.intake_lobe, from, lift);
  if (row.exhaust && row.intake) {
    row.overlap_deg = overlap(row.intake->opens_deg, row.exhaust->closes_deg);
  }
  if (row.intake) {
    row.compression_ratio = crank.volume(row.intake->closes_deg) / crank.clearance_volume();
  }
  return row;
}

}  // namespace

const TimingAtLift& EngineFigures::at(TimingAtLift::From from) const {
  return *std::find_if(timing.begin(), timing.end(),
                       [from](const TimingAtLift& row) { return row.from == from; });
}

const TimingAtLift& EngineFigures::at_lift(double lift) const {
  return *std::find_if(timing.begin(), timing.end(), [lift](const TimingAtLift& row) {
    return row.from == TimingAtLift::From::lift && std::abs(row.lift - lift) < same_lift;
  });
}

EngineFigures engine_figures(const CaseFile& case_file) {
  EngineFigures out;
  const models::CrankSlider crank(case_file.engine.geometry);
  out.cylinder_volume = crank.swept_volume();
  out.displacement =
      out.cylinder_volume * static_cast<double>(case_file.engine.firing_order.size());
  out.exhaust =
      valve_figures(case_file.exhaust_valve, case_file.exhaust_lobe,
                    case_file.exhaust.port_length > 0 ? case_file.exhaust.port_valve_diameter : 0);
  out.intake =
      valve_figures(case_file.intake_valve, case_file.intake_lobe, case_file.intake.valve_diameter);
  out.timing = {timing_row(case_file, crank, TimingAtLift::From::seat, 0),
                timing_row(case_file, crank, TimingAtLift::From::lash, 0)};
  for (const double lift : lifts_of(case_file)) {
    out.timing.push_back(timing_row(case_file, crank, TimingAtLift::From::lift, lift));
  }
  out.lobe_separation_deg =
      models::fold(out.intake.centerline_deg - out.exhaust.centerline_deg) / 2;
  out.compression_ratio = case_file.engine.geometry.compression_ratio;
  out.mean_piston_speed = 2 * case_file.engine.geometry.stroke * case_file.run.speeds.back();
  return out;
}

}  // namespace pulsewright::cases
