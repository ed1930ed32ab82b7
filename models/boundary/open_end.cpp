#include "models/boundary/open_end.hpp"

#include <cmath>
#include <numbers>

namespace pulsewright::models {

namespace {

double outside_temperature(const OpenEndSpecification& spec, const BoundarySetup& setup) {
  return spec.outside_temperature > 0 ? spec.outside_temperature : setup.ambient.temperature;
}

}  // namespace

OpenEnd::OpenEnd(const OpenEndSpecification& spec, const BoundarySetup& setup)
    : SingleOrifice(spec.end, setup.name, setup),
      area_ratio_(spec.effective_area_ratio),
      phi_into_pipe_(area_ratio_ / std::sqrt(1.0 + area_ratio_ * area_ratio_ * spec.entry_loss)),
      end_correction_(spec.end_correction),
      outside_{setup.ambient.pressure, setup.gas.enthalpy(outside_temperature(spec, setup), 0.0),
               0.0},
      outside_density_(setup.ambient.pressure /
                       (setup.gas.gas_constant(0.0) * outside_temperature(spec, setup))),
      radiation_(std::sqrt(setup.ends[0].area / std::numbers::pi), setup.ambient.pressure) {}

void OpenEnd::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  const solver::Primitive<double>& end = ends[0].predicted;
  Reservoir<double> outside = outside_;
  if (end_correction_) {
    const double gamma = step.gas.gamma(temperature_of(step.gas, end), end.Y);
    const Radiation::Load load = radiation_.load(end.rho, gamma, step.dt);
    outside.p = load.p;
    outside.impedance = load.impedance;
  }
  request_orifice(step, ends[0], outside, phi_into_pipe_, area_ratio_);
}

void OpenEnd::apply(const OrificeBatch& batch, std::size_t first) {
  SingleOrifice::apply(batch, first);
  if (!end_correction_) return;
  const EndFlux<double>& passed = flux(0);
  radiation_.advance(passed.v, passed.v < 0 ? passed.mass / passed.v : outside_density_);
}

double OpenEnd::volume_flow() const {
  const EndFlux<double>& passed = flux(0);
  if (passed.v > 0) return -end_area() * passed.mass / outside_density_;
  return -end_area() * passed.v * passed.p / outside_.p;
}

}  // namespace pulsewright::models
