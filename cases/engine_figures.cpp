#include "cases/engine_figures.hpp"

#include <algorithm>

#include "cases/circle.hpp"
#include "cases/flow_bench.hpp"
#include "models/boundary/crank_angle.hpp"
#include "models/boundary/poppet_valve.hpp"
#include "models/cylinder/crank_slider.hpp"

namespace pulsewright::cases {
namespace {

// First and last angle at which the lift (linear between its points) reaches `height`.
std::optional<ValveFigures::Checked> above(const models::LiftCurve& curve, double height) {
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
  return ValveFigures::Checked{first == 0 ? angle.front() : crossing(first - 1, first),
                               last + 1 == lift.size() ? angle.back() : crossing(last + 1, last)};
}

ValveFigures valve_figures(const models::ValveSpecification& valve, const std::optional<Lobe>& lobe,
                           double port_diameter) {
  ValveFigures out;
  out.opens_deg = lobe ? lobe->opens_deg : valve.opens_deg;
  out.closes_deg = lobe ? lobe->closes_deg : valve.closes_deg;
  out.open_deg = valve.closes_deg - valve.opens_deg;
  const double ratio = lobe ? lobe->rocker_ratio : 1;
  const double lash = lobe ? lobe->lash : 0;
  out.checked = above(valve.lift, std::max(0.0, checking_lift * ratio - lash));
  out.advertised = {out.opens_deg, out.closes_deg};
  const bool open_ramps = lobe && lobe->assumed && lobe->exponents.front().k == usual_exponent;
  if (open_ramps) {
    out.advertised =
        above(valve.lift, std::max(0.0, advertised_lift * ratio - lash)).value_or(out.advertised);
  }
  out.centerline_deg = lobe          ? lobe->centerline_deg
                       : out.checked ? (out.checked->opens_deg + out.checked->closes_deg) / 2
                                     : (out.opens_deg + out.closes_deg) / 2;
  out.full_lift = *std::max_element(valve.lift.lift.begin(), valve.lift.lift.end());
  const models::PoppetValve poppet(valve);
  out.seat_area = valve.count * circle_area(valve.seat_diameter);
  out.curtain_area = valve.count * curtain_area(valve.seat_diameter, out.full_lift);
  out.flow_area = poppet.area_forward(out.full_lift);
  for (const double lift : valve.forward.lift) {
    if (lift <= out.full_lift) out.flow_area = std::max(out.flow_area, poppet.area_forward(lift));
  }
  out.port_area = circle_area(port_diameter);
  return out;
}

// Part of the cycle from the opening of the intake to the closing of the exhaust, -360 .. 360.
double overlap(double intake_opens, double exhaust_closes) {
  return models::fold(exhaust_closes - intake_opens + 360) - 360;
}

}  // namespace

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
  out.overlap_deg = overlap(out.intake.opens_deg, out.exhaust.closes_deg);
  if (out.intake.checked && out.exhaust.checked) {
    out.checked_overlap_deg =
        overlap(out.intake.checked->opens_deg, out.exhaust.checked->closes_deg);
  }
  out.lobe_separation_deg =
      models::fold(out.intake.centerline_deg - out.exhaust.centerline_deg) / 2;
  out.compression_ratio = case_file.engine.geometry.compression_ratio;
  out.closing_ratio = crank.volume(case_file.intake_valve.closes_deg) / crank.clearance_volume();
  out.mean_piston_speed = 2 * case_file.engine.geometry.stroke * case_file.run.speeds.back();
  return out;
}

}  // namespace pulsewright::cases
