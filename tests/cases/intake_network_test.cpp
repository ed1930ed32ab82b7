// Throttle, plenum and air box: rated flow, resonance, and the figures of the intake.
#include "cases/intake_network.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <map>
#include <numbers>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "cases/intake_figures.hpp"
#include "models/engine/point_simulation.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;
using pulsewright::tests::near;
using pulsewright::tests::replaced;

namespace {

// The sample with a four-barrel carburettor of 850 cfm on a plenum, and further lines of [intake].
CaseFile carburettor(const char* some, const char* more = "") {
  std::string lines =
      "entry_diameter = \"50 mm\"\nsource = \"plenum\"\nplenum_volume = \"4 L\"\n"
      "throttle_flow = \"850 cfm\"\nthrottle_drop = \"1.5 inHg\"\n";
  lines += some;
  lines += more;
  return read_case_text(replaced(tests::sample_text(), "entry_diameter = \"50 mm\"", lines),
                        "carburettor.toml");
}

constexpr const char* barrels =
    "throttle_count = 4\nthrottle_diameter = \"1.75 in\"\nthrottle_length = \"5 in\"\n";

// The intake alone: pipes and junctions that the runners reach; with `runners` each draws a mass
// flow (kg/s) at its valve, else they are left out.
models::EngineSpecification intake_alone(const CaseFile& c, bool runners, double each) {
  const auto engine = build_engine(c, c.headers.front());
  models::EngineSpecification out;
  out.ambient = engine.ambient;
  std::map<int, int> place;
  const auto take = [&](int pipe) {
    const auto [at, added] = place.try_emplace(pipe, static_cast<int>(out.pipes.size()));
    if (added) {
      out.pipes.push_back(engine.pipes[static_cast<std::size_t>(pipe)]);
      out.pipes.back().heat = models::PipeHeatLaw::none;
    }
    return at->second;
  };
  for (const auto& junction : engine.junctions) {
    if (junction.name != "plenum" && junction.name != "air box") continue;
    out.junctions.push_back(junction);
    auto& branches = out.junctions.back().branches;
    branches.clear();
    for (const auto& branch : junction.branches) {
      const auto& name = engine.pipes[static_cast<std::size_t>(branch.end.pipe)].name;
      if (!runners && name.starts_with("runner")) continue;
      branches.push_back(branch);
      branches.back().end.pipe = take(branch.end.pipe);
    }
  }
  for (const auto& cylinder : engine.cylinders) {
    if (!runners) break;
    out.prescribed_ends.push_back({{place.at(cylinder.intake.pipe), models::Side::right},
                                   models::PrescribedQuantity::mass_flow,
                                   [each](double t) { return -each * std::min(1.0, t / 0.05); }});
  }
  for (const auto& open : engine.open_ends) {
    if (!place.contains(open.end.pipe)) continue;
    out.open_ends.push_back(open);
    out.open_ends.back().end.pipe = place.at(open.end.pipe);
  }
  return out;
}

// Means over time of the pressures in plenum and air box, from a quarter of a second on.
class DepressionWatch : public models::PointSimulation {
 public:
  using PointSimulation::PointSimulation;
  void end_step(const models::StepInterval& step) override {
    PointSimulation::end_step(step);
    if (network().time() < 0.25) return;
    const auto pressure = [&](std::size_t i) {
      return network().junctions()[i].state(network().gas()).p;
    };
    sum_ += step.dt * (pressure(air_box) - pressure(plenum));
    time_ += step.dt;
  }
  double mean() const { return sum_ / time_; }  // Pa
  std::size_t plenum = 0, air_box = 0;          // indices of junctions

 private:
  double sum_ = 0, time_ = 0;
};

}  // namespace

TEST_CASE("the rated flow of a carburettor comes back at its drop") {
  // 850 cfm = 0.401155 m3/s of air of 20 degC and 101325 Pa, 1.204111 kg/m3; 1.5 inHg = 5079.57 Pa.
  const auto gas = solver::Gas{};
  for (const char* more : {"", barrels}) {
    CAPTURE(more);
    const CaseFile c = carburettor(more);
    validation::PipeRig rig(intake_alone(c, true, 0.401155 * 1.204111 / 8), gas);
    rig.run_until(0.6);
    const double plenum = rig.network().junctions()[0].state(gas).p;
    CHECK(near(101325 - plenum, 5079.57, 0.01));  // 1 %: gas of variable heat capacities
  }
}

TEST_CASE("part throttle: half the area passes half the flow at the same drop") {
  const auto gas = solver::Gas{};
  const CaseFile c = carburettor(barrels, "throttle_opening = 0.5\n");
  validation::PipeRig rig(intake_alone(c, true, 0.5 * 0.401155 * 1.204111 / 8), gas);
  rig.run_until(0.6);
  CHECK(near(101325 - rig.network().junctions()[0].state(gas).p, 5079.57, 0.01));
}

TEST_CASE("a plenum behind its barrels resonates as a Helmholtz resonator") {
  const CaseFile c = carburettor(barrels);
  models::EngineSpecification e = intake_alone(c, false, 0);
  REQUIRE(e.pipes.size() == 1);
  e.pipes[0].friction = false;
  e.pipes[0].initial_pressure = e.ambient.pressure + 2;
  const auto gas = validation::constant_gamma_gas(1.4);
  validation::PipeRig rig(e, gas);
  std::vector<double> crossings;
  double before = 2, at = 0;
  rig.run_until(0.12, [&] {
    const double now = rig.network().junctions()[0].state(gas).p - e.ambient.pressure;
    if (before > 0 && now <= 0) {
      crossings.push_back(at + (rig.time() - at) * before / (before - now));
    }
    before = now;
    at = rig.time();
  });
  REQUIRE(crossings.size() >= 4);
  const double found =
      static_cast<double>(crossings.size() - 1) / (crossings.back() - crossings.front());
  // Beranek (1992): f = c / (2 pi) sqrt(A / (V L)); with the gas in the neck compressible k tan(k
  // L) = A / V (Munjal (1987), chapter 2). 0.6133 radii outside.
  const double A = 4 * 0.25 * std::numbers::pi * 0.04445 * 0.04445;
  const double V = 0.004;
  const double L = 0.127 + 0.6133 * std::sqrt(A / std::numbers::pi);
  const double speed = std::sqrt(1.4 * 287.05 * 293.15);
  double low = 0, high = 0.5 * std::numbers::pi / L;
  for (int i = 0; i < 100; ++i) {
    const double k = 0.5 * (low + high);
    (k * std::tan(k * L) < A / V ? low : high) = k;
  }
  CHECK(near(found, low * speed / (2 * std::numbers::pi), 0.01));
  CHECK(near(found, speed / (2 * std::numbers::pi) * std::sqrt(A / (V * L)), 0.05));
}

TEST_CASE("what an engine asks of its carburettor: hand-worked") {
  // 8 cylinders of 102 x 76.5 mm: 5.0008 L; at 7500 rpm 5.0008e-3 x 62.5 = 0.31255 m3/s, 662.3 cfm.
  // By the trade's rule cfm = in3 x rpm / 3456 (common practice): 305.17 x 7500 / 3456 = 662.3.
  // Depression: 1.5 inHg (662.3 / 850)^2 = 0.911 inHg = 3084 Pa.
  const IntakeFigures f = intake_figures(carburettor(barrels));
  constexpr double cfm = 0.3048 * 0.3048 * 0.3048 / 60;
  CHECK(near(*f.demand, 662.3 * cfm, 1e-3));
  CHECK(near(*f.four_barrel_flow, 850 * cfm, 1e-6));
  // At twice the drop sqrt(2) of the flow, the trade's 0.707, less what the expansion takes, 1 -
  // 3/(4 gamma) of the drop over the pressure before it (series of the nozzle's flow): 0.946 /
  // 0.973.
  CHECK(near(*f.two_barrel_flow, std::sqrt(2.0) * 0.9463 / 0.9731 * 850 * cfm, 2e-3));
  CHECK(near(*f.depression, 3084, 2e-3));
  CHECK(near(*f.plenum_over_displacement, 4 / 5.0008, 1e-3));
  CHECK(f.plenum_frequency.has_value());
  CHECK(!f.air_box_frequency.has_value());
}

TEST_CASE("throttle and air box as pipes, ends and ports") {
  const CaseFile c = carburettor(
      barrels,
      "air_box_volume = \"12 L\"\nair_box_inlet_diameter = \"100 mm\"\nair_box_inlet_length = "
      "\"400 mm\"\n");
  const auto engine = build_engine(c, c.headers.front());
  REQUIRE(engine.junctions.size() == 4);
  const auto& plenum = engine.junctions[2];
  const auto& box = engine.junctions[3];
  CHECK(plenum.name == "plenum");
  CHECK(plenum.branches.size() == 9);
  CHECK(plenum.vent_area == 0);
  CHECK(box.branches.size() == 2);
  const auto& throttle = engine.pipes[engine.pipes.size() - 2];
  CHECK(throttle.name == "throttle");
  CHECK(near(throttle.profile.front().diameter, 2 * 0.04445, 1e-12));
  CHECK(near(throttle.hydraulic_ratio, 0.5, 1e-12));
  const double ratio = plenum.branches.back().into_pipe;
  CHECK(near(ratio * 0.25 * std::numbers::pi * std::pow(2 * 0.04445, 2), c.intake.throttle_area,
             1e-12));
  CHECK(engine.pipes.back().name == "air box inlet");
  CHECK(engine.open_ends.back().entry_loss == 0.5);
}

TEST_CASE("individual throttles: each runner by its own flow, and an air box over all") {
  const std::string text =
      replaced(tests::sample_text(), "entry_diameter = \"50 mm\"",
               "entry_diameter = \"50 mm\"\nthrottle_area = \"1800 mm2\"\nthrottle_opening = 0.5\n"
               "air_box_volume = \"20 L\"\nair_box_inlet_area = \"90 cm2\"");
  const CaseFile c = read_case_text(text, "throttles.toml");
  CHECK(near(c.intake.entry_area_ratio, 0.5 * 1800 / (0.25 * std::numbers::pi * 2500), 1e-12));
  const auto engine = build_engine(c, c.headers.front());
  const auto& box = engine.junctions.back();
  CHECK(box.name == "air box");
  CHECK(box.branches.size() == 8);
  CHECK(near(box.vent_area, 90e-4, 1e-12));
  const double r = c.intake.entry_area_ratio;
  CHECK(box.branches[0].out_of_pipe == r);
  CHECK(near(box.branches[0].into_pipe, r / std::sqrt(1 + 0.03 * r * r), 1e-12));
}

TEST_CASE("the depression in the plenum of an engine at full throttle is that of the square law") {
  const CaseFile c = read_case_file(tests::shipped_folder() / "carburettor-v8.toml");
  BuildOptions options;
  options.cell_size = 0.03;
  const auto engine = build_engine(c, find_header(c, "open"), options);
  auto settings = c.run.settings;
  settings.least_cycles = 20;
  DepressionWatch run(engine, 5500.0 / 60, settings);
  for (std::size_t i = 0; i < engine.junctions.size(); ++i) {
    if (engine.junctions[i].name == "plenum") run.plenum = i;
    if (engine.junctions[i].name == "air box") run.air_box = i;
  }
  const auto result = run.run();
  REQUIRE(result.converged);
  // Eight cylinders on one plenum draw nearly steadily: 1.5 inHg (flow / 750 cfm)^2, the flow that
  // of 5.733 L at 5500 rpm, 557 cfm, times the volumetric efficiency. What pulsates adds a few per
  // cent.
  const double flow = 557.0 / 750 * result.volumetric_efficiency;
  const double square_law = 1.5 * 3386.38 * flow * flow;
  CHECK(run.mean() > 0.98 * square_law);
  CHECK(run.mean() < 1.1 * square_law);
  // Common practice, no source: 0.5 to 1.5 inHg in a street engine at full throttle.
  CHECK(run.mean() > 0.5 * 3386.38);
  CHECK(run.mean() < 1.5 * 3386.38);
}
