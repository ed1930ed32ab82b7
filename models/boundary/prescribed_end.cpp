#include "models/boundary/prescribed_end.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace pulsewright::models {

namespace {

// The pressure is found to round-off of its own size; the mass passes exactly as prescribed.
EndFlux<double> with_mass_flux(double mass, double h_total, double Y, double p, double v) {
  return {mass, mass * v + p, mass * h_total, mass * Y, p, v, 0.0};
}

EndFlux<double> entering_mass_flux(const solver::Gas& gas, const solver::EndWave<double>& wave,
                                   double mass_flux, const Reservoir<double>& from) {
  const SonicPoint<double> sonic = sonic_point(gas, from.h_total, from.Y);
  const double R = gas.gas_constant(from.Y);
  const double p_sonic = wave.pressure(sonic.c);
  if (p_sonic * sonic.c < mass_flux * R * sonic.T) {
    return detail::sonic_limited_inflow(gas, from, sonic, mass_flux);
  }
  const double p_wall = wave.wall_pressure();
  const auto residual = [&](double p) {
    const auto [v, slope] = wave.velocity_and_slope(p, std::log(p / wave.p));
    const double T = gas.temperature_from_enthalpy(from.h_total - 0.5 * v * v, from.Y);
    // dT = -v dv / cp at constant stagnation enthalpy.
    const double rise = (v + p * slope * (1.0 + v * v / (gas.cp(T, from.Y) * T))) / (R * T);
    return solver::ValueAndSlope<double>{p / (R * T) * v - mass_flux, rise};
  };
  const double guess =
      p_wall + wave.c * mass_flux *
                   (wave.rho * R * gas.temperature_from_enthalpy(from.h_total, from.Y) / wave.p);
  const double p = solver::root_safeguarded_newton(residual, p_wall, p_sonic, guess, mass_flux);
  return with_mass_flux(mass_flux, from.h_total, from.Y, p, wave.velocity(p));
}

EndFlux<double> leaving_mass_flux(const solver::Gas& gas, const solver::EndWave<double>& wave,
                                  double mass_flux) {
  const double lowest = wave.sonic_outflow_pressure();
  const double p_wall = wave.wall_pressure();
  const auto flux_at = [&](double p) {
    const auto behind = wave.behind(p);
    return behind.rho * behind.v;
  };
  if (lowest >= p_wall || flux_at(lowest) >= mass_flux) return detail::leaving(gas, wave, lowest);
  const auto residual = [&](double p) {
    const auto [v, rho, v_slope, rho_slope] = wave.behind_and_slopes(p, std::log(p / wave.p));
    return solver::ValueAndSlope<double>{rho * v - mass_flux, rho_slope * v + rho * v_slope};
  };
  const double guess = p_wall + wave.c * mass_flux;
  const double p = solver::root_safeguarded_newton(residual, lowest, p_wall, guess, -mass_flux);
  const auto behind = wave.behind(p);
  const double T = p / (behind.rho * gas.gas_constant(wave.Y));
  return with_mass_flux(mass_flux, gas.enthalpy(T, wave.Y) + 0.5 * behind.v * behind.v, wave.Y, p,
                        behind.v);
}

}  // namespace

EndFlux<double> flow_of_mass_flux(const solver::Gas& gas, const solver::EndWave<double>& wave,
                                  double mass_flux, double h_total, double Y) {
  if (mass_flux == 0) return flow_at_wall(wave);
  if (mass_flux > 0) return entering_mass_flux(gas, wave, mass_flux, {0, h_total, Y});
  return leaving_mass_flux(gas, wave, mass_flux);
}

PrescribedEnd::PrescribedEnd(const PrescribedEndSpecification& spec, const BoundarySetup& setup)
    : SingleOrifice(spec.end, setup.name, setup), spec_(spec) {
  if (!spec.value) throw std::invalid_argument("prescribed end: its course in time is needed");
  if (!(spec.temperature > 0) || !std::isfinite(spec.temperature)) {
    throw std::invalid_argument("prescribed end: its temperature must be positive");
  }
  if (!(spec.burnt >= 0 && spec.burnt <= 1)) {
    throw std::invalid_argument("prescribed end: its burnt fraction must lie within 0 .. 1");
  }
}

void PrescribedEnd::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  const PipeEndState& end = ends[0];
  constexpr double finite = std::numeric_limits<double>::max();
  const bool flow = spec_.quantity == PrescribedQuantity::mass_flow;
  const double value = course_value(
      name(), flow ? "prescribed mass flow in kg/s" : "prescribed pressure in Pa",
      spec_.value(step.time), flow ? -finite : std::numeric_limits<double>::min(), finite);
  const double h_total = step.gas.enthalpy(spec_.temperature, spec_.burnt);
  const solver::EndWave<double> wave(step.gas, end.predicted, 1.0);
  switch (spec_.quantity) {
    case PrescribedQuantity::static_pressure:
      request_static_pressure(step, end, {value, h_total, spec_.burnt});
      break;
    case PrescribedQuantity::mass_flow:
      set_flux(flow_of_mass_flux(step.gas, wave, value / end.area, h_total, spec_.burnt), end.area,
               step.dt);
      break;
    case PrescribedQuantity::wave:
      set_flux(flow_without_reflection(step.gas, wave, value), end.area, step.dt);
      break;
  }
}

}  // namespace pulsewright::models
