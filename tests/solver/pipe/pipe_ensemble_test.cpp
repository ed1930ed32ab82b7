// Pipes of an ensemble against the same pipes alone: the kernels share their formulas, so every
// number must be the same to the last bit.
#include "solver/pipe/pipe_ensemble.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <memory>

#include "solver/gas/fault.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "solver/pipe/pipe_update.hpp"
#include "tests/near.hpp"

using namespace pulsewright::solver;
namespace tests = pulsewright::tests;

namespace {

using Update = PipeUpdate<FluxHllc, LimiterMonotonizedCentral>;

const EnsembleKernelTable& kernels() {
  return scheme_kernels<FluxHllc, LimiterMonotonizedCentral>().two_gas_with_sources.ensemble;
}

const Gas& burnt_air() {
  static const Gas the_gas = air_and_products(1.87);
  return the_gas;
}

// Pipe number k of a set that differs in length, taper, gas and walls.
Pipe test_pipe(std::size_t cells, int k) {
  const double length = 0.011 * static_cast<double>(cells) * (1 + 0.03 * k);
  Pipe pipe("pipe", length, cells, [=](double x) { return 0.040 + 0.001 * k + 0.01 * x / length; },
            {0.0, length});
  pipe.fill(burnt_air(), [&](double x) {
    const double wave = std::sin(20.0 * x + k);
    // a step in pressure, so that the limiter has something to do
    const double p = (x < 0.4 * length ? 1.6e5 : 1.0e5) + 1e4 * wave;
    const double Y = 0.5 + 0.4 * wave;
    return Primitive<double>{p / (burnt_air().gas_constant(Y) * (600.0 + 40.0 * k)), 60.0 * wave, p,
                             Y};
  });
  for (std::size_t i = 0; i < cells; ++i) {
    const auto c = static_cast<std::ptrdiff_t>(i);
    pipe.laminar[c] = 2.0;
    pipe.turbulent[c] = 0.3 + 0.1 * k;
    pipe.heat_transfer[c] = 3000.0 + 100.0 * k;
    pipe.T_wall[c] = 500.0 + 5.0 * k;
  }
  return pipe;
}

double time_step(int k) { return 1e-6 * (8 + 0.3 * k); }

// The boundaries: a wall at the left, an end that lets gas out at the right.
void close(Pipe& pipe) {
  pipe.set_flux_left({0, pipe.left_end().p, 0, 0});
  pipe.set_flux_right(physical_flux(burnt_air(), pipe.right_end()));
}

void check_equal(const Pipe& a, const Pipe& b) {
  for (std::size_t i = 0; i < a.cells(); ++i) {
    const auto c = static_cast<std::ptrdiff_t>(i);
    for (const auto field : {&Pipe::rho, &Pipe::momentum, &Pipe::energy_density,
                             &Pipe::burnt_density, &Pipe::u, &Pipe::p, &Pipe::T, &Pipe::Y,
                             &Pipe::wall_heat, &Pipe::inverse_rho, &Pipe::gamma_less_1}) {
      REQUIRE((a.*field)[c] == (b.*field)[c]);
    }
  }
  CHECK(a.heat_transfer_time == b.heat_transfer_time);
}

}  // namespace

TEST_CASE("ensemble: pipes compute what they compute alone, bit for bit") {
  for (const std::size_t cells : {4u, 5u, 10u, 37u}) {
    CAPTURE(cells);
    std::vector<Pipe> alone;
    for (int k = 0; k < 8; ++k) alone.push_back(test_pipe(cells, k));
    std::vector<Pipe> together = alone;
    PipeEnsemble ensemble(together.front(), kernels(), burnt_air());
    EnsembleValues dt{};
    // Two slots stay free.
    for (const int k : {0, 1, 2, 4, 5, 7}) {
      ensemble.assign(static_cast<std::size_t>(k), together[static_cast<std::size_t>(k)]);
      dt.at[k] = time_step(k);
    }
    for (int step = 0; step < 60; ++step) {
      ensemble.predict(dt);
      for (const int k : {0, 1, 2, 4, 5, 7}) close(together[static_cast<std::size_t>(k)]);
      ensemble.advance(dt);
      for (const int k : {0, 1, 2, 4, 5, 7}) {
        const auto i = static_cast<std::size_t>(k);
        Update::predict(alone[i], burnt_air(), time_step(k));
        close(alone[i]);
        const auto step_alone = Update::advance(alone[i], burnt_air(), time_step(k));
        REQUIRE(together[i].checked(ensemble.check(i), burnt_air()) == step_alone.fastest);
        REQUIRE(ensemble.used_first_order_fallback(i) == step_alone.used_first_order_fallback);
      }
    }
    // Read while in the ensemble, and after the release.
    check_equal(together[2], alone[2]);
    for (const std::size_t k : {0u, 1u, 2u, 4u, 5u, 7u}) {
      ensemble.release(k);
      check_equal(together[k], alone[k]);
    }
    check_equal(together[3], test_pipe(cells, 3));
    // The gas has moved, else this would prove little.
    CHECK(std::abs(alone[0].p[1] - test_pipe(cells, 0).p[1]) > 1e3);
  }
}

TEST_CASE(
    "kernels for a gas of constant gamma without walls: the same bits in an ensemble and along a "
    "pipe, and the numbers of the full ones") {
  const Constituent one = constituent_of_constant_gamma(1.37, 290);
  const Gas simple{one, one};
  REQUIRE(GasOfConstantGamma::is(simple));
  REQUIRE_FALSE(GasOfConstantGamma::is(burnt_air()));
  const SchemeKernels& scheme = scheme_kernels<FluxHllc, LimiterMonotonizedCentral>();
  std::vector<Pipe> alone;
  for (int k = 0; k < 8; ++k) {
    Pipe pipe("pipe", 0.3 + 0.01 * k, 23, [=](double x) { return 0.04 + 0.01 * x; }, {0.0, 0.5});
    pipe.fill(simple, [&](double x) {
      const double p = x < 0.15 ? 2.5e5 : 1.0e5;
      return Primitive<double>{p / (290 * (400.0 + 30 * k)), 40 * std::sin(9 * x), p, 0.5 + x};
    });
    pipe.has_walls = false;
    alone.push_back(pipe);
  }
  std::vector<Pipe> together = alone;
  std::vector<Pipe> full = alone;
  for (auto& pipe : full) pipe.has_walls = true;  // none of any effect
  PipeEnsemble ensemble(together.front(), scheme.perfect_gas_adiabatic.ensemble, simple);
  CHECK(ensemble.steps_by(Update::ensemble_kernels(alone.front(), simple), simple));
  CHECK_FALSE(ensemble.steps_by(Update::ensemble_kernels(full.front(), simple), simple));
  EnsembleValues dt{};
  for (std::size_t k = 0; k < 8; ++k) {
    ensemble.assign(k, together[k]);
    dt.at[k] = time_step(static_cast<int>(k));
  }
  const auto close_at_walls = [](Pipe& pipe) {
    pipe.set_flux_left({0, pipe.left_end().p, 0, 0});
    pipe.set_flux_right({0, pipe.right_end().p, 0, 0});
  };
  for (int step = 0; step < 60; ++step) {
    ensemble.predict(dt);
    for (auto& pipe : together) close_at_walls(pipe);
    ensemble.advance(dt);
    for (std::size_t k = 0; k < 8; ++k) {
      for (auto* set : {&alone, &full}) {
        Pipe& pipe = (*set)[k];
        Update::predict(pipe, simple, dt.at[k]);
        close_at_walls(pipe);
        Update::advance(pipe, simple, dt.at[k]);
      }
    }
  }
  for (std::size_t k = 0; k < 8; ++k) {
    ensemble.release(k);
    check_equal(together[k], alone[k]);
    for (std::ptrdiff_t c = 0; c < 23; ++c) {
      // The same formulas in another order.
      CHECK(tests::near(alone[k].p[c], full[k].p[c], 1e-11));
      CHECK(tests::near(alone[k].u[c], full[k].u[c], 1e-11, 1e-8));
      CHECK(tests::near(alone[k].T[c], full[k].T[c], 1e-11));
      CHECK(tests::near(alone[k].Y[c], full[k].Y[c], 1e-11));
    }
  }
}

TEST_CASE("ensemble: every instruction set gives the same bits") {
  std::vector<std::vector<Pipe>> results;
  for (const InstructionSet set : instruction_sets) {
    if (!supported(set)) {
      MESSAGE("not supported by this processor or this build: ", name_of(set));
      continue;
    }
    std::vector<Pipe> pipes;
    for (int k = 0; k < 8; ++k) pipes.push_back(test_pipe(21, k));
    PipeEnsemble ensemble(pipes.front(), pipe_kernels.of(set).two_gas_with_sources.ensemble,
                          burnt_air());
    EnsembleValues dt{};
    for (std::size_t k = 0; k < pipes.size(); ++k) {
      ensemble.assign(k, pipes[k]);
      dt.at[k] = time_step(static_cast<int>(k));
    }
    for (int step = 0; step < 60; ++step) {
      ensemble.predict(dt);
      for (auto& pipe : pipes) close(pipe);
      ensemble.advance(dt);
    }
    for (std::size_t k = 0; k < pipes.size(); ++k) ensemble.release(k);
    results.push_back(pipes);
  }
  REQUIRE(!results.empty());
  for (std::size_t i = 1; i < results.size(); ++i) {
    for (std::size_t k = 0; k < results[i].size(); ++k) check_equal(results[i][k], results[0][k]);
  }
}

TEST_CASE("ensemble: a released pipe can go on alone, and its slot can be taken again") {
  Pipe reference = test_pipe(12, 3);
  Pipe moving = reference;
  Pipe other = test_pipe(12, 6);
  PipeEnsemble ensemble(reference, kernels(), burnt_air());
  EnsembleValues dt{};
  const auto alone = [](Pipe& pipe) {
    Update::predict(pipe, burnt_air(), time_step(3));
    close(pipe);
    Update::advance(pipe, burnt_air(), time_step(3));
  };
  const auto in_slot = [&](std::size_t slot, Pipe& pipe) {
    dt = {};
    dt.at[slot] = time_step(3);
    ensemble.predict(dt);
    close(pipe);
    ensemble.advance(dt);
  };
  ensemble.assign(5, moving);
  for (int i = 0; i < 10; ++i) in_slot(5, moving);
  ensemble.release(5);
  ensemble.assign(5, other);
  for (int i = 0; i < 10; ++i) alone(moving);
  ensemble.assign(2, moving);
  dt = {};
  for (int i = 0; i < 10; ++i) in_slot(2, moving);
  ensemble.release(2);
  ensemble.release(5);
  for (int i = 0; i < 30; ++i) alone(reference);
  check_equal(moving, reference);
  check_equal(other, test_pipe(12, 6));  // without a time step nothing moved
}

TEST_CASE("ensemble: a copy of an assigned pipe stands for itself, an old state can be put back") {
  Pipe pipe = test_pipe(9, 1);
  const Pipe before = pipe;
  PipeEnsemble ensemble(pipe, kernels(), burnt_air());
  ensemble.assign(0, pipe);
  const Pipe kept = pipe;
  EnsembleValues dt{};
  dt.at[0] = time_step(1);
  ensemble.predict(dt);
  close(pipe);
  ensemble.advance(dt);
  CHECK(kept.rho[3] == before.rho[3]);
  CHECK(pipe.rho[3] != before.rho[3]);
  const double once = pipe.rho[3];
  pipe = kept;
  check_equal(pipe, before);
  ensemble.predict(dt);
  close(pipe);
  ensemble.advance(dt);
  CHECK(pipe.rho[3] == once);
  ensemble.release(0);
}

TEST_CASE("ensemble: a state that is not valid is reported for its own slot only") {
  std::vector<Pipe> pipes;
  for (int k = 0; k < 3; ++k) pipes.push_back(test_pipe(8, k));
  pipes[1].energy_density[4] = -1.0;
  PipeEnsemble ensemble(pipes.front(), kernels(), burnt_air());
  EnsembleValues dt{};
  for (std::size_t k = 0; k < 3; ++k) {
    ensemble.assign(k, pipes[k]);
    dt.at[k] = time_step(0);
  }
  ensemble.predict(dt);
  for (auto& pipe : pipes) close(pipe);
  ensemble.advance(dt);
  CHECK(pipes[0].checked(ensemble.check(0), burnt_air()) > 100);
  CHECK(pipes[2].checked(ensemble.check(2), burnt_air()) > 100);
  CHECK_THROWS_AS(pipes[1].checked(ensemble.check(1), burnt_air()), Fault);
  for (std::size_t k = 0; k < 3; ++k) ensemble.release(k);
}

TEST_CASE("ensemble: pipes of other numbers of cells and taken slots are refused") {
  Pipe pipe = test_pipe(8, 0);
  Pipe longer = test_pipe(9, 0);
  PipeEnsemble ensemble(pipe, kernels(), burnt_air());
  ensemble.assign(1, pipe);
  CHECK_THROWS_AS(ensemble.assign(0, longer), std::invalid_argument);
  CHECK_THROWS_AS(ensemble.assign(1, pipe), std::invalid_argument);
  ensemble.release(1);
  const auto& without = PipeUpdate<FluxHllc, LimiterMinmod>::ensemble_kernels(pipe, burnt_air());
  CHECK_THROWS_AS(PipeEnsemble(pipe, without, burnt_air()), std::invalid_argument);
}
