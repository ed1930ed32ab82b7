// An end at which a quantity follows a given course in time.
//
//   static pressure   p* = p(t). Gas that enters has the stagnation temperature and the composition
//                     given. Mach 1 at most in either direction (flow_at_static_pressure()).
//   mass flow         rho* v* A = m(t), with v*(p*) of the pipe's simple wave or shock. Gas that
//                     enters (m > 0) has the stagnation temperature and the composition given; gas
//                     that leaves is the pipe's own. Inflow that would be supersonic is kept at
//                     Mach 1 with its mass flow (sonic_limited); outflow is limited to Mach 1,
//                     so that less than m may leave; what the pipe itself brings at Mach 1 or
//                     more leaves as it is.
//   wave              gas at rest at p(t) lies beyond the end, joined by simple waves: sends a wave
//                     into the pipe and lets what comes back pass (flow_without_reflection()). With
//                     X = (p/p0)^((gamma-1)/(2 gamma)) the wave sent is X_1 = (1 + X(t)) / 2.
//                     Gas that enters has the entropy and the composition of the state at the
//                     pipe's end: for gas of one entropy there, else a gradient of temperature
//                     at the end may grow with inflow.
//
// Benson (1982), chapters 3 and 4, for the boundaries; the wave relation:
// solver/riemann/end_wave.hpp.
#pragma once

#include "models/boundary/boundary.hpp"

namespace pulsewright::models {

// Flux at the end of a pipe of that mass flux into it, kg/(m2 s), see above. h_total (J/kg) and Y
// of gas that enters.
// NaN where the search for the pressure finds none.
EndFlux<double> flow_of_mass_flux(const solver::Gas& gas, const solver::EndWave<double>& wave,
                                  double mass_flux, double h_total, double Y);

class PrescribedEnd : public SingleOrifice {
 public:
  // Throws std::invalid_argument where no course in time is given, or a temperature or burnt
  // fraction that no gas has.
  PrescribedEnd(const PrescribedEndSpecification& spec, const BoundarySetup& setup);
  // Throws solver::Fault for a pressure that is not positive, and for what is not finite.
  void begin_step(const BoundaryStep& step, std::span<const PipeEndState> ends);

 private:
  PrescribedEndSpecification spec_;
};
static_assert(Boundary<PrescribedEnd>);

}  // namespace pulsewright::models
