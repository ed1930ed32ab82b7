// Contacts: at rest, moving, and a step of burnt gas moving at uniform pressure.
#include <cmath>
#include <fmt/format.h>
#include <vector>

#include "solver/gas/thermodynamics.hpp"
#include "validation/rig/tube.hpp"
#include "validation/waves/waves.hpp"

namespace pulsewright::validation {

using solver::FluxHll;
using solver::FluxHllc;
using solver::LimiterMonotonizedCentral;

CaseReport contact_carried(Broken broken) {
  CaseReport report;
  report.title = "Contact at rest and moving";
  report.text =
      "Density 1.4 | 1 at uniform pressure 1, velocity 0 and 0.1, until t 2, on 100 cells. A "
      "numerical flux that resolves contacts preserves the one at rest to the last bit.";
  const Source source{"Toro (2009), section 10.7, tests 6 and 7", Confidence::from_memory};
  const Gas gas = gas_of_constant_gamma(1.4);
  const auto carried = [&](double u) {
    Pipe d = straight_pipe(100);
    d.fill(gas, [=](double x) { return Primitive<double>{x < 0.5 ? 1.4 : 1.0, u, 1.0, 0.0}; });
    if (broken == Broken::smeared_contact) {
      run<FluxHll, LimiterMonotonizedCentral>(d, gas, 2.0, EndsTransmissive{gas});
    } else {
      run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 2.0, EndsTransmissive{gas});
    }
    return d;
  };
  const Pipe rest = carried(0.0);
  const Pipe moving = carried(0.1);
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
  const auto add = [&](const char* quantity, double expected, double computed, double tolerance,
                       const char* why) {
    report.figures.push_back({quantity, "", expected, computed, tolerance, false, why, source});
  };
  add("at rest: greatest change of density", 0, rest_rho, 0, "exact to the last bit");
  add("at rest: greatest velocity", 0, rest_u, 0, "exact to the last bit");
  add("moving: greatest change of pressure", 0, moving_p, 1e-12, "round-off");
  add("moving: greatest change of velocity", 0, moving_u, 1e-12, "round-off");
  add("moving: position of the contact", 0.7, place, moving.dx(), "one cell");
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

namespace {

// Position at which the burnt fraction falls through a half, interpolated between cell centres.
double interface_of(const Pipe& d) {
  for (std::size_t i = 0; i + 1 < d.cells(); ++i) {
    const double here = d.state(i).Y;
    const double next = d.state(i + 1).Y;
    if (here >= 0.5 && next < 0.5) return d.centre(i) + d.dx() * (here - 0.5) / (here - next);
  }
  return -1.0;
}

// Burnt gas left, fresh charge right of the contact.
struct TwoGases {
  std::string name;
  Gas gas;
  solver::RiemannState left, right;
  double t;
  double p, u, shock;  // star pressure and velocity, speed of the shock
};

std::vector<TwoGases> two_gases() {
  const double third = 5.0 / 3.0;
  return {{"gamma 1.4 | 5/3",
           gas_of_two_gammas(third, 1.0, 1.4, 1.0),
           {1, 0, 1, 1.4},
           {0.125, 0, 0.1, third},
           0.2,
           0.31438332,
           0.90140791,
           1.9026531},
          {"gamma 1.6 | 1.2",
           gas_of_two_gammas(1.2, 1.0, 1.6, 1.0),
           {1, 0, 1, 1.6},
           {0.125, 0, 0.1, 1.2},
           0.2,
           0.27867327,
           0.89823478,
           1.591328},
          {"burnt gas, 5 bar, 1200 K | air",
           gas_of_two_gammas(1.4, 287.05, 1.30, 290.0),
           {5e5 / (290.0 * 1200.0), 0, 5e5, 1.30},
           {1e5 / (287.05 * 300.0), 0, 1e5, 1.4},
           0.5e-3,
           283655.51,
           283.89585,
           557.0879},
          {"burnt gas, 2 bar, 1000 K | air",
           gas_of_two_gammas(1.4, 287.05, 1.32, 290.0),
           {2e5 / (290.0 * 1000.0), 0, 2e5, 1.32},
           {1e5 / (287.05 * 300.0), 0, 1e5, 1.4},
           0.5e-3,
           156120.58,
           114.37079,
           422.55756}};
}

}  // namespace

CaseReport two_gas_tubes(Broken broken) {
  CaseReport report;
  report.title = "Shock tubes with two gases";
  report.text =
      "Two gammas separated by the contact, 400 cells between walls. The scheme is conservative "
      "without special treatment of the contact, which causes pressure oscillations there (Abgrall "
      "(1996)).";
  const Source source{
      "Toro (2009), equations of chapter 4 with a gamma on each side, solved independently",
      Confidence::computed};
  for (const auto& c : two_gases()) {
    Pipe d = straight_pipe(400);
    d.fill(c.gas, [&](double x) {
      const auto& w = x < 0.5 ? c.left : c.right;
      return Primitive<double>{w.rho, w.u, w.p, x < 0.5 ? 1.0 : 0.0};
    });
    const double burnt = d.burnt();
    const double mass = d.mass();
    const double energy = d.energy();
    if (broken == Broken::smeared_contact) {
      run<FluxHll, LimiterMonotonizedCentral>(d, c.gas, c.t, EndsWall{c.gas});
    } else {
      run<FluxHllc, LimiterMonotonizedCentral>(d, c.gas, c.t, EndsWall{c.gas});
    }
    const auto s = riemann_exact(c.left, c.right);
    const double from = 0.5 + c.t * s.left_tail + 8 * d.dx();
    const double to = 0.5 + c.t * s.right_head - 8 * d.dx();
    double p_worst = c.p;
    double u_worst = c.u;
    double outside = 0;
    for (std::size_t i = 0; i < d.cells(); ++i) {
      const Primitive<double> w = d.state(i);
      outside = std::max({outside, -w.Y, w.Y - 1.0});
      if (d.centre(i) < from || d.centre(i) > to) continue;
      if (std::abs(w.p - c.p) > std::abs(p_worst - c.p)) p_worst = w.p;
      if (std::abs(w.u - c.u) > std::abs(u_worst - c.u)) u_worst = w.u;
    }
    const auto add = [&](const char* quantity, double expected, double computed, double tolerance,
                         bool relative, const char* why, const Source& from_where) {
      report.figures.push_back(
          {c.name + ": " + quantity, "", expected, computed, tolerance, relative, why, from_where});
    };
    const char* why = "usual for a conservative scheme without treatment of the interface";
    add("worst pressure of the plateau", c.p, p_worst, 0.01, true, why, source);
    add("worst velocity of the plateau", c.u, u_worst, 0.01, true, why, source);
    add("speed of the shock from the exact solver", c.shock, s.right_head, 1e-7, true,
        "printed digits", source);
    add("position of the contact", 0.5 + c.t * c.u, interface_of(d), 4 * d.dx(), false,
        "four cells", source);
    const Source kept{"conservation between walls", Confidence::computed};
    add("burnt mass", burnt, d.burnt(), 1e-13, true, "round-off", kept);
    add("mass", mass, d.mass(), 1e-13, true, "round-off", kept);
    add("energy", energy, d.energy(), 1e-13, true, "round-off", kept);
    add("burnt fraction beyond 0 and 1", 0, outside, 1e-14, false, "round-off", kept);
    Plot plot{
        c.name, "x", "over the initial value of the burnt gas", {{"p", {}, {}}, {"Y", {}, {}}}};
    for (std::size_t i = 0; i < d.cells(); ++i) {
      for (auto& curve : plot.curves) curve.x.push_back(d.centre(i));
      plot.curves[0].y.push_back(d.state(i).p / c.left.p);
      plot.curves[1].y.push_back(d.state(i).Y);
    }
    report.plots.push_back(plot);
  }
  return report;
}

CaseReport burnt_fraction_carried(Broken) {
  CaseReport report;
  report.title = "Burnt fraction in Sod's tube";
  report.text =
      "One gamma, burnt fraction 1 | 0: a passive scalar that moves with the contact and affects "
      "nothing else. t 0.2, 400 cells.";
  const Gas gas = gas_of_constant_gamma(1.4);
  const auto tube = [&](double burnt) {
    Pipe d = straight_pipe(400);
    d.fill(gas, [&](double x) {
      return x < 0.5 ? Primitive<double>{1, 0, 1, burnt} : Primitive<double>{0.125, 0, 0.1, 0};
    });
    run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 0.2, EndsTransmissive{gas});
    return d;
  };
  const Pipe d = tube(1);
  const Pipe plain = tube(0);
  double outside = 0;
  double difference = 0;
  for (std::size_t i = 0; i < 400; ++i) {
    outside = std::max({outside, -d.state(i).Y, d.state(i).Y - 1.0});
    difference = std::max({difference, std::abs(d.state(i).rho / plain.state(i).rho - 1),
                           std::abs(d.state(i).p / plain.state(i).p - 1)});
  }
  report.figures = {
      {"position where Y is a half",
       "",
       0.685491,
       interface_of(d),
       2 * d.dx(),
       false,
       "two cells",
       {"Toro (2009), equations of chapter 4, solved independently", Confidence::computed}},
      {"burnt mass",
       "",
       0.5,
       d.burnt(),
       1e-13,
       true,
       "round-off",
       {"conservation", Confidence::computed}},
      {"burnt fraction beyond 0 and 1",
       "",
       0,
       outside,
       1e-14,
       false,
       "round-off",
       {"bounds of a fraction", Confidence::computed}},
      {"greatest relative difference of density and pressure to the tube without burnt gas",
       "",
       0,
       difference,
       1e-12,
       false,
       "round-off",
       {"passive scalar", Confidence::computed}}};
  return report;
}

CaseReport burnt_step_carried(Broken broken) {
  CaseReport report;
  report.title = "Step of burnt gas moving at uniform pressure and velocity";
  report.text =
      "A conservative scheme whose gamma depends on composition cannot keep the pressure uniform "
      "at such a step. In a cell that contains both gases the mixture of the same mass, volume and "
      "internal energy does not have the pressure of its components; the worst mixture bounds the "
      "oscillation, because part of it leaves the cell as waves. In gas of one composition the "
      "pressure stays uniform to round-off.";
  struct Step {
    const char* name;
    Gas gas;
    double T_burnt, T_fresh;
    double usual;  // usual magnitude of the effect, or 0
  };
  const Gas sharp = gas_of_two_gammas(1.4, 287.05, 1.30, 290.0);
  const Gas engine = solver::air_and_products(1.87);
  const Gas one = gas_of_constant_gamma(1.4, 287.05);
  constexpr double p = 1e5;
  const Source abgrall{"Abgrall (1996)", Confidence::from_memory};
  for (const Step& step : {Step{"gamma 1.30 | 1.40 at one temperature", sharp, 300, 300, 0},
                           Step{"gamma 1.30 | 1.40, 1000 K | 300 K", sharp, 1000, 300, 0},
                           Step{"gamma 1.30 | 1.40, 300 K | 1000 K", sharp, 300, 1000, 0},
                           Step{"products | air, 1000 K | 300 K", engine, 1000, 300, 0.02},
                           Step{"products | air, 1000 K | 1000 K", engine, 1000, 1000, 0.02},
                           Step{"one gas, 1000 K | 300 K", one, 1000, 300, 1e-12}}) {
    const Gas& gas = step.gas;
    const double rho_burnt = p / (gas.gas_constant(1.0) * step.T_burnt);
    const double rho_fresh = p / (gas.gas_constant(0.0) * step.T_fresh);
    double bound = 0;
    for (double fraction = 0.01; fraction < 1; fraction += 0.01) {
      const double rho = fraction * rho_burnt + (1 - fraction) * rho_fresh;
      const double internal = fraction * rho_burnt * gas.internal(step.T_burnt, 1.0) +
                              (1 - fraction) * rho_fresh * gas.internal(step.T_fresh, 0.0);
      const double Y = fraction * rho_burnt / rho;
      const double mixed = rho * gas.gas_constant(Y) * gas.temperature(internal / rho, Y);
      bound = std::max(bound, std::abs(mixed / p - 1.0));
    }
    Pipe d = straight_pipe(200);
    d.fill(gas, [&](double x) {
      return x < 0.25 ? Primitive<double>{rho_burnt, 100.0, p, 1.0}
                      : Primitive<double>{rho_fresh, 100.0, p, 0.0};
    });
    double worst = 0;
    for (int k = 0; k < 50; ++k) {
      if (broken == Broken::smeared_contact) {
        run<FluxHll, LimiterMonotonizedCentral>(d, gas, 1e-4, EndsTransmissive{gas});
      } else {
        run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 1e-4, EndsTransmissive{gas});
      }
      for (std::size_t i = 0; i < d.cells(); ++i) {
        worst = std::max(worst, std::abs(d.state(i).p / p - 1.0));
      }
    }
    const std::string name = step.name;
    report.figures.push_back(
        {name + ": greatest pressure oscillation against the worst mixture",
         "",
         bound,
         worst,
         1e-6,
         false,
         "without a jump of gamma the remainder comes from limiting rho and Y separately",
         {"pressure of the mixture in one cell", Confidence::computed},
         Sense::at_most});
    if (step.usual > 0) {
      report.figures.push_back({name + ": greatest pressure oscillation", "", step.usual, worst, 0,
                                false,
                                step.usual < 1e-6 ? "round-off" : "usual magnitude of the effect",
                                abgrall, Sense::at_most});
    }
    report.figures.push_back({name + ": position of the step",
                              "m",
                              0.75,
                              interface_of(d),
                              4 * d.dx(),
                              false,
                              "four cells",
                              {"advection with the gas", Confidence::computed}});
  }
  return report;
}

}  // namespace pulsewright::validation
