// Pipes and what they end in, as a whole: construction, reflection, resonance.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

#include "models/figures/cycle_record.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

// From all of another network.
void start_all(Network& to, const Network& from) {
  std::vector<Network::Source> pipes, cylinders;
  for (std::size_t i = 0; i < from.pipes().size(); ++i) pipes.push_back({&from, i});
  for (std::size_t i = 0; i < from.cylinders().size(); ++i) cylinders.push_back({&from, i});
  to.start_from(pipes, cylinders);
}

EngineSpecification one_pipe(double length, double diameter, double cell_size) {
  EngineSpecification e;
  e.pipes = {smooth_pipe("pipe", length, diameter, cell_size)};
  return e;
}

OpenEndSpecification open_end(double area_ratio, double entry_loss, bool corrected) {
  OpenEndSpecification open;
  open.end = {0, Side::right};
  open.effective_area_ratio = area_ratio;
  open.entry_loss = entry_loss;
  open.end_correction = corrected;
  return open;
}

void check_refused(const EngineSpecification& e, const std::string& word) {
  try {
    Network(e, constant_gamma_gas(), LimiterChoice::van_leer);
    FAIL("was accepted");
  } catch (const std::invalid_argument& error) {
    CAPTURE(error.what());
    CHECK(std::string(error.what()).find(word) != std::string::npos);
  }
}

}  // namespace

TEST_CASE("a network whose ends do not match is refused by name") {
  EngineSpecification e = one_pipe(1, 0.04, 0.1);
  e.closed_ends = {{{0, Side::left}}};
  check_refused(e, "right end of pipe 'pipe' is used 0 times");
  e.closed_ends = {{{0, Side::left}}, {{0, Side::right}}, {{0, Side::left}}};
  check_refused(e, "left end of pipe 'pipe' is used 2 times");
  e.closed_ends = {{{0, Side::left}}, {{0, Side::right}}, {{1, Side::left}}};
  check_refused(e, "does not exist");
  e.closed_ends = {{{0, Side::left}}, {{0, Side::right}}, {{-1, Side::left}}};
  check_refused(e, "does not exist");
  e.closed_ends = {{{0, Side::left}}, {{0, Side::right}}};
  e.pipes[0].profile.clear();
  check_refused(e, "'pipe': has no diameter");
  e.pipes[0].profile = {{0, 0.0}};
  check_refused(e, "'pipe': diameter must be positive");
  e.pipes[0].profile = {{0, 0.04}};
  e.pipes[0].length = 0;
  check_refused(e, "'pipe': length must be positive");
  e.pipes[0].length = 1;
  CHECK_NOTHROW(Network(e, constant_gamma_gas(), LimiterChoice::van_leer));
}

TEST_CASE("the sample V8 with one tube too many is refused") {
  EngineSpecification e = cross_plane_v8({{1, 3, 5, 7}, {8, 4, 6, 2}}, 0.8, 0.02);
  e.junctions[0].branches.push_back(e.junctions[2].branches[0]);
  check_refused(e, "used 2 times");
}

TEST_CASE("pipes are as long as given, cells are at least four") {
  EngineSpecification e = one_pipe(0.5, 0.04, 0.2);
  OpenEndSpecification open;
  open.end = {0, Side::right};
  e.open_ends.push_back(open);
  e.closed_ends = {{{0, Side::left}}};
  const Network net(e, constant_gamma_gas(), LimiterChoice::van_leer);
  CHECK(near(net.pipes()[0].length(), 0.5, 1e-12));
  CHECK(net.pipes()[0].cells() == 4);
}

namespace {

// Sends a pulse from the left end of a pipe whose right end is given, and returns the peak of what
// comes back over the peak of what was sent, as pressure amplitudes.
double reflection(EngineSpecification e, double height) {
  const auto gas = constant_gamma_gas();
  constexpr double duration = 2e-3;
  PipeRig rig(with_wave(std::move(e), {0, Side::left}, pulse(p_atm, height, duration)), gas);
  const auto& d = rig.pipe(0);
  double sent = 0;
  double back = 0;
  const double c = gas.sound_speed(T_atm, 0.0);
  rig.run_until(duration + 1.9 * d.length() / c, [&] {
    const auto w = d.state(d.cells() / 2);
    const auto split = split_wave(w.p, w.u, std::sqrt(1.4 * w.p / w.rho), 1.4, p_atm);
    sent = std::max(sent, split.outgoing);
    if (std::abs(split.returning) > std::abs(back)) back = split.returning;
  });
  return back / sent;
}

}  // namespace

TEST_CASE("what comes back from an end") {
  EngineSpecification anechoic = one_pipe(2, 0.04, 0.02);
  anechoic.anechoic_ends = {{{0, Side::right}}};
  EngineSpecification closed = one_pipe(2, 0.04, 0.02);
  closed.closed_ends = {{{0, Side::right}}};
  EngineSpecification open = one_pipe(2, 0.04, 0.02);
  open.open_ends.push_back(open_end(1.0, 0.0, false));

  // Heights as in an exhaust: 0.2 to 0.5 bar. Bound of half a per cent: of our own choosing.
  double worst = 0;
  for (const double height : {100.0, 40e3, 100e3}) {
    worst = std::max(worst, std::abs(reflection(anechoic, height)));
  }
  MESSAGE("greatest share that an anechoic end returns: ", worst);
  CHECK(worst < 5e-3);
  // Small waves: +1 from a wall and -1 from an open end, e.g. Munjal (1987), chapter 2.
  CHECK(near(reflection(closed, 100), 1, 0.01));
  CHECK(near(reflection(open, 100), -1, 0.01));
  // An orifice plate between the two returns less than either.
  EngineSpecification orifice = open;
  orifice.open_ends[0].effective_area_ratio = 0.3;
  const double partly = reflection(orifice, 40e3);
  CHECK(partly > reflection(open, 40e3));
  CHECK(partly < reflection(closed, 40e3));
}

TEST_CASE("a pulse from a hot pipe leaves mass, burnt mass and energy in the ledger of the tail") {
  const solver::Gas gas{{287.05, 650, 0.2}, {286.6, 720, 0.22}};
  EngineSpecification e = one_pipe(0.5, 0.04, 0.02);
  e.closed_ends = {{{0, Side::left}}};
  e.open_ends.push_back(open_end(0.7, 0.5, true));
  e.pipes[0].initial_pressure = 3e5;
  e.pipes[0].initial_temperature = 1200;
  e.pipes[0].initial_burnt = 1;
  e.pipes[0].heat = PipeHeatLaw::reynolds_analogy;
  e.pipes[0].friction = true;
  PipeRig rig(e, gas);
  const Content start = rig.network().content();
  rig.run_until(0.02);
  const Content end = rig.network().content();
  const Content out = rig.network().outlets()[0];
  CHECK(out.mass > 0.3 * start.mass);
  CHECK(near(end.mass + out.mass, start.mass, 1e-12));
  CHECK(near(end.burnt + out.burnt, start.burnt, 1e-12));
  CHECK(rig.network().wall_heat() < 0);
  CHECK(near(end.energy + out.energy - rig.network().wall_heat(), start.energy, 1e-12));
}

TEST_CASE("start from another grid takes over the state of the gas") {
  const auto gas = constant_gamma_gas();
  EngineSpecification coarse = one_pipe(1, 0.04, 0.02);
  coarse.closed_ends = {{{0, Side::left}}, {{0, Side::right}}};
  coarse.pipes[0].initial_pressure = 2e5;
  coarse.pipes[0].initial_temperature = 500;
  EngineSpecification fine = coarse;
  fine.pipes[0].cell_size = 0.005;
  fine.pipes[0].initial_pressure = 1e5;
  Network from(coarse, gas, LimiterChoice::minmod);
  Network to(fine, gas, LimiterChoice::minmod);
  start_all(to, from);
  CHECK(near(to.content().mass, from.content().mass, 1e-12));
  CHECK(near(to.content().energy, from.content().energy, 1e-12));
  // A wall that coolant holds is where it is on either grid.
  EngineSpecification cooled = fine;
  cooled.pipes[0].cooled_length = 0.1;
  cooled.pipes[0].cooled_temperature = 480;
  Network held(cooled, gas, LimiterChoice::minmod);
  start_all(held, from);
  for (const std::size_t i : {0U, 19U, 20U, 199U}) {
    const double T = held.pipes()[0].T_wall[static_cast<std::ptrdiff_t>(i)];
    CHECK(near(T, i < 20 ? 480 : cooled.pipes[0].wall.temperature, 1e-12));
  }
  EngineSpecification two = coarse;
  two.pipes.push_back(two.pipes[0]);
  two.closed_ends.push_back({{1, Side::left}});
  two.closed_ends.push_back({{1, Side::right}});
  Network other(two, gas, LimiterChoice::minmod);
  CHECK_THROWS_AS(start_all(to, other), std::invalid_argument);
}

TEST_CASE("start from another grid takes over a profile, by either method") {
  const auto gas = constant_gamma_gas();
  EngineSpecification coarse = one_pipe(1, 0.04, 0.01);
  coarse.closed_ends = {{{0, Side::right}}};
  const auto swell = [](double t) {
    const double s = std::sin(600 * t);
    return p_atm * (1 + 0.3 * s * s);
  };
  coarse = with_wave(coarse, {0, Side::left}, swell);
  EngineSpecification fine = coarse;
  fine.pipes[0].cell_size = 0.004;
  for (const Method method : {Method::finite_volume, Method::characteristics}) {
    PipeRig from(coarse, gas, method);
    from.run_until(3e-3);
    Network to(fine, gas, LimiterChoice::minmod, method);
    start_all(to, from.network());
    const solver::Pipe& a = from.pipe(0);
    const solver::Pipe& b = to.pipes()[0];
    double least = 1e9;
    double most = 0;
    // Linear between the centres of the cells it is taken from.
    for (std::size_t k = 0; k < b.cells(); ++k) {
      const double place = b.centre(k) / a.dx() - 0.5;
      const auto left = static_cast<std::size_t>(
          std::clamp(std::floor(place), 0.0, static_cast<double>(a.cells()) - 2));
      const double t = std::clamp(place - static_cast<double>(left), 0.0, 1.0);
      const auto v = a.state(left);
      const auto w = a.state(left + 1);
      CHECK(near(b.state(k).p, (1 - t) * v.p + t * w.p, 1e-12));
      CHECK(near(b.state(k).rho, (1 - t) * v.rho + t * w.rho, 1e-12));
      CHECK(near(b.state(k).u, (1 - t) * v.u + t * w.u, 0, 1e-9));
      least = std::min(least, b.state(k).p);
      most = std::max(most, b.state(k).p);
    }
    CHECK(most > 1.1 * least);
  }
}

}  // namespace pulsewright::tests
