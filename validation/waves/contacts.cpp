// Contacts: at rest, carried with the gas, and the burnt-gas step carried at uniform pressure.
#include <cmath>

#include "validation/rig/tube.hpp"
#include "validation/waves/waves.hpp"

namespace pulsewright::validation {

using solver::FluxHll;
using solver::FluxHllc;
using solver::LimiterMonotonizedCentral;

CaseReport contact_carried(Broken broken) {
  CaseReport report;
  report.title = "Contact at rest and carried with the gas";
  report.text =
      "Density 1.4 | 1 at uniform pressure 1, velocity 0 and 0.1, until t 2, on 100 cells. A flux "
      "that knows the contact keeps the resting one to the last bit.";
  const Source source{"Toro (2009), section 10.7, tests 6 and 7", Standing::from_memory};
  const Gas gas = gas_of_constant_gamma(1.4);
  const auto carried = [&](double u) {
    Duct d = straight_duct(100);
    d.fill(gas, [=](double x) { return Primitive<double>{x < 0.5 ? 1.4 : 1.0, u, 1.0, 0.0}; });
    if (broken == Broken::smeared_contact) {
      run<FluxHll, LimiterMonotonizedCentral>(d, gas, 2.0, EndsTransmissive{gas});
    } else {
      run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 2.0, EndsTransmissive{gas});
    }
    return d;
  };
  const Duct rest = carried(0.0);
  const Duct moving = carried(0.1);
  double rest_rho = 0;
  double rest_u = 0;
  double moving_p = 0;
  double moving_u = 0;
  double place = 0;
  for (std::size_t i = 0; i < 100; ++i) {
    const Primitive<double> w = rest.state(i);
    rest_rho = std::max(rest_rho, std::abs(w.rho - (rest.centre(i) < 0.5 ? 1.4 : 1.0)));
    rest_u = std::max(rest_u, std::abs(w.u));
    const Primitive<double> m = moving.state(i);
    moving_p = std::max(moving_p, std::abs(m.p - 1.0));
    moving_u = std::max(moving_u, std::abs(m.u - 0.1));
    if (m.rho > 1.2) place = moving.centre(i) + 0.5 * moving.dx();
  }
  const auto add = [&](const char* quantity, double expected, double ours, double tolerance,
                       const char* why) {
    report.figures.push_back({quantity, "", expected, ours, tolerance, false, why, source});
  };
  add("at rest: greatest change of density", 0, rest_rho, 0, "exact to the last bit");
  add("at rest: greatest velocity", 0, rest_u, 0, "exact to the last bit");
  add("moving: greatest change of pressure", 0, moving_p, 1e-12, "round-off");
  add("moving: greatest change of velocity", 0, moving_u, 1e-12, "round-off");
  add("moving: place of the contact", 0.7, place, moving.dx(), "one cell");
  Plot plot{"density", "x", "rho", {}};
  for (const auto& [name, d] : {std::pair{"at rest", &rest}, std::pair{"moving", &moving}}) {
    Curve curve{name, {}, {}, true};
    for (std::size_t i = 0; i < 100; ++i) {
      curve.x.push_back(d->centre(i));
      curve.y.push_back(d->state(i).rho);
    }
    plot.curves.push_back(curve);
  }
  report.plots.push_back(plot);
  return report;
}

}  // namespace pulsewright::validation
