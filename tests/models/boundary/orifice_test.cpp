// The orifice between a pipe end and a reservoir: nozzle, wall, open end, choking in both
// directions, and the same fluxes in packs of numbers. Over 400 lines because all of it holds one
// header, with the same few states of gas and end.
#include "models/boundary/orifice.hpp"

#include <doctest/doctest.h>
#include <vector>

#include "models/figures/cycle_record.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;
using solver::EndWave;
using solver::Primitive;

namespace {

EndWave<double> at_rest(const solver::Gas& gas, double p, double T, double Y = 0) {
  return {gas, Primitive<double>{p / (gas.gas_constant(Y) * T), 0.0, p, Y}, 1.0};
}

Reservoir<double> reservoir_of(const solver::Gas& gas, double p, double T, double Y = 0) {
  return {p, gas.enthalpy(T, Y), Y};
}

double mach(const solver::Gas& gas, const EndFlux<double>& f, double Y) {
  const double T = f.p * f.v / (f.mass * gas.gas_constant(Y));
  return std::abs(f.v) / gas.sound_speed(T, Y);
}

}  // namespace

TEST_CASE("nozzle: flow at pressure ratios") {
  // Isentropic orifice flow, Shapiro (1953), chapter 4; worked from the formula.
  struct Row {
    double gamma, R, p0, T0, ratio, G;
  };
  for (const Row r :
       {Row{1.4, 287.05, 101325, 293.15, 0.9, 147.60556},
        Row{1.4, 287.05, 101325, 293.15, 0.7, 222.96128},
        Row{1.4, 287.05, 101325, 293.15, 0.5, 239.17356},
        Row{1.3, 290, 400000, 1200, 0.3, 452.44625}, Row{1.3, 290, 200000, 1000, 0.8, 206.31226}}) {
    CHECK(near(nozzle_mass_flux(r.gamma, r.p0, r.p0 / (r.R * r.T0), r.ratio * r.p0), r.G, 1e-7));
  }
}

TEST_CASE("nozzle: choked values") {
  // NACA Report 1135 (1953), Shapiro (1953), chapter 4; worked from the formulas.
  struct Row {
    double gamma, ratio, flow;
  };
  for (const Row r :
       {Row{1.25, 0.554929, 0.658065}, Row{1.28, 0.549368, 0.663622}, Row{1.3, 0.545728, 0.667262},
        Row{1.33, 0.540364, 0.672628}, Row{1.35, 0.536851, 0.676145}, Row{1.38, 0.531674, 0.681331},
        Row{1.4, 0.528282, 0.684731}, Row{5.0 / 3, 0.487139, 0.726184}}) {
    CHECK(near(critical_ratio(r.gamma), r.ratio, 0, 6e-7));
    const double p0 = 3e5;
    const double RT = 290 * 900.0;
    const double choked = nozzle_mass_flux(r.gamma, p0, p0 / RT, 0.0);
    CHECK(near(choked * std::sqrt(RT) / p0, r.flow, 0, 6e-7));
    CHECK(near(nozzle_mass_flux(r.gamma, p0, p0 / RT, 0.9999 * critical_ratio(r.gamma) * p0),
               choked, 1e-14));
    CHECK(nozzle_mass_flux(r.gamma, p0, p0 / RT, 1.01 * critical_ratio(r.gamma) * p0) < choked);
    CHECK(nozzle_mass_flux(r.gamma, p0, p0 / RT, p0) == 0);
    CHECK(nozzle_mass_flux(r.gamma, p0, p0 / RT, 1.1 * p0) == 0);
  }
}

TEST_CASE("sonic point") {
  // T/T0 = 2 / (gamma + 1) for constant gamma: NACA Report 1135 (1953), eq. (43).
  const auto gas = constant_gamma_gas(1.33, 290);
  const auto s = sonic_point(gas, gas.enthalpy(1000.0, 0.0), 0.0);
  CHECK(near(s.T, 1000 * 0.858369, 0, 6e-4));
  // With heat capacities that vary: h(T) + c^2 / 2 = h0 by definition, to
  // the few steps of its iteration; what flows takes h0 itself.
  const auto real = solver::air_and_products(1.87);
  for (const double Y : {0.0, 0.4, 1.0}) {
    for (const double T0 : {300.0, 1000.0, 2500.0}) {
      const double h0 = real.enthalpy(T0, Y);
      const auto sonic = sonic_point(real, h0, Y);
      CHECK(near(real.enthalpy(sonic.T, Y) + 0.5 * sonic.c * sonic.c, h0, 1e-8));
      CHECK(near(sonic.c, real.sound_speed(sonic.T, Y), 1e-14));
    }
  }
}

TEST_CASE("wall: closed end reflects a wave") {
  // Closed end p_s/p0 = (2X - 1)^(2 gamma/(gamma-1)), Blair (1999), chapter 2, from memory; exact
  // for expansion waves. A compression wave is reflected as a shock here, which differs in third
  // order.
  const auto gas = constant_gamma_gas();
  struct Row {
    double ratio, closed, tolerance;
  };
  for (const Row r :
       {Row{0.6, 0.345804, 2e-6}, Row{0.8, 0.635314, 2e-6}, Row{1.2, 1.433350, 3e-4}}) {
    const auto wave = wave_at_left_end(gas, p_atm, T_atm, r.ratio);
    const auto f = flow_at_wall(wave);
    CHECK(f.mass == 0);
    CHECK(f.energy == 0);
    CHECK(f.burnt == 0);
    CHECK(f.v == 0);
    CHECK(f.momentum == f.p);
    CHECK(near(f.p / p_atm, r.closed, r.tolerance));
  }
  // A shock of strength p21 reflected head-on: p51/p21 = ((3g-1) p21 - (g-1)) / ((g-1) p21 + g+1),
  // from memory of gas dynamics texts. Behind the shock: Toro (2009), eqs (4.6), (4.20).
  for (const double p21 : {1.2, 1.5, 2.0, 3.0}) {
    const auto ahead = at_rest(gas, p_atm, T_atm);
    const auto behind = ahead.behind(p21 * p_atm);
    const EndWave<double> wave(gas, {behind.rho, -behind.v, p21 * p_atm, 0.0}, 1.0);
    const double expected = p21 * (3.2 * p21 - 0.4) / (0.4 * p21 + 2.4);
    CHECK(near(flow_at_wall(wave).p / p_atm, expected, 1e-12));
  }
}

TEST_CASE("open end: subsonic outflow is at ambient pressure and reflects X_r = 2 - X") {
  // Blair (1999), chapter 2, from memory; exact for homentropic flow. Columns: exit velocity 2u,
  // reflected pressure ratio, worked from the formulas at 20 deg C (gamma 1.4, R 287.05 or 287).
  const auto gas = constant_gamma_gas();
  struct Row {
    double ratio, exit, reflected;
  };
  for (const Row r :
       {Row{1.2, 90.5724, 0.829280}, Row{1.5, 204.6830, 0.650247}, Row{1.8, 300.6566, 0.526394}}) {
    const auto wave = wave_at_left_end(gas, p_atm, T_atm, r.ratio);
    const auto f = flow_through_orifice(gas, wave, reservoir_of(gas, p_atm, T_atm), 1.0, 1.0);
    CHECK(near(f.p, p_atm, 1e-12));
    CHECK(near(-f.v, r.exit, 1e-6));
    const double c = gas.sound_speed(T_atm, 0.0);  // back at p_atm on the isentrope
    const auto split = split_wave(f.p, -f.v, c, 1.4, p_atm);
    CHECK(near(1 + split.returning / p_atm, r.reflected, 2e-6));
    CHECK(near(1 + split.outgoing / p_atm, r.ratio, 1e-9));
  }
}

TEST_CASE("open end: strong outflow is sonic and stays on the characteristic") {
  const auto gas = constant_gamma_gas();
  for (const double ratio : {2.1, 2.5, 4.0}) {
    const auto wave = wave_at_left_end(gas, p_atm, T_atm, ratio);
    const auto f = flow_through_orifice(gas, wave, reservoir_of(gas, p_atm, T_atm), 1.0, 1.0);
    CHECK(f.p > p_atm);
    CHECK(near(mach(gas, f, 0), 1, 1e-12));
    // Riemann invariant across the rarefaction: Toro (2009), eq. (3.123).
    const double c = std::abs(f.v);
    CHECK(near(-f.v + 2 / 0.4 * c, -wave.v + 2 / 0.4 * wave.c, 1e-12));
  }
}

TEST_CASE("open end: inflow from rest keeps stagnation enthalpy and is isentropic") {
  const auto gas = constant_gamma_gas();
  for (const double ratio : {0.99, 0.8, 0.6, 0.4}) {
    const auto wave = wave_at_left_end(gas, p_atm, T_atm, ratio);
    const auto f = flow_through_orifice(gas, wave, reservoir_of(gas, p_atm, T_atm), 1.0, 1.0);
    CHECK(f.v > 0);
    CHECK(near(f.energy / f.mass, gas.enthalpy(T_atm, 0.0), 1e-14));
    // p0/p = (1 + (gamma-1)/2 M^2)^(gamma/(gamma-1)): NACA Report 1135 (1953), eq. (44).
    const double M = mach(gas, f, 0);
    CHECK(near(f.p * std::pow(1 + 0.2 * M * M, 3.5), p_atm, 1e-9));
    CHECK(near(f.v, wave.velocity(f.p), 1e-9));
    // X_r = 2 - X is the limit without loss of pressure; the difference is of second order.
    const double X = wave_amplitude(ratio, 1.4);
    const double X_end = wave_amplitude(f.p / p_atm, 1.4);
    const double X_r = X_end + 1 - X;
    CHECK(X_r < 2 - X);
    CHECK(near(X_r, 2 - X, 0, 12 * (1 - X) * (1 - X)));
  }
}

TEST_CASE("stagnation enthalpy is kept with heat capacities that vary") {
  const auto gas = solver::air_and_products(1.87);
  for (const double p : {5e5, 1.2e5, 1.01e5, 0.6e5}) {
    for (const double phi : {0.05, 0.5, 1.0}) {
      const auto f = flow_through_orifice(gas, at_rest(gas, 1e5, 700, 0.8),
                                          reservoir_of(gas, p, 1500, 1.0), phi, phi);
      if (f.mass > 0) {
        CHECK(near(f.energy / f.mass, gas.enthalpy(1500.0, 1.0), 1e-13));
        CHECK(near(f.burnt, f.mass, 1e-14));
      } else {
        CHECK(near(f.burnt / f.mass, 0.8, 1e-14));
      }
      CHECK((f.mass > 0) == (p > 1e5));
      CHECK(near(f.momentum, f.mass * f.v + f.p, 1e-14));
    }
  }
}

TEST_CASE("partly open end: what leaves is what the nozzle lets through") {
  // Quasi-steady orifice at a pipe end: Benson (1982), chapter 4. Recomputed here from the flux:
  // stagnation state of the gas that leaves, then the nozzle formula.
  const auto gas = constant_gamma_gas(1.35, 290);
  for (const double p : {1.1e5, 1.6e5, 4e5}) {
    for (const double phi : {0.1, 0.5, 0.9}) {
      const auto f =
          flow_through_orifice(gas, at_rest(gas, p, 900), reservoir_of(gas, 1e5, 300), phi, phi);
      const double M = mach(gas, f, 0);
      const double p0 = f.p * std::pow(1 + 0.175 * M * M, 1.35 / 0.35);
      const double T0 = f.energy / f.mass / gas.cp(900.0, 0.0);
      CHECK(near(-f.mass, phi * nozzle_mass_flux(1.35, p0, p0 / (290 * T0), 1e5), 1e-9));
      CHECK(M < 1);
    }
  }
}

TEST_CASE("entry loss of a steady inflow") {
  // Loss K rho v^2 / 2 in the incompressible limit: phi = 1 / sqrt(1 + K), as an open end uses it;
  // e.g. Idelchik (2006), chapter 3 (K = 0.5 for a sharp edge).
  const auto gas = constant_gamma_gas();
  for (const double K : {0.05, 0.5, 1.0}) {
    const double phi = 1 / std::sqrt(1 + K);
    const auto f = flow_through_orifice(gas, wave_at_left_end(gas, p_atm, T_atm, 0.97),
                                        reservoir_of(gas, p_atm, T_atm), phi, phi);
    const double M = mach(gas, f, 0);
    const double p0 = f.p * std::pow(1 + 0.2 * M * M, 3.5);
    const double head = 0.5 * f.mass * f.v;
    // Mach 0.04: compressibility changes the loss by about M^2.
    CHECK(near((p_atm - p0) / head, K, 1e-2, 2e-3));
  }
}

TEST_CASE("inflow that would be supersonic is limited to Mach 1") {
  const auto gas = constant_gamma_gas(1.3, 290);
  constexpr double p0 = 5e5;
  constexpr double T0 = 1100;
  const auto from = reservoir_of(gas, p0, T0);
  const double sonic = std::sqrt(1.3 * 290 * T0 * 2 / 2.3);
  for (const double phi : {0.2, 0.5, 0.9, 1.0}) {
    // Choked nozzle: 0.667262 p0 / sqrt(R T0) at gamma 1.3, Shapiro (1953), chapter 4.
    const double choked = phi * 0.667262 * p0 / std::sqrt(290 * T0);
    const double scale = p0 / (290 * T0) * sonic;  // of the tolerance of the root
    double last_mass = 0;
    double last_p = p0;
    int limited = 0;
    for (int i = 0; i <= 600; ++i) {
      const double p = p0 * std::pow(10.0, -i / 200.0);
      const auto f = flow_through_orifice(gas, at_rest(gas, p, 600), from, phi, phi);
      CHECK(f.mass >= last_mass - 3e-12 * scale);
      CHECK(f.mass <= choked * (1 + 2e-6));
      CHECK(f.p <= last_p * (1 + 1e-10));
      CHECK(f.v <= sonic * (1 + 1e-9));
      if (i > 0) CHECK(f.mass - last_mass < 0.1 * choked);
      CHECK(last_p - f.p < 0.03 * p0);
      if (i > 0) CHECK(near(f.energy / f.mass, from.h_total, 1e-13));
      if (f.sonic_limited > 0) {
        ++limited;
        CHECK(near(f.mass, choked, 2e-6));
        CHECK(near(f.v, sonic, 1e-12));
        CHECK(near(f.momentum, f.mass * f.v + f.p, 1e-14));
      } else {
        CHECK(limited == 0);
      }
      last_mass = f.mass;
      last_p = f.p;
    }
    CHECK(limited > 20);

    // At the edge both branches agree.
    double low = 1e-4 * p0;
    double high = p0;
    for (int i = 0; i < 200; ++i) {
      const double p = std::sqrt(low * high);
      const bool is_limited =
          flow_through_orifice(gas, at_rest(gas, p, 600), from, phi, phi).sonic_limited > 0;
      (is_limited ? low : high) = p;
    }
    const auto a = flow_through_orifice(gas, at_rest(gas, low, 600), from, phi, phi);
    const auto b = flow_through_orifice(gas, at_rest(gas, high, 600), from, phi, phi);
    CHECK(a.sonic_limited == 1);
    CHECK(b.sonic_limited == 0);
    CHECK(near(a.mass, b.mass, 1e-8));
    CHECK(near(a.p, b.p, 1e-8));
    CHECK(near(a.v, b.v, 1e-8));
    CHECK(near(a.momentum, b.momentum, 1e-8));
  }
}

TEST_CASE("fast inflow from an impedance boundary: mass flux of a bracketing search") {
  // The pressure of the reservoir may fall to nothing within the bracket of the search.
  const auto gas = solver::air_and_products(1.87);
  int beyond = 0;  // states in which it does
  int sought = 0;
  // The load of an open end may lie below the pressure of the surroundings.
  for (const double phi : {0.8, 1.0}) {
    for (const double p_out : {0.6e5, p_atm}) {
      for (double impedance = 0; impedance <= 420; impedance += 60) {
        for (double speed = 300; speed <= 700; speed += 50) {
          for (double p = 0.3e5; p < 1.85e5; p += 0.3e5) {
            auto reservoir = reservoir_of(gas, p_out, T_atm);
            reservoir.impedance = impedance;
            const EndWave<double> wave(
                gas, Primitive<double>{p / (gas.gas_constant(0.0) * 280), speed, p, 0.0}, 1.0);
            const double p_wall = wave.wall_pressure();
            if (p_wall > p_out) continue;
            CAPTURE(phi);
            CAPTURE(p_out);
            CAPTURE(impedance);
            CAPTURE(speed);
            CAPTURE(p);
            const auto f = flow_through_orifice(gas, wave, reservoir, phi, phi);
            REQUIRE(std::isfinite(f.momentum));
            REQUIRE(std::isfinite(f.energy));
            if (f.sonic_limited > 0) continue;
            const Supply<double> supply(gas, reservoir);
            double low = p_wall;
            double high = std::min(p_out, wave.pressure(supply.sonic.c));
            const double highest = high;
            if (reservoir.pressure_at(wave.velocity(high)) <= 0) ++beyond;
            const auto mass_at = [&](double at) {
              const double v = wave.velocity(at);
              const double T = gas.temperature_from_enthalpy(reservoir.h_total - 0.5 * v * v, 0.0);
              return at / (gas.gas_constant(0.0) * T) * v;
            };
            for (int i = 0; i < 200; ++i) {
              const double middle = 0.5 * (low + high);
              const double p0 = reservoir.pressure_at(wave.velocity(middle));
              const double through =
                  p0 > middle
                      ? phi * nozzle_mass_flux(supply.gamma, p0, supply.rho * p0 / p_out, middle)
                      : 0.0;
              (mass_at(middle) < through ? low : high) = middle;
            }
            ++sought;
            CHECK(near(f.mass, mass_at(low), 1e-7));
            CHECK(near(f.p, low, 1e-9));
            // From any start, as the steps before may give it.
            for (const double fraction : {0.5, 1.0}) {
              const double start = p_wall + fraction * (highest - p_wall);
              const auto g = flow_entering(gas, wave, supply, p_wall, phi, start);
              CHECK(near(g.mass, mass_at(low), 1e-7));
            }
          }
        }
      }
    }
  }
  CHECK(sought > 100);
  CHECK(beyond > 10);
}

TEST_CASE("direction changes without a jump where the wall pressure meets the reservoir") {
  const auto gas = solver::air_and_products(1.87);
  for (const double ratio : {0.7, 0.95, 1.0, 1.1, 1.6}) {
    const auto wave = wave_at_left_end(gas, p_atm, 600, ratio);
    const double p_wall = wave.wall_pressure();
    for (const double phi : {0.01, 0.3, 1.0}) {
      for (const double step : {1e-6, 1e-9}) {
        const auto in =
            flow_through_orifice(gas, wave, reservoir_of(gas, p_wall * (1 + step), 900), phi, phi);
        const auto out =
            flow_through_orifice(gas, wave, reservoir_of(gas, p_wall * (1 - step), 900), phi, phi);
        CHECK(in.mass >= 0);
        CHECK(out.mass <= 0);
        // The acoustic limit dp = rho c v bounds both.
        const double bound = 1.1 * step * p_wall / wave.c;
        CHECK(in.mass <= bound);
        CHECK(-out.mass <= bound);
        CHECK(near(in.p, p_wall, 1.1 * step));
        CHECK(near(out.p, p_wall, 1.1 * step));
      }
    }
  }
}

TEST_CASE(
    "an impedance boundary gives the flow of a constant-pressure one at the pressure it reaches") {
  // The definition of an impedance: p = p_0 - Z v.
  const auto gas = solver::air_and_products(1.87);
  int entering = 0, leaving = 0, limited = 0, sonic = 0;
  for (const double p : {0.2e5, 0.6e5, 0.99e5, 1.3e5, 6e5}) {
    for (const double height : {0.7, 1.0, 1.4}) {
      for (const double phi : {0.2, 0.8, 1.0}) {
        for (const double share : {0.01, 0.5, 0.95}) {
          const auto wave = wave_at_left_end(gas, p_atm, 700, height);
          auto from = reservoir_of(gas, p, 1000, 0.5);
          from.impedance = share * wave.rho * wave.c;
          const auto f = flow_through_orifice(gas, wave, from, phi, phi);
          const auto constant_pressure = reservoir_of(gas, from.pressure_at(f.v), 1000, 0.5);
          const auto g = flow_through_orifice(gas, wave, constant_pressure, phi, phi);
          CAPTURE(p);
          CAPTURE(height);
          CAPTURE(phi);
          CAPTURE(share);
          CHECK(near(f.mass, g.mass, 1e-8, 1e-9));
          CHECK(near(f.momentum, g.momentum, 1e-9));
          CHECK(near(f.energy, g.energy, 1e-8, 1e-3));
          CHECK(near(f.p, g.p, 1e-9));
          (f.mass > 0 ? entering : leaving)++;
          if (f.sonic_limited > 0) ++limited;
          if (f.mass < 0 && phi == 1 && mach(gas, f, 0) > 0.98) ++sonic;
        }
      }
    }
  }
  CHECK(entering > 20);
  CHECK(leaving > 20);
  CHECK(limited > 0);
  CHECK(sonic > 0);
}

TEST_CASE("an orifice that closes tends to the wall") {
  const auto gas = solver::air_and_products(1.87);
  for (const double p : {6e5, 0.9e5, 0.3e5}) {
    const auto wave = wave_at_left_end(gas, p_atm, 600, 1.2);
    const auto from = reservoir_of(gas, p, 1200, 1.0);
    const auto wall = flow_at_wall(wave);
    const auto shut = flow_through_orifice(gas, wave, from, 0.0, 0.0);
    CHECK(shut.mass == 0);
    CHECK(shut.p == wall.p);
    for (const double phi : {1e-3, 1e-6, 1e-9}) {
      const auto f = flow_through_orifice(gas, wave, from, phi, phi);
      // At most choked flow of the higher of the two pressures, 0.7 p / sqrt(R T).
      CHECK(std::abs(f.mass) < phi * 0.7 * std::max(p, wall.p) / std::sqrt(286 * 600.0));
      CHECK(f.mass != 0);
      CHECK(near(f.p, wall.p, 10 * phi));
    }
  }
}

TEST_CASE("constant-pressure end: the static pressure holds in both directions") {
  // Benson (1982), chapter 6.
  const auto gas = solver::air_and_products(1.87);
  const auto wave = wave_at_left_end(gas, p_atm, 600, 1.1);
  for (const double p : {0.9e5, 1.2e5, 1.5e5}) {
    const auto f = flow_at_static_pressure(gas, wave, reservoir_of(gas, p, 900, 0.3));
    CHECK(near(f.p, p, 1e-14));
    CHECK(near(f.v, wave.velocity(p), 1e-9));
    CHECK((f.v > 0) == (p > wave.wall_pressure()));
  }
  // Far above: Mach 1 at most.
  const auto f =
      flow_at_static_pressure(gas, at_rest(gas, 1e5, 600), reservoir_of(gas, 8e5, 900, 0.3));
  CHECK(f.sonic_limited == 1);
  CHECK(near(mach(gas, f, 0.3), 1, 1e-12));
}

TEST_CASE("end without reflection: nothing leaves faster than sound but what the pipe brings so") {
  // Toro (2009), section 4.4: the sonic point of a fan; no characteristic runs against a supersonic
  // stream, so its flux is that of the pipe's own state.
  const auto gas = constant_gamma_gas(1.33, 290);
  const double c = std::sqrt(1.33 * 290 * 1000);
  const auto wave_at = [&](double outward_mach, double p) {
    return EndWave<double>(gas, Primitive<double>{p / (290 * 1000.0), -outward_mach * c, p, 0.3},
                           1.0);
  };
  for (const double outward : {1.0, 1.3, 2.0}) {
    for (const double p : {0.5e5, 2e5, 6e5}) {
      const auto wave = wave_at(outward, p);
      const auto f = flow_without_reflection(gas, wave, p_atm);
      CHECK(near(f.p, p, 1e-12));
      CHECK(near(f.v, -outward * c, 1e-12));
      CHECK(near(f.mass, wave.rho * f.v, 1e-12));
      CHECK(near(f.momentum, wave.rho * f.v * f.v + p, 1e-12));
    }
  }
  for (const double outward : {0.0, 0.4, 0.8}) {
    const auto f = flow_without_reflection(gas, wave_at(outward, 2e6), 1e3);
    CHECK(near(mach(gas, f, 0.3), 1, 1e-12));
    CHECK(near(f.p, wave_at(outward, 2e6).sonic_outflow_pressure(), 1e-12));
  }
  // Below the speed of sound the end is as before: gas at rest at the pressure beyond stays at
  // rest.
  const auto still = flow_without_reflection(gas, wave_at(0, p_atm), p_atm);
  CHECK(near(still.p, p_atm, 1e-12));
  CHECK(near(still.mass, 0, 0, 1e-9));
}

TEST_CASE("end without reflection: gas comes in as the gas beyond, and leaves as the pipe's own") {
  const auto gas = constant_gamma_gas(1.33, 290);
  const auto state = [&](double T, double u) {
    return EndWave<double>(gas, Primitive<double>{1.1e5 / (290 * T), u, 1.1e5, T / 4000}, 1.0);
  };
  // Entropy from p / rho^gamma of either; velocity and pressure are the wave's alone.
  const auto entropy = [&](double p, double rho) { return p / std::pow(rho, 1.33); };
  for (const double u : {60.0, -60.0}) {
    const auto wave = state(1200, u);
    const auto beyond = state(900, u);
    const auto f = flow_without_reflection(gas, wave, 1.1e5, beyond);
    const auto alone = flow_without_reflection(gas, wave, 1.1e5);
    CHECK(near(f.p, alone.p, 1e-13));
    CHECK(near(f.v, alone.v, 1e-13));
    REQUIRE(f.v * u > 0);
    const auto& source = u > 0 ? beyond : wave;
    CHECK(near(entropy(f.p, f.mass / f.v), entropy(source.p, source.rho), 1e-12));
    CHECK(near(f.burnt / f.mass, source.Y, 1e-12));
  }
}

TEST_CASE("a pack gives the scalar fluxes lane by lane") {
  using solver::Pack;
  constexpr std::size_t width = solver::lanes<Pack>;
  const auto gas = solver::air_and_products(1.87);
  struct Lane {
    Primitive<double> w;
    Reservoir<double> from;
    double phi;
  };
  std::vector<Lane> all;
  const auto state = [&](double p, double T, double u, double Y) {
    return Primitive<double>{p / (gas.gas_constant(Y) * T), u, p, Y};
  };
  all.push_back({state(1e5, 700, 10, 0.2), reservoir_of(gas, 4e5, 1500, 1.0), 0.0});    // wall
  all.push_back({state(1e5, 700, 10, 0.2), reservoir_of(gas, 1.3e5, 1500, 1.0), 0.4});  // enters
  all.push_back({state(2e5, 900, -50, 1.0), reservoir_of(gas, 1e5, 300, 0.0), 0.6});    // leaves
  all.push_back({state(0.05e5, 500, 0, 0.5), reservoir_of(gas, 6e5, 1800, 1.0), 0.5});  // limited
  all.push_back({state(1e5, 300, 0, 0.0), reservoir_of(gas, 1e5, 300, 0.0), 1.0});      // at rest
  all.push_back({state(3e5, 900, -200, 1.0), reservoir_of(gas, 1e5, 300, 0.0), 1.0});   // sonic out
  all.push_back({state(1e5, 300, 40, 0.0), reservoir_of(gas, 1e5, 300, 0.0), 1.0});     // open, in
  all.push_back({state(5e5, 900, 20, 1.0), reservoir_of(gas, 1e5, 300, 0.0), 0.1});  // choked out

  for (std::size_t k = 0; k < 8; ++k) {  // and the same into an impedance boundary
    all.push_back(all[k]);
    all.back().from.impedance = 100;
  }

  const auto scalar = [&](const Lane& lane) {
    return flow_through_orifice(gas, EndWave<double>(gas, lane.w, 1.0), lane.from, lane.phi,
                                lane.phi);
  };
  CHECK(scalar(all[0]).mass == 0);
  CHECK(scalar(all[1]).mass > 0);
  CHECK(scalar(all[2]).mass < 0);
  CHECK(scalar(all[3]).sonic_limited == 1);
  for (std::size_t first = 0; first < all.size(); ++first) {
    for (const std::size_t stride : {std::size_t{1}, std::size_t{3}}) {
      const auto lane = [&](std::size_t k) { return all[(first + stride * k) % all.size()]; };
      const auto pack = [&](auto&& field) { return Pack([&](auto k) { return field(lane(k)); }); };
      const Primitive<Pack> w{
          pack([](const Lane& l) { return l.w.rho; }), pack([](const Lane& l) { return l.w.u; }),
          pack([](const Lane& l) { return l.w.p; }), pack([](const Lane& l) { return l.w.Y; })};
      const Reservoir<Pack> from{pack([](const Lane& l) { return l.from.p; }),
                                 pack([](const Lane& l) { return l.from.h_total; }),
                                 pack([](const Lane& l) { return l.from.Y; }),
                                 pack([](const Lane& l) { return l.from.impedance; })};
      const Pack phi = pack([](const Lane& l) { return l.phi; });
      const EndFlux<Pack> f = flow_through_orifice(gas, EndWave<Pack>(gas, w, 1.0), from, phi, phi);
      for (std::size_t k = 0; k < width; ++k) {
        const EndFlux<double> s = scalar(lane(k));
        // Both stop at the same tolerance of the root.
        CHECK(near(f.mass[k], s.mass, 1e-12, 1e-12));
        CHECK(near(f.momentum[k], s.momentum, 1e-12));
        CHECK(near(f.energy[k], s.energy, 1e-12, 1e-6));
        CHECK(near(f.burnt[k], s.burnt, 1e-12, 1e-12));
        CHECK(near(f.p[k], s.p, 1e-12));
        CHECK(near(f.v[k], s.v, 1e-12, 1e-12));
        CHECK(f.sonic_limited[k] == s.sonic_limited);
      }
    }
  }
}

}  // namespace pulsewright::tests
