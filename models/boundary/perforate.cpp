#include "models/boundary/perforate.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace pulsewright::models {

namespace {

constexpr double resting_resistance = 7.337e-3;  // of c
constexpr double grazing_rise = 72.23;           // with the Mach number of the core
constexpr double jet_loss = 1.8;                 // heads of the flow in the holes

// The setup of one side: `count` ends from `first` on.
BoundarySetup side_of(const BoundarySetup& setup, std::size_t first, std::size_t count) {
  return {setup.gas, setup.ambient, setup.ends.subspan(first, count), setup.name};
}

// kg/(s Pa): what the pipes take per pressure.
double admittance_of(const solver::Gas& gas, std::span<const PipeEndState> ends) {
  double sum = 0;
  for (const PipeEndState& end : ends) {
    sum += end.area / solver::EndWave<double>(gas, end.predicted, 1.0).c;
  }
  return sum;
}

}  // namespace

Perforate::Perforate(const PerforateSpecification& spec, const BoundarySetup& setup)
    : spec_(spec),
      core_(spec.core, side_of(setup, 0, spec.core.branches.size())),
      space_(spec.space, side_of(setup, spec.core.branches.size(), spec.space.branches.size())) {
  if (!(spec.hole_area > 0) || !(spec.hole_length > 0) || spec.core.law != JunctionLaw::momentum ||
      spec.space.law != JunctionLaw::momentum) {
    throw std::invalid_argument("perforate '" + spec.core.name +
                                "': needs holes with an area and a length, and the momentum law");
  }
  for (const Junction* side : {&core_, &space_}) {
    ends_.insert(ends_.end(), side->ends().begin(), side->ends().end());
  }
}

void Perforate::begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  renew_flow(step, ends);
  const std::size_t n = core_.ends().size();
  core_.begin_step(step, ends.subspan(0, n));
  space_.begin_step(step, ends.subspan(n));
}

void Perforate::renew_flow(const BoundaryStep& step, std::span<const PipeEndState> ends) {
  const std::size_t n = core_.ends().size();
  const JunctionState core = core_.state(step.gas);
  const JunctionState space = space_.state(step.gas);
  const JunctionState& from = flow_ >= 0 ? core : space;
  const double rho = from.gamma * from.p / from.c2;
  const double S = spec_.hole_area;
  const double w = core.w[0] * core.w[0] + core.w[1] * core.w[1] + core.w[2] * core.w[2];
  const double M = std::sqrt(w / core.c2);
  const double resistance = resting_resistance * (1.0 + grazing_rise * M) * std::sqrt(from.c2) / S +
                            jet_loss * std::abs(flow_) / (2.0 * rho * S * S);  // Pa s/kg
  const double answer = 1.0 / admittance_of(step.gas, ends.subspan(0, n)) +
                        1.0 / admittance_of(step.gas, ends.subspan(n));
  const double inertia = spec_.hole_length / S;  // Pa s2/kg
  flow_ += step.dt * (core.p - space.p - resistance * flow_) /
           (inertia + step.dt * (resistance + answer));
  const JunctionState& side = flow_ >= 0 ? core : space;
  const JunctionContent into_space{flow_, flow_ * side.rest.h_total, flow_ * side.Y, {}};
  const JunctionContent into_core{-into_space.mass, -into_space.energy, -into_space.burnt, {}};
  core_.set_source(into_core);
  space_.set_source(into_space);
}

bool Perforate::request(OrificeBatch& orifices, std::size_t first) {
  core_requested_ = core_.request(orifices, first);
  space_requested_ = space_.request(orifices, first + core_.orifices());
  return core_requested_ || space_requested_;
}

void Perforate::apply(const OrificeBatch& orifices, std::size_t first) {
  if (core_requested_) core_.apply(orifices, first);
  if (space_requested_) space_.apply(orifices, first + core_.orifices());
}

Content Perforate::content() const {
  const Content a = core_.content();
  const Content b = space_.content();
  return {a.mass + b.mass, a.burnt + b.burnt, a.energy + b.energy};
}

void Perforate::start_from(const Perforate& other) {
  core_.start_from(other.core_);
  space_.start_from(other.space_);
  flow_ = other.flow_;
}

}  // namespace pulsewright::models
