// The record of a cycle: the highest Mach number with its place and angle, and cones that are
// passed too fast for their loss coefficient. Traces and wave diagram: point_simulation_test.
#include "models/figures/cycle_record.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/textbook_air.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

constexpr double T = 300;

// Three pipes, of which the first two are an exhaust; the second is a cone that widens to the
// right.
EngineSpecification three_pipes() {
  EngineSpecification e;
  e.cylinders.resize(1);
  e.exhaust_paths = {{0, {0, 1}}};
  for (const char* name : {"primary", "cone", "runner"}) {
    e.pipes.push_back(smooth_pipe(name, 1, 0.04, 0.1));
    const int i = static_cast<int>(e.pipes.size()) - 1;
    e.closed_ends.push_back({{i, Side::left}});
    e.closed_ends.push_back({{i, Side::right}});
  }
  e.pipes[1].profile = {{0, 0.04}, {0.5, 0.04}, {1, 0.06}};
  return e;
}

struct Recorded {
  EngineSpecification engine = three_pipes();
  Network network;
  CycleRecord record;

  Recorded()
      : network(piped(engine), constant_gamma_gas(g, R), LimiterChoice::minmod),
        record(engine, settings()) {}
  // The gas of a pipe moves with Mach number mach(x).
  template <class Mach>
  void set(std::size_t pipe, Mach mach) {
    const double c = std::sqrt(g * R * T);
    solver::Pipe& p = network.pipe_set().pipes()[pipe];
    p.fill(network.gas(), [&](double x) {
      return solver::Primitive<double>{1.2, mach(x) * c, 1.2 * R * T, 0.0};
    });
    p.refresh(network.gas());
  }
  PointResult result() const {
    PointResult r;
    record.finish(r);
    return r;
  }

 private:
  static EngineSpecification piped(EngineSpecification e) {  // without what needs a valve
    e.cylinders.clear();
    e.exhaust_paths.clear();
    return e;
  }
  static RunSettings settings() {
    RunSettings s;
    s.store_traces = false;
    return s;  // samples every 2 deg
  }
};

}  // namespace

TEST_CASE("the highest Mach number: pipe, distance and crank angle") {
  Recorded r;
  r.set(0, [](double x) { return x > 0.3 && x < 0.4 ? -0.6 : 0.1; });
  r.set(2, [](double) { return 0.9; });  // not of the exhaust
  r.record.add_network(99.5, 100.5, r.network);
  r.set(0, [](double) { return 0.5; });
  r.set(1, [](double x) { return x < 0.1 ? 0.4 : 0.0; });
  r.record.add_network(101.5, 102.5, r.network);
  const PointResult result = r.result();
  CHECK(near(result.pipes[0].peak_mach, 0.6, 1e-12));
  CHECK(near(result.pipes[0].peak_mach_distance, 0.35, 1e-12));
  CHECK(near(result.pipes[0].peak_mach_angle, 100.5, 1e-12));
  CHECK(near(result.pipes[1].peak_mach, 0.4, 1e-12));
  CHECK(near(result.pipes[1].peak_mach_distance, 0.05, 1e-12));
  CHECK(near(result.pipes[1].peak_mach_angle, 102.5, 1e-12));
  CHECK(near(result.pipes[2].peak_mach, 0.9, 1e-12));
  CHECK(near(result.exhaust_peak_mach, 0.6, 1e-12));
  CHECK(result.exhaust_peak_mach_pipe == 0);
}

TEST_CASE("a cone counts as fast where its gas widens beyond Mach 0.5") {
  const auto counted = [](double mach_in_cone, double mach_before, double before, double after) {
    Recorded r;
    r.set(1, [&](double x) { return x > 0.5 ? mach_in_cone : mach_before; });
    r.record.add_network(before, after, r.network);
    return r.result().pipes[1].fast_cone_angle;
  };
  CHECK(counted(0.51, 0, 99.5, 100.5) == 2);  // one sample stands for 2 deg
  CHECK(counted(0.51, 0, 99.5, 104.5) == 6);
  CHECK(counted(0.51, 0, 100.5, 101.5) == 0);  // no sample
  CHECK(counted(0.49, 0, 99.5, 100.5) == 0);
  CHECK(counted(-0.8, 0, 99.5, 100.5) == 0);   // into the narrow end: no loss
  CHECK(counted(0.2, 0.9, 99.5, 100.5) == 0);  // fast in the straight part
}

TEST_CASE("at Mach 0.5 the incompressible loss of an enlargement is a fifth too low") {
  // Total pressure over a sudden enlargement to twice the area, gamma 1.4: 0.955939 of that before
  // it at Mach 0.5 (mass, energy and momentum with the pressure before it on the face; Benedict,
  // Carlucci & Swetz, J. Eng. Power 88 (1966) 73, computed from the equations).
  const double dynamic = 0.5 * g * 0.25 / std::pow(1 + 0.2 * 0.25, 3.5);  // over p_0
  const double K = diffuser_loss(180, 2);
  CHECK(near((1 - 0.955939) / (K * dynamic), 1.2, 0.01));
}

}  // namespace pulsewright::tests
