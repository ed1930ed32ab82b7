#include "validation/rig/tube.hpp"

namespace pulsewright::validation {

template <class NumericalFlux, class Limiter>
Run run(Pipe& d, const Gas& gas, double duration, const std::function<void(Pipe&)>& ends,
        double courant, long most_steps) {
  using Update = solver::PipeUpdate<NumericalFlux, Limiter>;
  Run result;
  double fastest = d.refresh(gas);
  double t = 0;
  while (t < duration && result.steps < most_steps) {
    const double stable = courant * d.dx() / fastest;
    const bool last = t + stable >= duration;
    const double dt = last ? duration - t : stable;
    Update::predict(d, gas, dt);
    ends(d);
    const auto step = Update::advance(d, gas, dt);
    fastest = step.fastest;
    if (step.used_first_order_fallback) ++result.fallback_steps;
    t = last ? duration : t + dt;
    ++result.steps;
  }
  return result;
}

using Ends = std::function<void(Pipe&)>;
template Run run<solver::FluxHllc, solver::LimiterMonotonizedCentral>(Pipe&, const Gas&, double,
                                                                      const Ends&, double, long);
template Run run<solver::FluxHllc, solver::LimiterVanLeer>(Pipe&, const Gas&, double, const Ends&,
                                                           double, long);
template Run run<solver::FluxHllc, solver::LimiterMinmod>(Pipe&, const Gas&, double, const Ends&,
                                                          double, long);
template Run run<solver::FluxHllc, solver::LimiterFlat>(Pipe&, const Gas&, double, const Ends&,
                                                        double, long);
template Run run<solver::FluxHll, solver::LimiterMonotonizedCentral>(Pipe&, const Gas&, double,
                                                                     const Ends&, double, long);

}  // namespace pulsewright::validation
