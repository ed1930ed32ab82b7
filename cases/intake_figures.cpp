#include "cases/intake_figures.hpp"

#include <cmath>
#include <numbers>

#include "cases/engine_figures.hpp"
#include "cases/flow_bench.hpp"
#include "cases/part_figures.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::cases {
namespace {

double rated_flow(double area, double drop) {
  BenchState bench;
  bench.depression = drop;
  return area * ideal_volume_flux(bench);
}

double helmholtz(double ambient_temperature, double area, double length, double volume) {
  const double c = std::sqrt(air_gamma * air_gas_constant * ambient_temperature);
  return c / (2 * std::numbers::pi) * std::sqrt(area / (volume * length));
}

}  // namespace

IntakeFigures intake_figures(const CaseFile& case_file) {
  const Intake& intake = case_file.intake;
  const double T = case_file.ambient.temperature;
  IntakeFigures out;
  if (intake.throttle_area > 0) {
    const double area = intake.open_throttle_area();
    out.throttle_area = area;
    out.four_barrel_flow = rated_flow(area, four_barrel_drop);
    out.two_barrel_flow = rated_flow(area, two_barrel_drop);
  }
  if (intake.source == IntakeSource::plenum) {
    out.plenum_over_displacement = intake.plenum_volume / engine_figures(case_file).displacement;
    out.demand = air_demand(case_file);
    // The rating is of air at the standard state, the demand one of the air outside.
    const BenchState rated;
    const double density = case_file.ambient.pressure / rated.pressure * rated.temperature / T;
    const double drop =
        density * four_barrel_drop * std::pow(*out.demand / *out.four_barrel_flow, 2);
    // Beyond that the square law has ended, and the throttle sets the flow.
    if (drop < 0.3 * case_file.ambient.pressure) out.depression = drop;
    if (intake.throttle_length > 0) {
      out.plenum_frequency =
          helmholtz(T, intake.throttle_count * models::circle_area(intake.throttle_diameter),
                    intake.throttle_length, intake.plenum_volume);
    }
  }
  if (intake.air_box_inlet_length > 0) {
    out.air_box_frequency = helmholtz(T, models::circle_area(intake.air_box_inlet_diameter),
                                      intake.air_box_inlet_length, intake.air_box_volume);
  }
  return out;
}

}  // namespace pulsewright::cases
