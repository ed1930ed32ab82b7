// Friction, bends, heat transfer and wall temperature: formulas, and what they do to a flow.
#include "models/network/pipe_wall.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "solver/gas/fault.hpp"
#include "tests/near.hpp"
#include "validation/rig/fed_pipe.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

TEST_CASE("friction factor of Haaland") {
  // Haaland (1983), worked from the formula with a public library of fluid mechanics; Colebrook
  // (1939) beside it: the two agree within 2 % by Haaland's own statement (from memory).
  struct Row {
    double Re, smooth, colebrook_smooth, rough, colebrook_rough;
  };
  for (const Row r : {Row{1e4, 0.030886, 0.030883, 0.032175, 0.032382},
                      Row{3e4, 0.023317, 0.023483, 0.025645, 0.025970},
                      Row{1e5, 0.017825, 0.017990, 0.021966, 0.022175},
                      Row{3e5, 0.014346, 0.014463, 0.020524, 0.020603},
                      Row{1e6, 0.011587, 0.011645, 0.019941, 0.019943}}) {
    CHECK(near(friction_factor_haaland(r.Re, 0), r.smooth, 0, 6e-7));
    CHECK(near(friction_factor_haaland(r.Re, 1e-3), r.rough, 0, 6e-7));
    CHECK(near(friction_factor_haaland(r.Re, 0), r.colebrook_smooth, 0.02));
    CHECK(near(friction_factor_haaland(r.Re, 1e-3), r.colebrook_rough, 0.02));
  }
}

TEST_CASE("bend losses against handbooks") {
  // 90 deg, D 50 mm, with the friction of the arc. Miller (1990) at Re 1e5, Rennels & Hudson (2012)
  // at f 0.018, Crane (1988) with f_T 0.019. Beij (1938) found no correlation better than 20 %.
  struct Row {
    double ratio, miller, rennels;
  };
  double worst = 0;
  constexpr double D = 0.05;
  constexpr double roughness = 30e-6;
  constexpr double f = 0.018;
  for (const Row r :
       {Row{1, 0.30834, 0.31343}, Row{1.5, 0.24487, 0.22540}, Row{2, 0.21871, 0.20378},
        Row{3, 0.21027, 0.20651}, Row{5, 0.25614, 0.24999}}) {
    const double arc = f * std::numbers::pi / 2 * r.ratio;
    const double K = bend_loss({r.ratio * D, 90}, D, roughness) + arc;
    CHECK(near(K, r.miller, 0.2));
    CHECK(near(K, r.rennels, 0.2));
    worst = std::max({worst, std::abs(K / r.miller - 1), std::abs(K / r.rennels - 1)});
  }
  MESSAGE("worst deviation of a 90 degree bend from two handbooks: ", worst);
  struct Crane {
    double ratio, K;
  };
  for (const Crane r : {Crane{1, 0.380}, Crane{1.5, 0.266}, Crane{2, 0.228}, Crane{3, 0.228}}) {
    const double arc = 0.019 * std::numbers::pi / 2 * r.ratio;
    // roughness of commercial steel, 45 um: f_T 0.019
    CHECK(near(bend_loss({r.ratio * D, 90}, D, 45e-6) + arc, r.K, 0.02));
  }
  // Other angles at R/D 1.5: Miller (1990).
  struct Angle {
    double deg, K;
  };
  for (const Angle a : {Angle{30, 0.0728}, Angle{45, 0.1058}, Angle{60, 0.1479}}) {
    const double arc = f * 1.5 * a.deg * std::numbers::pi / 180;
    CHECK(near(bend_loss({1.5 * D, a.deg}, D, roughness) + arc, a.K, 0.2));
  }
  CHECK(bend_loss({2 * D, 0}, D, roughness) == 0);
}

TEST_CASE("loss of a cone: handbook, either direction, any grid") {
  // Idelchik (2006), chapter 5, diagram of the conical diffuser as coded in a public library of
  // fluid mechanics (A2/A1 = 2, f 0.018): K with wall friction f / (8 sin(angle/2)) 0.75. Its
  // values are rounded to 0.01 at small angles.
  struct Row {
    double angle, K;
  };
  for (const Row r : {Row{6, 0.06}, Row{10, 0.06}, Row{15, 0.085}, Row{20, 0.10}, Row{30, 0.17}}) {
    const double friction = 0.018 / (8 * std::sin(r.angle * std::numbers::pi / 360)) * 0.75;
    CHECK(near(diffuser_loss(r.angle, 2) + friction, r.K, 0, 0.012));
  }
  // A step: Borda and Carnot.
  CHECK(near(diffuser_loss(180, 2), 0.25, 1e-12));
  CHECK(diffuser_loss(20, 1) == 0);

  // In a pipe: the coefficients of the cells add up to K on the head at the narrow end, whatever
  // the cells; creeping flow has no turbulent friction beside it.
  const auto gas = constant_gamma_gas();
  for (const double cell_size : {0.002, 0.01, 0.04}) {
    for (const double u : {0.3, -0.3}) {
      for (const bool widens : {true, false}) {
        PipeSpecification pipe = smooth_pipe("cone", 0.4, 0.05, cell_size);
        pipe.friction = true;
        const double left = widens ? 0.05 : 0.07;
        const double right = widens ? 0.07 : 0.05;
        pipe.profile = {{0, left}, {0.113, left}, {0.207, right}, {0.4, right}};
        const auto diameter = [&](double x) {
          const double t = std::clamp((x - 0.113) / (0.207 - 0.113), 0.0, 1.0);
          return left + t * (right - left);
        };
        solver::Pipe cone("cone", 0.4, static_cast<std::size_t>(std::lround(0.4 / cell_size)),
                          diameter, {0.113, 0.207});
        cone.fill(gas, [&](double) { return solver::Primitive<double>{1.2, u, 1e5, 0}; });
        cone.refresh(gas);
        PipeWall wall(pipe, cone);
        wall.renew(gas, cone);
        double K = 0;
        for (std::size_t i = 0; i < cone.cells(); ++i) {
          const double widening = diameter(cone.centre(i)) / 0.05;
          K += 2 * cone.turbulent[static_cast<std::ptrdiff_t>(i)] * cone.dx() /
               std::pow(widening, 4);
        }
        const double angle = 360 / std::numbers::pi * std::atan(0.01 / 0.094);
        const double expected = (u > 0) == widens ? diffuser_loss(angle, 1.96) : 0.0;
        CHECK(near(K, expected, cell_size < 0.02 ? 0.02 : 0.1, 1e-12));
      }
    }
  }
}

TEST_CASE("loss of a sudden contraction: handbook, spread behind the entry, one way") {
  // Rennels & Hudson (2012) as coded in a public library of fluid mechanics, sharp edges: 0.2303
  // and 0.3434 for diameter ratios of 1.25 and 1.414. Handbooks differ by 0.05 (Idelchik: 0.297).
  CHECK(near(contraction_loss(1 / (1.25 * 1.25)), 0.2303, 0, 0.005));
  CHECK(near(contraction_loss(0.5), 0.3434, 0, 0.05));
  CHECK(contraction_loss(1) == 0);
  CHECK(contraction_loss(0) == 0.5);  // an edge in a wide space: Idelchik (2006), chapter 3

  const auto gas = constant_gamma_gas();
  for (const double cell_size : {0.007, 0.01, 0.1}) {
    for (const bool left : {true, false}) {
      PipeSpecification pipe = smooth_pipe("tube", 0.4, 0.05, cell_size);
      pipe.friction = true;
      (left ? pipe.left_entry_loss : pipe.right_entry_loss) = 0.3;
      for (const double u : {0.3, -0.3}) {
        solver::Pipe tube("tube", 0.4, pipe.cells(), [](double) { return 0.05; }, {0, 0.4});
        tube.fill(gas, [&](double) { return solver::Primitive<double>{1.2, u, 1e5, 0}; });
        tube.refresh(gas);
        PipeWall(pipe, tube).renew(gas, tube);
        double K = 0;
        double within = 0;  // of one diameter and a cell
        for (std::size_t i = 0; i < tube.cells(); ++i) {
          const double loss = 2 * tube.turbulent[static_cast<std::ptrdiff_t>(i)] * tube.dx();
          const double x = left ? tube.centre(i) : 0.4 - tube.centre(i);
          K += loss;
          if (x < 0.05 + tube.dx()) within += loss;
        }
        CHECK(near(K, (u > 0) == left ? 0.3 : 0.0, 1e-12, 1e-15));
        CHECK(near(within, K, 1e-12, 1e-15));
      }
    }
  }
}

TEST_CASE("Nusselt number of exhaust pipes") {
  // Malchow et al. (1979), from memory; worked from the formula.
  CHECK(near(nusselt_exhaust(22449.125), 123.2924, 1e-6));
}

TEST_CASE("laminar flow: pressure falls by Hagen-Poiseuille") {
  // dp/dx = 32 mu u / D^2, e.g. White (1991).
  const auto gas = constant_gamma_gas();
  PipeSpecification pipe = smooth_pipe("tube", 0.5, 0.005, 0.0125);
  pipe.friction = true;
  const double area = 0.25 * std::numbers::pi * 0.005 * 0.005;
  const double flow = 1.2 * 3 * area;  // Re about 1000
  FedPipe steady(gas, endless(pipe), flow, 293.15);
  steady.rig.run_until(0.2);
  const auto& d = steady.rig.pipe(0);
  const std::size_t a = 5;
  const std::size_t b = 35;
  const double mu = solver::viscosity_sutherland(293.15);
  const double u = flow / (area * d.state(20).rho);
  const double gradient = (d.state(a).p - d.state(b).p) / (d.centre(b) - d.centre(a));
  // The gas speeds up by 0.03 % on the way.
  CHECK(near(gradient, 32 * mu * u / (0.005 * 0.005), 2e-3));
  CHECK(d.state(20).rho * u * 0.005 / mu < 2300);
}

TEST_CASE("turbulent flow: pressure falls by friction, bends and extra losses") {
  // Darcy-Weisbach, f of Haaland (1983); a loss coefficient acts on rho u^2 / 2.
  const auto gas = constant_gamma_gas();
  PipeSpecification pipe = smooth_pipe("tube", 1.0, 0.04, 0.02);
  pipe.friction = true;
  pipe.roughness = 40e-6;
  const double area = 0.25 * std::numbers::pi * 0.04 * 0.04;
  const double flow = 1.2 * 20 * area;
  for (const bool losses : {false, true}) {
    if (losses) {
      pipe.bends = {{0.06, 90}, {0.08, 45}};
      pipe.extra_loss = 0.3;
    }
    FedPipe steady(gas, endless(pipe), flow, 293.15);
    steady.rig.run_until(0.15);
    const auto& d = steady.rig.pipe(0);
    const double rho = d.state(25).rho;
    const double u = flow / (area * rho);
    const double Re = rho * u * 0.04 / solver::viscosity_sutherland(293.15);
    double K = friction_factor_haaland(Re, 1e-3) / 0.04;
    if (losses) {
      K += 0.3 + bend_loss({0.06, 90}, 0.04, 40e-6) + bend_loss({0.08, 45}, 0.04, 40e-6);
    }
    const double gradient = (d.state(5).p - d.state(45).p) / (d.centre(45) - d.centre(5));
    // Mach 0.06: the gas speeds up with the falling pressure, a share of gamma M^2.
    CHECK(near(gradient, K * 0.5 * rho * u * u, 0.008));
  }
}

TEST_CASE("heat to a cold wall: outlet temperature of an exhaust pipe") {
  // D 41 mm, L 0.9 m, 30 g/s, cp 1260, 1100 K in, wall 700 K.
  // Dittus-Boelter 0.023 Re^0.8 Pr^0.3 gives 989.3 K, Malchow et al. (1979), from memory, 915.6 K,
  // with k 0.067 and mu 4.15e-5; worked from T_out = T_w + (T_in - T_w) exp(-h pi D L / (m cp)).
  const double R = 290;
  const auto gas = constant_gamma_gas(1260 / (1260 - R), R);
  PipeSpecification pipe = smooth_pipe("primary", 0.9, 0.041, 0.03);
  pipe.friction = true;
  pipe.initial_temperature = 1000;
  pipe.wall.temperature = 700;
  // Ours with the conductivity mu cp / 0.7 and a viscosity that changes along the pipe: the
  // correlation itself, integrated.
  const auto outlet = [&](auto&& nusselt) {
    double T = 1100;
    for (int i = 0; i < 9000; ++i) {
      const double mu = solver::viscosity_sutherland(T);
      const double Re = 4 * 0.03 / (std::numbers::pi * 0.041 * mu);
      const double h = nusselt(Re) * mu * 1260 / 0.7 / 0.041;
      T -= h * std::numbers::pi * 0.041 * 1e-4 * (T - 700) / (0.03 * 1260);
    }
    return T;
  };
  const auto run = [&](PipeHeatLaw law) {
    pipe.heat = law;
    FedPipe steady(gas, endless(pipe), 0.03, 1100);
    steady.rig.run_until(0.12);
    const auto& d = steady.rig.pipe(0);
    const auto last = static_cast<std::ptrdiff_t>(d.cells()) - 1;
    // Stagnation temperature at the end of the pipe, half a cell beyond the last centre.
    const auto T0 = [&](std::ptrdiff_t k) { return d.T[k] + 0.5 * d.u[k] * d.u[k] / 1260; };
    return 1.5 * T0(last) - 0.5 * T0(last - 1);
  };
  const double malchow = run(PipeHeatLaw::exhaust_correlation);
  CHECK(near(malchow - 700, outlet([](double Re) { return 0.0483 * std::pow(Re, 0.783); }) - 700,
             0.01));
  // Against the numbers with k 0.067: ours conducts a ninth better.
  CHECK(near(1100 - malchow, 1100 - 915.6321, 0.1));
  const double analogy = run(PipeHeatLaw::reynolds_analogy);
  // The analogy and Dittus-Boelter agree within 15 % at this Reynolds number (common practice, no
  // source, for the scatter of such correlations).
  CHECK(near(1100 - analogy, 1100 - 989.3387, 0.15));
  // Depcik & Assanis, SAE 2002-01-0372 (2002).
  const double manifold = run(PipeHeatLaw::manifold_correlation);
  CHECK(near(manifold - 700, outlet([](double Re) { return 0.07 * std::pow(Re, 0.75); }) - 700,
             0.01));
  // At this Reynolds number 128 for 123, far from the 65 of steady flow (worked from the formulas).
  CHECK(near((1100 - manifold) / (1100 - malchow), 1.03, 0.01));
  MESSAGE("outlet: exhaust correlation ", malchow, " K, Reynolds analogy ", analogy, " K");
}

TEST_CASE("balanced wall: the heat that comes in goes out") {
  // Conduction through cylinder walls, convection and radiation outside, e.g. White (1991) for the
  // heat balance; sigma of CODATA 2018.
  for (const auto finish : {WallFinish::bare, WallFinish::wrapped, WallFinish::coated}) {
    Wall wall;
    wall.finish = finish;
    if (finish != WallFinish::bare) wall.layer_thickness = 2e-3;
    for (const double T_gas : {1200.0, 900.0, 250.0}) {
      const double h = 150;
      const double D = 0.045;
      const double T = balanced_wall_temperature(wall, h, T_gas, D);
      const double r1 = D / 2;
      const double r2 = r1 + wall.thickness;
      const double r3 = r2 + wall.layer_thickness;
      const double q = h * 2 * std::numbers::pi * r1 * (T_gas - T);  // W/m
      double T_s = T - q * std::log(r2 / r1) / (2 * std::numbers::pi * wall.conductivity);
      T_s -= q * std::log(r3 / r2) / (2 * std::numbers::pi * wall.layer_conductivity);
      const double out =
          2 * std::numbers::pi * r3 *
          (wall.outside_coefficient * (T_s - wall.outside_temperature) +
           0.7 * 5.670374419e-8 * (std::pow(T_s, 4) - std::pow(wall.outside_temperature, 4)));
      CHECK(near(out, q, 1e-9, 1e-6));
      CHECK((T > T_s) == (T_gas > wall.outside_temperature));
    }
  }
  Wall bare;
  bare.finish = WallFinish::bare;
  Wall wrapped = bare;
  wrapped.finish = WallFinish::wrapped;
  wrapped.layer_thickness = 1.5e-3;
  CHECK(balanced_wall_temperature(wrapped, 150, 1200, 0.045) >
        balanced_wall_temperature(bare, 150, 1200, 0.045) + 50);
  Wall fixed;
  fixed.temperature = 612;
  CHECK(balanced_wall_temperature(fixed, 150, 1200, 0.045) == 612);
}

TEST_CASE("a bare pipe reaches the temperature at which gas and surroundings balance") {
  const double R = 290;
  const auto gas = constant_gamma_gas(1.3, R);
  PipeSpecification pipe = smooth_pipe("primary", 0.6, 0.041, 0.03);
  pipe.friction = true;
  pipe.heat = PipeHeatLaw::reynolds_analogy;
  pipe.initial_temperature = 1000;
  pipe.wall.finish = WallFinish::bare;
  pipe.wall.temperature = 500;
  FedPipe steady(gas, endless(pipe), 0.03, 1100);
  auto& net = steady.rig.network();
  double change = 0;
  for (int i = 0; i < 25; ++i) {
    const double from = steady.rig.time();
    steady.rig.run_until(from + 0.01);
    change = net.balance_wall_temperatures(steady.rig.time() - from);
  }
  CHECK(change < 0.01);
  const double heat_before = net.wall_heat();
  const double from = steady.rig.time();
  steady.rig.run_until(from + 0.01);
  const double lost = (heat_before - net.wall_heat()) / (steady.rig.time() - from);  // W
  const auto& d = steady.rig.pipe(0);
  double given_off = 0;
  for (std::size_t i = 0; i < d.cells(); ++i) {
    const double T = d.T_wall[static_cast<std::ptrdiff_t>(i)];
    const double r = 0.0205 + pipe.wall.thickness;
    // The drop through 1.65 mm of steel follows from the heat itself.
    double T_s = T;
    double q = 0;
    for (int k = 0; k < 50; ++k) {
      q = 2 * std::numbers::pi * r *
          (30 * (T_s - 293.15) + 0.7 * 5.670374419e-8 * (std::pow(T_s, 4) - std::pow(293.15, 4)));
      T_s = T - q * std::log(r / 0.0205) / (2 * std::numbers::pi * 25);
    }
    given_off += q * d.dx();
  }
  CHECK(lost > 500);
  CHECK(near(lost, given_off, 1e-4));
}

TEST_CASE("coolant holds the wall of a port, the balance that of the tube behind it") {
  PipeSpecification spec = smooth_pipe("primary", 0.5, 0.04, 0.01);
  spec.cooled_length = 0.08;
  spec.cooled_temperature = 480;
  spec.wall.finish = WallFinish::bare;
  spec.wall.temperature = 700;
  solver::Pipe pipe("primary", 0.5, 50, [](double) { return 0.04; }, {0.0, 0.5});
  const PipeWall wall(spec, pipe);
  const auto T_wall = [&](std::size_t i) { return pipe.T_wall[static_cast<std::ptrdiff_t>(i)]; };
  for (std::size_t i = 0; i < 50; ++i) CHECK(T_wall(i) == (i < 8 ? 480 : 700));
  for (std::size_t i = 0; i < 50; ++i) {
    const auto k = static_cast<std::ptrdiff_t>(i);
    pipe.heat_transfer_dt[k] = 4.0 / 0.04 * 200 * 0.02;                 // h = 200 over 20 ms
    pipe.wall_heat[k] = (T_wall(i) - 1100) * pipe.heat_transfer_dt[k];  // gas of 1100 K
  }
  CHECK(wall.balance_temperature(pipe, 0.02) > 10);
  const double balanced = balanced_wall_temperature(spec.wall, 200, 1100, 0.04);
  for (std::size_t i = 0; i < 50; ++i) CHECK(near(T_wall(i), i < 8 ? 480 : balanced, 1e-9));
  // The state of another grid does not change it.
  for (std::size_t i = 0; i < 8; ++i) pipe.T_wall[static_cast<std::ptrdiff_t>(i)] = 600;
  wall.hold_cooled(pipe);
  for (std::size_t i = 0; i < 50; ++i) CHECK(near(T_wall(i), i < 8 ? 480 : balanced, 1e-9));
}

TEST_CASE("a wall temperature that the iteration does not reach is a fault with pipe and place") {
  // Where radiation governs, each step takes a quarter off: 40 do not come down from 1e12 K.
  Wall bare;
  bare.finish = WallFinish::bare;
  CHECK(std::isnan(balanced_wall_temperature(bare, 1e-6, 1e12, 0.045)));
  PipeSpecification spec = smooth_pipe("primary", 0.4, 0.045, 0.01);
  spec.wall.finish = WallFinish::bare;
  solver::Pipe pipe("primary", 0.4, 40, [](double) { return 0.045; }, {0.0, 0.4});
  const PipeWall wall(spec, pipe);
  pipe.heat_transfer_dt[7] = 1e-6;
  pipe.wall_heat[7] = -1e6;
  try {
    wall.balance_temperature(pipe, 1.0);
    FAIL("a temperature was made up");
  } catch (const solver::Fault& fault) {
    CHECK(fault.part() == "primary");
    CHECK(near(fault.place(), 0.075, 1e-12));
    CHECK(std::string(fault.what()).find("wall temperature in K = nan") != std::string::npos);
  }
}

}  // namespace pulsewright::tests
