// Parts behind a collector: how they are built, and their steady losses against published figures.
#include "cases/tail_parts.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numbers>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/part_figures.hpp"
#include "models/network/symmetry.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"
#include "validation/rig/fed_pipe.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;
using pulsewright::tests::near;
using pulsewright::tests::replaced;

namespace {

// A smooth tail of 3 in and what stands behind it.
std::string tail_with(const std::string& parts) {
  return R"(title = "tail"
[[header]]
name = "tail"
kind = "network"
[[header.pipe]]
name = "tail"
from = "closed"
to = "open"
tube = "76.2 mm ID"
length = "0.5 m"
friction = false
heat = "none"
)" + parts +
         "[run]\nduration = \"5 ms\"\ncell_size = \"20 mm\"\n";
}

std::string part(const std::string& keys) { return "[[header.part]]\nbehind = \"tail\"\n" + keys; }

models::EngineSpecification built(const std::string& text) {
  const CaseFile c = read_case_text(text, "tail.toml");
  return build_engine(c, c.headers.front());
}

std::size_t index_of(const models::EngineSpecification& engine, const std::string& name) {
  const auto found = std::find_if(engine.pipes.begin(), engine.pipes.end(),
                                  [&](const auto& pipe) { return pipe.name == name; });
  REQUIRE(found != engine.pipes.end());
  return static_cast<std::size_t>(found - engine.pipes.begin());
}

// The network with its closed end free to be fed.
models::EngineSpecification to_be_fed(models::EngineSpecification engine) {
  engine.closed_ends.erase(engine.closed_ends.begin());
  return engine;
}

constexpr double until_steady = 0.4;  // s

double pressure_at(const solver::Pipe& pipe, std::size_t cell) {
  return pipe.p[static_cast<std::ptrdiff_t>(cell)];
}

}  // namespace

TEST_CASE("the channels of a catalyst: hand-worked") {
  TailPart catalyst;
  catalyst.cells = 400 / (0.0254 * 0.0254);
  catalyst.channel_wall = 0.004 * 0.0254;
  // 400 per square inch stand 0.050 in apart; 0.046 in are open, 0.8464 of the face.
  const Brick square = brick_of(catalyst);
  CHECK(near(square.channel_diameter, 0.046 * 0.0254, 1e-12));
  CHECK(near(square.open_share, 0.8464, 1e-12));
  CHECK(square.laminar_friction == 56.91);  // Shah & London (1978)
  catalyst.round_channels = true;
  CHECK(near(brick_of(catalyst).open_share, 0.8464 * std::numbers::pi / 4, 1e-12));
  CHECK(brick_of(catalyst).laminar_friction == 64);
}

TEST_CASE("end correction of a branch") {
  // Ji (2005), from memory; a branch as wide as its tube has 0.313 of its radius, a small one
  // nearly that of a flange, 0.82.
  CHECK(near(branch_correction(0.02, 0.02), 0.313 * 0.02, 1e-12));
  CHECK(near(branch_correction(1e-5, 0.02), 0.8216e-5, 1e-3));
  CHECK(near(branch_correction(0.4, 1), 0.4 * 0.6848, 1e-3));
}

TEST_CASE("a back pressure comes back in steady flow at the flow it was measured at") {
  struct Measured {
    const char *flow, *temperature;
    double kg_s, kelvin;
  };
  for (const Measured& row :
       {Measured{"mass_flow = \"600 kg/h\"", "600 degC", 600.0 / 3600, 873.15},
        // 400 cfm of air of 20 degC at 101325 Pa: 0.188774 m3/s of 1.20411 kg/m3.
        Measured{"volume_flow = \"400 cfm\"", "20 degC", 0.188774 * 1.20411, 293.15}}) {
    CAPTURE(row.flow);
    const auto engine =
        built(tail_with(part(std::string("kind = \"back-pressure\"\npressure = \"12 kPa\"\n") +
                             row.flow + "\ntemperature = \"" + row.temperature + "\"\n")));
    const auto gas = validation::constant_gamma_gas(1.4);
    validation::FedPipe run(gas, to_be_fed(engine), row.kg_s, row.kelvin);
    run.rig.run_until(until_steady);
    const double back = pressure_at(run.rig.pipe(0), 20) - 101325;
    CHECK(near(back, 12e3, 0.01));  // 1 %: flow of constant temperature in the formula
  }
}

TEST_CASE("a back pressure that the bore has anyway adds nothing") {
  TailPart loss;
  loss.kind = PartKind::back_pressure;
  loss.pressure = 10;
  loss.mass_flow = 1;
  loss.temperature = 900;
  CHECK(back_pressure_loss(loss, 1e-3, 101325) == 0);
}

TEST_CASE("a catalyst loses what laminar flow in square channels does") {
  // 100 kg/h of 900 K through a brick of 118 mm by 150 mm, 400 cpsi, 4 thou.
  const auto engine = built(tail_with(
      part("kind = \"catalyst\"\ndiameter = \"118 mm\"\nlength = \"150 mm\"\ncells = \"400 "
           "cpsi\"\nchannel_wall = \"4 thou\"\n")));
  const double flow = 100.0 / 3600;
  const auto gas = validation::constant_gamma_gas(1.4);
  validation::FedPipe run(gas, to_be_fed(engine), flow, 900);
  run.rig.run_until(until_steady);
  const std::size_t brick = index_of(engine, "part 1 catalyst brick");
  const solver::Pipe& pipe = run.rig.pipe(brick);
  const std::size_t last = pipe.cells() - 1;
  const double drop = pressure_at(pipe, 0) - pressure_at(pipe, last);
  const double length = pipe.centre(last) - pipe.centre(0);
  // Hand-worked: open area 0.8464 of 10935.9 mm2, channels of 1.1684 mm, f Re = 56.91 of the Darcy
  // factor, viscosity of air of 900 K 3.981e-5 Pa s (Incropera et al., from memory; the viscosity
  // of the program is 2 % lower), 1.43 heads of the whole length.
  const double area = 0.8464 * 10935.9e-6;
  const double rho = pressure_at(pipe, last / 2) / (287.05 * 900);
  const double u = flow / (rho * area);
  const double D = 1.1684e-3;
  const double laminar = 0.5 * 56.91 * 3.981e-5 * u * length / (D * D);
  const double head = 0.5 * rho * u * u;
  CHECK(near(drop, laminar + 1.43 * head * length / 0.15, 0.03));
  CHECK(laminar > 20 * 1.43 * head);  // what is tested is the laminar loss
  CHECK(rho * u * D / 3.981e-5 < 2000);
}

TEST_CASE("a chamber loses what steps that widen and narrow do") {
  // Borda-Carnot: (1 - A1/A2)^2 heads of the tube at the inlet; at the outlet 0.5 (1 - A2/A1)^(3/4)
  // heads of it, a sharp edge (Idelchik, as in pipe_wall_test.cpp): 0.403 for an area ratio of 4.
  // The friction of the tube behind is taken off by its own gradient further along.
  const auto engine = built(replaced(
      tail_with(part("kind = \"chamber\"\ndiameter = \"152.4 mm\"\nlength = \"300 mm\"\n") +
                part("kind = \"pipe\"\nlength = \"800 mm\"\n")),
      "friction = false", "friction = true"));
  const double flow = 0.1;
  const auto gas = validation::constant_gamma_gas(1.4);
  validation::FedPipe run(gas, to_be_fed(engine), flow, 600);
  run.rig.run_until(until_steady);
  const auto total = [&](const solver::Pipe& pipe, std::size_t cell) {
    const auto w = pipe.state(cell);
    return w.p + 0.5 * w.rho * w.u * w.u;
  };
  const auto before = run.rig.pipe(0).state(20);
  const double head = 0.5 * before.rho * before.u * before.u;
  const solver::Pipe& tube = run.rig.pipe(2);
  const std::size_t near_end = tube.cells() - 4;
  const std::size_t middle = tube.cells() / 2;
  const double gradient =
      (total(tube, middle) - total(tube, near_end)) / (tube.centre(near_end) - tube.centre(middle));
  const double outlet =
      total(run.rig.pipe(1), 8) - total(tube, middle) - gradient * tube.centre(middle);
  CHECK(near(outlet / head, 0.403, 0, 0.04));
  const solver::Pipe& ahead = run.rig.pipe(0);
  const double inlet =
      total(ahead, 20) - total(run.rig.pipe(1), 8) - gradient * (ahead.length() - ahead.centre(20));
  CHECK(near(inlet / head, 0.75 * 0.75, 0.02));
}

TEST_CASE("parts stand behind every collector, in order, and on the way of the pulses") {
  const std::string text = replaced(tests::sample_text(), "[[header]]\nname = \"stepped-length\"",
                                    R"([[header.part]]
kind = "catalyst"
diameter = "4.66 in"
length = "5 in"
cells = "300 cpsi"
channel_wall = "2 thou"
[[header.part]]
kind = "helmholtz"
tube = "1-1/2 in ID"
length = "2 in"
volume = "2 L"
[[header.part]]
kind = "pipe"
tube = "3 in OD, 16 ga"
length = "20 in"
[[header]]
name = "stepped-length")");
  const CaseFile c = read_case_text(text, "sample.toml");
  REQUIRE(c.headers[0].parts.size() == 3);
  CHECK(c.headers[1].parts.empty());
  const auto engine = build_engine(c, c.headers[0]);
  const auto plain = build_engine(c, c.headers[1]);
  // Two collectors: three pipes of a catalyst, a neck and a tube each.
  CHECK(engine.pipes.size() == plain.pipes.size() + 2 * 5);
  CHECK(engine.open_ends.size() == plain.open_ends.size());
  for (const auto& path : engine.exhaust_paths) {
    REQUIRE(path.pipes.size() == 6);
    const auto& name = [&](std::size_t k) {
      return engine.pipes[static_cast<std::size_t>(path.pipes[k])].name;
    };
    CHECK(name(3).starts_with("part 1 catalyst "));
    CHECK(name(3).ends_with(" brick"));
    CHECK(name(5).starts_with("part 3 pipe "));
  }
  const auto& tube = engine.pipes[index_of(engine, "part 3 pipe left")];
  CHECK(near(tube.profile.front().diameter, (3 - 2 * 0.065) * 0.0254, 1e-9));
  CHECK(near(tube.wall.thickness, 0.065 * 0.0254, 1e-9));
  // One bank is still the other, a revolution later.
  const auto symmetry = models::symmetry_of(engine);
  REQUIRE(symmetry.has_value());
  CHECK(near(symmetry->turn, 360, 1e-9));
}

TEST_CASE("figures of parts: hand-worked") {
  const CaseFile c = read_case_text(
      tail_with(part("kind = \"chamber\"\ndiameter = \"152.4 mm\"\nlength = \"0.5 m\"\n") +
                part("kind = \"quarter-wave\"\ntube = \"76.2 mm ID\"\nlength = \"0.5 m\"\n") +
                part("kind = \"pipe\"\nlength = \"0.3 m\"\n")),
      "tail.toml");
  const auto figures = part_figures(c, c.headers.front());
  REQUIRE(figures.size() == 3);
  // Exhaust of 900 K: c = sqrt(1.33 x 287.05 x 900) = 586.2 m/s.
  CHECK(near(*figures[0].area_ratio, 4, 1e-9));
  CHECK(near(*figures[0].frequency, 586.2 / 2, 1e-3));
  CHECK(near(*figures[0].chamber_loss, 6.547179, 1e-6));  // Munjal (1987), area ratio 4
  CHECK(near(*figures[1].frequency, 586.2 / (4 * (0.5 + 0.313 * 0.0381)), 1e-3));
  CHECK(figures[2].flow == 0);  // no engine
}

TEST_CASE("a straight-through muffler as pipes and places of its perforated core") {
  const auto engine = built(
      tail_with(part("kind = \"straight-through\"\ndiameter = \"150 mm\"\nlength = \"400 mm\"\n") +
                part("kind = \"pipe\"\nlength = \"300 mm\"\n")));
  REQUIRE(engine.perforates.size() == 6);  // 400 mm in places 80 mm apart, both ends included
  CHECK(engine.pipes.size() == 1 + 5 + 5 + 1);
  CHECK(engine.closed_ends.size() == 1);
  double core = 0, space = 0, holes = 0;
  for (const auto& pipe : engine.pipes) {
    if (pipe.name.find("core") != std::string::npos) core += pipe.length;
    const double D = pipe.profile.front().diameter;
    if (pipe.name.find("space") == std::string::npos) continue;
    space += 0.25 * std::numbers::pi * D * D * pipe.length;
  }
  for (const auto& place : engine.perforates) holes += place.hole_area;
  // The ends stand for sqrt(l / (s (1/A1 + 1/A2))): l 4.2 mm, s 0.3 pi 76.2 mm, A1 4560.4 and A2
  // 12819 mm2 give 14.026 mm of 400.
  CHECK(near(engine.perforates.front().hole_area / holes, 14.026 / 400, 1e-3));
  CHECK(engine.perforates.back().hole_area == engine.perforates.front().hole_area);
  CHECK(near(core, 0.4, 1e-12));
  const double outside = 0.0762 + 2 * 0.0012;
  CHECK(near(space, 0.25 * std::numbers::pi * (0.15 * 0.15 - outside * outside) * 0.4, 1e-12));
  CHECK(near(holes, 0.3 * std::numbers::pi * 0.0762 * 0.4, 1e-12));
  CHECK(near(engine.perforates[0].hole_length, 0.0012 + 0.75 * 0.004, 1e-12));
}

TEST_CASE("a straight-through muffler lets steady flow through and keeps what it contains") {
  const auto engine = built(
      tail_with(part("kind = \"straight-through\"\ndiameter = \"150 mm\"\nlength = \"400 mm\"\n") +
                part("kind = \"pipe\"\nlength = \"300 mm\"\n")));
  const auto gas = validation::constant_gamma_gas(1.4);
  validation::FedPipe run(gas, to_be_fed(engine), 0.1, 600);
  const models::Content before = run.rig.network().content();
  run.rig.run_until(0.05);
  const models::Content after = run.rig.network().content();
  models::Content passed = run.rig.taken();
  for (const auto& outlet : run.rig.network().boundaries().of<models::OpenEnd>()) {
    passed.mass -= outlet.outflow().mass;
    passed.energy -= outlet.outflow().energy;
  }
  CHECK(near(after.mass - before.mass, passed.mass, 0, 1e-12 * before.mass));
  CHECK(near(after.energy - before.energy, passed.energy, 0, 1e-12 * before.energy));
  run.rig.run_until(until_steady);
  // No net flow through the wall, and the jet does not widen: a small part of the head.
  double through = 0, most = 0;
  for (const auto& place : run.rig.network().boundaries().of<models::Perforate>()) {
    through += place.mass_flow();
    most = std::max(most, std::abs(place.mass_flow()));
  }
  CHECK(std::abs(through) < 1e-4 * 0.1);
  CHECK(most < 0.05 * 0.1);
  const auto in = run.rig.pipe(0).state(20);
  const double head = 0.5 * in.rho * in.u * in.u;
  CHECK(in.p - 101325 < 0.3 * head);
}
