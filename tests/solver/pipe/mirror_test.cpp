// A mirrored pipe gives mirrored gas, and packs of every instruction set give what doubles give, to
// the last bit.
#include <doctest/doctest.h>
#include <utility>

#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/rig/tube.hpp"

using namespace pulsewright::solver;
using namespace pulsewright::tests;
using namespace pulsewright::validation;

namespace {

// Number of cells whose states are not mirror images.
int unmirrored_cells(const Pipe& d, const Pipe& m) {
  const auto n = static_cast<std::ptrdiff_t>(d.cells());
  int count = 0;
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    const std::ptrdiff_t k = n - 1 - i;
    if (d.rho[i] != m.rho[k] || d.momentum[i] != -m.momentum[k] ||
        d.energy_density[i] != m.energy_density[k] || d.burnt_density[i] != m.burnt_density[k]) {
      ++count;
    }
  }
  return count;
}

// A taper whose dimensions have few binary digits, so that the mirrored geometry can be built
// without rounding: 48 cells of 1/32 m, diameter from 1/32 to 1/16 m in steps of 2^-11 m per cell.
constexpr std::size_t taper_cells = 48;
constexpr double taper_length = 1.5;

Pipe taper(bool mirror) {
  return {"taper",
          taper_length,
          taper_cells,
          [=](double x) { return (2.0 + (mirror ? taper_length - x : x)) / 64.0; },
          {0.0, taper_length}};
}

// Friction, heat transfer and walls that vary along the pipe.
void roughen(Pipe& d, bool mirror) {
  const auto n = static_cast<std::ptrdiff_t>(d.cells());
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    const auto k = static_cast<double>(mirror ? n - 1 - i : i);
    d.laminar[i] = 3.0 + 0.1 * k;
    d.turbulent[i] = 0.4 + 0.02 * k;
    d.heat_transfer[i] = 4e4 + 300.0 * k;
    d.T_wall[i] = 500.0 + 5.0 * k;
  }
}

Primitive<double> uneven(const Gas& gas, double cell) {
  const double T = 400.0 + 15.0 * cell;
  const double Y = cell < 20 ? 0.0 : (cell < 30 ? 0.5 : 1.0);
  const double p = cell < 11 ? 3e5 : 1e5;
  return {p / (gas.gas_constant(Y) * T), 40.0 - 3.0 * cell, p, Y};
}

void fill_by_cell(Pipe& d, const Gas& gas, bool mirror) {
  d.fill(gas, [&](double x) {
    const auto i = static_cast<double>(static_cast<int>(x / d.dx()));
    const Primitive<double> w = uneven(gas, mirror ? static_cast<double>(d.cells()) - 1.0 - i : i);
    return Primitive<double>{w.rho, mirror ? -w.u : w.u, w.p, w.Y};
  });
}

}  // namespace

TEST_CASE_TEMPLATE("mirrored Sod tube", Limiter, LimiterMonotonizedCentral, LimiterMinmod,
                   LimiterVanLeer, LimiterFlat) {
  const Gas gas = gas_of_constant_gamma(1.4);
  for (const std::size_t n : {100U, 101U, 127U}) {
    CAPTURE(n);
    Pipe d = straight_pipe(n);
    Pipe m = straight_pipe(n);
    const std::size_t split = n / 3;
    const auto state = [](bool high) {
      return high ? Primitive<double>{1, 0, 1, 1} : Primitive<double>{0.125, 0, 0.1, 0};
    };
    d.fill(gas, [&](double x) { return state(x < static_cast<double>(split) * d.dx()); });
    m.fill(gas, [&](double x) { return state(x > static_cast<double>(n - split) * m.dx()); });
    REQUIRE(unmirrored_cells(d, m) == 0);
    run<FluxHllc, Limiter>(d, gas, 0.9,
                           EndsWall{gas});  // shock and rarefaction have met both walls
    run<FluxHllc, Limiter>(m, gas, 0.9, EndsWall{gas});
    CHECK(unmirrored_cells(d, m) == 0);
    CHECK(std::abs(d.u[static_cast<std::ptrdiff_t>(n / 2)]) > 1e-3);  // there is motion to mirror
  }
}

TEST_CASE("mirrored taper with friction, heat and uneven gas") {
  const Gas gas = air_and_products(1.87);
  Pipe d = taper(false);
  Pipe m = taper(true);
  for (std::ptrdiff_t i = 0; i < static_cast<std::ptrdiff_t>(taper_cells); ++i) {
    const std::ptrdiff_t k = static_cast<std::ptrdiff_t>(taper_cells) - 1 - i;
    REQUIRE(d.volume[i] == m.volume[k]);
    REQUIRE(d.area_rise[i] == -m.area_rise[k]);
  }
  roughen(d, false);
  roughen(m, true);
  fill_by_cell(d, gas, false);
  fill_by_cell(m, gas, true);
  REQUIRE(unmirrored_cells(d, m) == 0);
  SUBCASE("between walls") {
    const Run a = run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 0.01, EndsWall{gas});
    const Run b = run<FluxHllc, LimiterMonotonizedCentral>(m, gas, 0.01, EndsWall{gas});
    CHECK(a.steps == b.steps);
    CHECK(a.steps > 200);
  }
  SUBCASE("flowing out of its ends") {
    run<FluxHllc, LimiterVanLeer>(d, gas, 0.01, EndsTransmissive{gas});
    run<FluxHllc, LimiterVanLeer>(m, gas, 0.01, EndsTransmissive{gas});
  }
  CHECK(unmirrored_cells(d, m) == 0);
}

TEST_CASE("one step of a pipe in packs equals the same step cell by cell") {
  const Gas gas = air_and_products(1.87);
  using Update = PipeUpdate<FluxHllc, LimiterMonotonizedCentral>;
  using Kernels = PipeKernels<TwoGasWithSources, FluxHllc, LimiterMonotonizedCentral, Pack>;
  for (const std::size_t n : {4U, 5U, 7U, 8U, 9U, 13U, 16U, 17U, 31U, 48U, 71U, 73U, 130U}) {
    CAPTURE(n);
    Pipe packs("pipe", 0.03 * static_cast<double>(n), n, [](double x) { return 0.04 + 0.02 * x; },
               {0.0, 0.03 * static_cast<double>(n)});
    roughen(packs, false);
    fill_by_cell(packs, gas, false);
    Pipe cells = packs;
    for (int step = 0; step < 20; ++step) {
      const double dt = 0.8 * packs.dx() / packs.refresh(gas);
      Update::predict(packs, gas, dt);
      // The ghost values are filled by predict(); only they are taken over.
      const auto last = static_cast<std::ptrdiff_t>(n);
      for (const auto& [to, from] :
           {std::pair{&cells.rho, &packs.rho}, std::pair{&cells.u, &packs.u},
            std::pair{&cells.p, &packs.p}, std::pair{&cells.Y, &packs.Y}}) {
        (*to)[-1] = (*from)[-1];
        (*to)[last] = (*from)[last];
      }
      for (std::size_t i = 0; i < n; ++i)
        Kernels::predict_cell<double>(cells.pointers(), gas, dt, i);
      for (std::size_t i = 1; i < n; ++i) {
        const auto k = static_cast<std::ptrdiff_t>(i);
        const Flux<double> f = FluxHllc::between(
            gas,
            Primitive<double>{cells.r_rho[k - 1], cells.r_u[k - 1], cells.r_p[k - 1],
                              cells.r_Y[k - 1]},
            Primitive<double>{cells.l_rho[k], cells.l_u[k], cells.l_p[k], cells.l_Y[k]});
        cells.f_mass[k - 1] = f.mass;
        cells.f_momentum[k - 1] = f.momentum;
        cells.f_energy[k - 1] = f.energy;
        cells.f_burnt[k - 1] = f.burnt;
      }
      EndsWall{gas}(packs);
      cells.set_ends(
          {{cells.l_rho[0], cells.l_u[0], cells.l_p[0], cells.l_Y[0]},
           {cells.r_rho[last - 1], cells.r_u[last - 1], cells.r_p[last - 1], cells.r_Y[last - 1]}});
      EndsWall{gas}(cells);
      cells.put_end_fluxes();
      StateChecks<double> checks;
      for (std::size_t i = 0; i < n; ++i) {
        Kernels::apply_cell<double>(cells.pointers(), gas, dt, i, checks);
      }
      cells.rho.swap(cells.next_rho);
      cells.momentum.swap(cells.next_momentum);
      cells.energy_density.swap(cells.next_energy);
      cells.burnt_density.swap(cells.next_burnt);
      const auto advanced = Update::advance(packs, gas, dt);
      REQUIRE(checks.sum().fastest == advanced.fastest);
      cells.refresh(gas);
      int unequal = 0;
      for (std::ptrdiff_t k = 0; k < last; ++k) {
        if (cells.rho[k] != packs.rho[k] || cells.momentum[k] != packs.momentum[k] ||
            cells.energy_density[k] != packs.energy_density[k] ||
            cells.burnt_density[k] != packs.burnt_density[k]) {
          ++unequal;
        }
        // The primitives are those of the conserved state: by the gas itself, one cell at a time.
        const double u = packs.momentum[k] / packs.rho[k];
        const double Y = packs.burnt_density[k] / packs.rho[k];
        const double T = gas.temperature(packs.energy_density[k] / packs.rho[k] - 0.5 * u * u, Y);
        REQUIRE(near(packs.u[k], u, 1e-14));
        REQUIRE(near(packs.Y[k], Y, 1e-14));
        REQUIRE(near(packs.T[k], T, 1e-13));
        REQUIRE(near(packs.p[k], packs.rho[k] * gas.gas_constant(Y) * T, 1e-13));
      }
      REQUIRE(unequal == 0);
    }
  }
}

TEST_CASE("a pipe: every instruction set gives the same bits") {
  const Gas gas = air_and_products(1.87);
  using Update = PipeUpdate<FluxHllc, LimiterMonotonizedCentral>;  // in the set in use
  for (const InstructionSet set : instruction_sets) {
    if (!supported(set)) {
      MESSAGE("not supported by this processor or this build: ", name_of(set));
      continue;
    }
    const PipeKernelTable& kernels = pipe_kernels.of(set).two_gas_with_sources.pipe;
    for (const std::size_t n : {4U, 7U, 8U, 9U, 15U, 16U, 17U, 23U, 40U, 65U, 72U, 73U, 130U}) {
      CAPTURE(name_of(set));
      CAPTURE(n);
      Pipe a("pipe", 0.03 * static_cast<double>(n), n, [](double x) { return 0.04 + 0.02 * x; },
             {0.0, 0.03 * static_cast<double>(n)});
      roughen(a, false);
      fill_by_cell(a, gas, false);
      a.refresh(gas);
      Pipe b = a;
      for (int step = 0; step < 20; ++step) {
        const double dt = 0.8 * a.dx() / a.refresh(gas);
        b.refresh(gas);
        Update::predict(a, gas, dt);
        for (const auto& [to, from] : {std::pair{&b.rho, &a.rho}, std::pair{&b.u, &a.u},
                                       std::pair{&b.p, &a.p}, std::pair{&b.Y, &a.Y}}) {
          (*to)[-1] = (*from)[-1];
          (*to)[static_cast<std::ptrdiff_t>(n)] = (*from)[static_cast<std::ptrdiff_t>(n)];
        }
        b.set_ends(kernels.predict_ends(b.pointers(), n, gas, dt));
        EndsWall{gas}(a);
        EndsWall{gas}(b);
        b.put_end_fluxes();
        const auto advanced = Update::advance(a, gas, dt);
        const PipeStepResult result = kernels.advance(b.pointers(), n, gas, dt);
        REQUIRE(result.used_first_order_fallback == advanced.used_first_order_fallback);
        REQUIRE(result.check.fastest == advanced.fastest);
        b.rho.swap(b.next_rho);
        b.momentum.swap(b.next_momentum);
        b.energy_density.swap(b.next_energy);
        b.burnt_density.swap(b.next_burnt);
        for (std::ptrdiff_t k = 0; k < static_cast<std::ptrdiff_t>(n); ++k) {
          REQUIRE(a.rho[k] == b.rho[k]);
          REQUIRE(a.momentum[k] == b.momentum[k]);
          REQUIRE(a.energy_density[k] == b.energy_density[k]);
          REQUIRE(a.burnt_density[k] == b.burnt_density[k]);
          REQUIRE(a.p[k] == b.p[k]);
          REQUIRE(a.T[k] == b.T[k]);
        }
      }
    }
  }
}
