// Balance pipes as they are built, against linear acoustics: what a small step of pressure in one
// pipe sends into the others.
//
// A junction of pipes in the limit of small waves has one pressure, and the volume flows add up to
// nothing: a step f that comes in a pipe of area A makes the pressure 2 A f / sum of all areas
// (Munjal (1987), chapter 2; exact for plane waves). A pipe that starts at p0 + 2 f beside others
// at p0 sends such a step.
#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "models/engine/pipe_simulation.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using pulsewright::tests::inch;
using pulsewright::tests::near;

namespace {

constexpr double step = 100;  // Pa, f

models::EngineSpecification with_balance(const std::string& balance) {
  const std::string text = tests::replaced(
      tests::sample_text(), "kind = \"equal-length\"",
      "kind = \"equal-length\"\ntail_tube = \"3 in OD, 16 ga\"\ntail_length = \"60 in\"\nbalance = "
      "[" +
          balance + "]");
  const cases::CaseFile c = cases::read_case_text(text, "balance.toml");
  return cases::build_engine(c, c.headers.front());
}

// The junctions whose names begin so with all pipes at them. Those that lead away are straight, 1.2
// m long and end without a reflection; the gas in `loud` starts at the higher pressure.
models::EngineSpecification cut_out(const models::EngineSpecification& whole,
                                    const std::string& name, const std::string& loud) {
  models::EngineSpecification out;
  std::vector<int> place(whole.pipes.size(), -1);
  std::vector<int> ends(whole.pipes.size(), 0);
  for (models::JunctionSpecification junction : whole.junctions) {
    if (!junction.name.starts_with(name)) continue;
    for (models::Branch& branch : junction.branches) {
      const auto i = static_cast<std::size_t>(branch.end.pipe);
      models::PipeSpecification pipe = whole.pipes[i];
      if (place[i] < 0) {
        place[i] = static_cast<int>(out.pipes.size());
        pipe.friction = false;
        pipe.heat = models::PipeHeatLaw::none;
        pipe.cell_size = 0.005;
        pipe.initial_temperature = 0;  // as the air outside, 343 m/s
        pipe.initial_burnt = 0;
        if (pipe.name == loud) pipe.initial_pressure = whole.ambient.pressure + 2 * step;
        out.pipes.push_back(pipe);
      }
      ++ends[i];
      branch.end.pipe = place[i];
    }
    out.junctions.push_back(junction);
  }
  for (const models::JunctionSpecification& junction : out.junctions) {
    for (const models::Branch& branch : junction.branches) {
      const auto here = static_cast<std::size_t>(branch.end.pipe);
      const auto before = static_cast<std::size_t>(
          std::find(place.begin(), place.end(), branch.end.pipe) - place.begin());
      if (ends[before] > 1) continue;  // between two of the junctions
      models::PipeSpecification& pipe = out.pipes[here];
      const bool left = branch.end.side == models::Side::left;
      const double bore = models::diameter_at(pipe.profile, left ? 0 : pipe.length);
      pipe.length = 1.2;
      pipe.profile = {{0, bore}, {pipe.length, bore}};
      out.anechoic_ends.push_back(
          {{branch.end.pipe, left ? models::Side::right : models::Side::left}});
    }
  }
  return out;
}

// Pressure over p0, in steps, at a distance (m) from the left or right end of a pipe.
double steps_at(const models::PipeSimulationResult& result, const std::string& pipe,
                double distance, bool from_right = false) {
  for (const models::PipeProfile& one : result.pipes) {
    if (one.name != pipe) continue;
    const double x = from_right ? 1.2 - distance : distance;
    const auto at = std::lower_bound(one.x.begin(), one.x.end(), x) - one.x.begin();
    return (one.pressure[static_cast<std::size_t>(at)] - models::Ambient{}.pressure) / step;
  }
  return NAN;
}

}  // namespace

TEST_CASE("an H passes on a small step as linear acoustics has it") {
  const auto engine =
      with_balance("{ kind = \"H\", at = \"10 in\", tube = \"2 in ID\", length = \"14 in\" }");
  const auto pipes = cut_out(engine, "H ", "collector left");
  REQUIRE(pipes.pipes.size() == 5);
  REQUIRE(pipes.junctions.size() == 2);
  // 343 m/s x 2.5 ms = 858 mm: 0.3556 m across the bar, and 0.5 m on; what comes back from its
  // other end has not reached 0.25 m.
  const auto result = models::simulate_pipes(pipes, 2.5e-3, {});
  // The tail has 2.87 in inside on both sides of the bar, which has 2 in.
  const double tail = 2.87 * 2.87, bar = 4;
  const double all = 2 * tail + bar;
  const double first = 2 * tail / all;
  const double second = first * 2 * bar / all;
  // Steps of M = 0.0007 are a tenth of a per cent from linear.
  CHECK(near(steps_at(result, "tail left", 0.5), first, 3e-3));
  CHECK(near(steps_at(result, "tail right", 0.25), second, 5e-3));
  CHECK(near(steps_at(result, "collector right", 0.25, true), second, 5e-3));
}

TEST_CASE("an X shares a small step among all its pipes as linear acoustics has it") {
  const auto engine = with_balance("{ kind = \"X\", at = \"10 in\", half_angle = \"20 deg\" }");
  const auto pipes = cut_out(engine, "X", "collector left");
  REQUIRE(pipes.pipes.size() == 4);
  const auto result = models::simulate_pipes(pipes, 2.5e-3, {});
  const double share = 2.0 / 4;  // four pipes of 2.87 in
  CHECK(near(steps_at(result, "tail left", 0.5), share, 3e-3));
  CHECK(near(steps_at(result, "tail right", 0.5), share, 3e-3));
  CHECK(near(steps_at(result, "collector right", 0.5, true), share, 3e-3));
}
