// Pulses through a merge: the linear limit, and waves of finite height.
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "models/sizing/circle.hpp"
#include "validation/junctions/junctions.hpp"
#include "validation/junctions/laws.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

using models::JunctionLaw;
using models::Side;

namespace {

// Pipes of 1.6 m at a merge; the last has the direction +x, the others enter at 11.5 degrees. Pipe
// 0 is driven at its far end, the far ends of the others are anechoic.
models::EngineSpecification star(JunctionLaw law, const std::vector<double>& areas, double volume,
                                 double cell_size) {
  models::EngineSpecification e;
  models::JunctionSpecification merge;
  merge.name = "merge";
  merge.law = law;
  merge.volume = volume;
  for (std::size_t i = 0; i < areas.size(); ++i) {
    const int k = static_cast<int>(i);
    e.pipes.push_back(
        smooth_pipe(std::to_string(i), 1.6, models::circle_diameter(areas[i]), cell_size));
    const bool last = i + 1 == areas.size();
    const double azimuth = 2 * std::numbers::pi * k / static_cast<double>(areas.size() - 1);
    const Eigen::Vector3d slanting{-std::cos(0.2), std::sin(0.2) * std::cos(azimuth),
                                   std::sin(0.2) * std::sin(azimuth)};
    merge.branches.push_back({{k, Side::right}, last ? Eigen::Vector3d::UnitX() : slanting});
    if (i > 0) e.anechoic_ends.push_back({{k, Side::left}});
  }
  e.junctions = {merge};
  return e;
}

struct Scattering {
  double reflected;
  std::vector<double> transmitted;
  Curve incident, transmitted_last;
};

// Sends a small, long pulse into pipe 0 and measures the peaks of the reflected wave in it and of
// the transmitted waves in the others.
Scattering scattering(JunctionLaw law, const std::vector<double>& areas, bool large_volume) {
  static const auto gas = constant_gamma_gas();
  constexpr double height = 20;      // Pa; the incident wave is half of it
  constexpr double duration = 5e-3;  // s: 1.7 m long, large against the volume
  // A tenth of the volume of the laws with one pressure, whose compliance is then negligible.
  const double largest = *std::max_element(areas.begin(), areas.end());
  const double default_volume = largest * 0.5 * models::circle_diameter(largest);
  const double of_law = law == JunctionLaw::momentum ? 0.0 : 0.1 * default_volume;  // 0: its own
  const double volume = large_volume ? 100 * default_volume : of_law;
  PipeRig rig(
      with_wave(star(law, areas, volume, 0.01), {0, Side::left}, pulse(p_atm, height, duration)),
      gas);
  Scattering s{0, std::vector<double>(areas.size() - 1, 0.0), {"pipe 0", {}, {}}, {"last", {}, {}}};
  double incident = 0;
  const double c = gas.sound_speed(T_atm, 0.0);
  // Measured 0.1 m from the driven end: the pulse has passed before its reflection returns.
  const double passed = duration + 0.1 / c;
  rig.run_until(2 * 1.6 / c + duration, [&] {
    const double p = rig.pipe(0).state(10).p - p_atm;
    if (rig.time() < passed) {
      incident = std::max(incident, p);
    } else if (std::abs(p) > std::abs(s.reflected)) {
      s.reflected = p;
    }
    for (std::size_t i = 1; i < areas.size(); ++i) {
      s.transmitted[i - 1] = std::max(s.transmitted[i - 1], rig.pipe(i).state(120).p - p_atm);
    }
    s.incident.x.push_back(1e3 * rig.time());
    s.incident.y.push_back(p);
    s.transmitted_last.x.push_back(1e3 * rig.time());
    s.transmitted_last.y.push_back(rig.pipe(areas.size() - 1).state(120).p - p_atm);
  });
  s.reflected /= incident;
  for (double& t : s.transmitted) t /= incident;
  return s;
}

}  // namespace

CaseReport small_pulses(Broken broken) {
  CaseReport report;
  report.title = "Small pulses at a merge";
  report.text =
      "A pulse of 10 Pa and 5 ms in one pipe; R = (A_1 - sum of the others) / sum, T = 2 A_1 / "
      "sum. All laws must agree with the linear theory. The momentum law with its own volume, the "
      "others with a tenth of theirs, so that the merge is small against the pulse.";
  const Source source{"Munjal (1987), chapter 2; Benson (1982), chapter 6: branching of pipes",
                      Confidence::computed};
  const double A = 1.5e-3;
  struct Row {
    const char* name;
    std::vector<double> areas;
    double R, T;
  };
  const std::vector<Row> rows{{"four equal pipes", {A, A, A, A}, -0.5, 0.5},
                              {"four into four times the area", {A, A, A, A, 4 * A}, -0.75, 0.25},
                              {"two into 1.3 times the area", {A, A, 1.3 * A}, -1.3 / 3.3, 2 / 3.3},
                              {"enlargement 1 to 4", {A, 4 * A}, -0.6, 0.4},
                              {"contraction 4 to 1", {4 * A, A}, 0.6, 1.6}};
  for (const Row& row : rows) {
    for (const auto& [name, law] : laws) {
      const Scattering s = scattering(law, row.areas, broken == Broken::junction_momentum);
      const std::string at = fmt::format("{}, {}: ", row.name, name);
      const bool own_volume = law == JunctionLaw::momentum;
      const double tolerance = own_volume ? 0.005 : 0.002;
      const std::string why = own_volume ? "0.5 % of the pulse: its own volume, and its lag"
                                         : "0.2 % of the pulse: a tenth of its own volume";
      report.figures.push_back(
          {at + "reflected", "", row.R, s.reflected, tolerance, false, why, source});
      double worst = row.T;
      for (const double t : s.transmitted) {
        if (std::abs(t - row.T) >= std::abs(worst - row.T)) worst = t;
      }
      report.figures.push_back(
          {at + "transmitted", "", row.T, worst, tolerance, false, why, source});
      if (report.plots.empty() && row.areas.size() == 5) {
        report.plots.push_back(
            {"four into four times the area", "t, ms", "p, Pa", {s.incident, s.transmitted_last}});
      }
    }
  }
  return report;
}

CaseReport finite_pulses(Broken broken) {
  CaseReport report;
  report.title = "A wave of finite height through a merge of four primaries";
  report.text =
      "A step of pressure ratio P with a smooth front arrives in one of four primaries at a "
      "collector of four times the area. With one static pressure at all ports the amplitudes X = "
      "(p/p0)^((gamma-1)/(2 gamma)) add as small waves do: X* = (A_1 (2 X_1 - 1) + sum of the "
      "others) / sum of A, exact for uniform entropy. The other two laws are shown for comparison: "
      "with the momentum law the pressure is lower in the idle primaries and higher in the "
      "collector.";
  const Source source{
      "Benson (1982), chapter 6; Bannister's relations, evaluated from the formulas",
      Confidence::computed};
  static const auto gas = constant_gamma_gas();
  const double A = 1.5e-3;
  constexpr double g = 1.4;
  const double c = gas.sound_speed(T_atm, 0.0);
  for (const double ratio : {0.8, 1.2, 1.5}) {
    const double X1 = wave_amplitude(ratio, g);
    const double X = (2 * X1 - 1 + 7) / 8;
    const double expected = wave_pressure_ratio(X, g);
    Plot plot{
        fmt::format("P {}: idle primary (solid) and collector", ratio), "t, ms", "p / p0", {}};
    for (const auto& [name, law] : laws) {
      const bool wrong_law = broken == Broken::junction_momentum && law != JunctionLaw::momentum;
      const double end = wave_pressure_ratio(2 * X1 - 1, g) * p_atm;
      // A front of 4 ms: no shock within the pipe.
      const auto front = [=](double t) {
        const double s = std::sin(0.5 * std::numbers::pi * std::min(1.0, t / 4e-3));
        return p_atm + (end - p_atm) * s * s;
      };
      const auto spec = star(wrong_law ? JunctionLaw::momentum : law, {A, A, A, A, 4 * A}, 0, 0.02);
      PipeRig rig(with_wave(spec, {0, Side::left}, front), gas);
      Curve idle{fmt::format("idle, {}", name), {}, {}};
      Curve collector{fmt::format("collector, {}", name), {}, {}, true};
      rig.run_until(3 * 1.6 / c + 6e-3, [&] {
        idle.x.push_back(1e3 * rig.time());
        idle.y.push_back(rig.pipe(2).state(70).p / p_atm);
        collector.x.push_back(1e3 * rig.time());
        collector.y.push_back(rig.pipe(4).state(70).p / p_atm);
      });
      const double p_idle = idle.y.back();
      const double p_collector = collector.y.back();
      plot.curves.push_back(idle);
      plot.curves.push_back(collector);
      if (law == JunctionLaw::constant_pressure) {
        const double tolerance = 0.01 * std::abs(ratio - 1);
        const std::string why = "1 % of the wave";
        report.figures.push_back({fmt::format("P {}, constant pressure: idle primary", ratio), "",
                                  expected, p_idle, tolerance, false, why, source});
        report.figures.push_back({fmt::format("P {}, constant pressure: collector", ratio), "",
                                  expected, p_collector, tolerance, false, why, source});
      }
      if (law == JunctionLaw::momentum && ratio > 1) {
        report.figures.push_back(
            {fmt::format("P {}, momentum: collector less idle", ratio), "", 0, p_collector - p_idle,
             0, false,
             "the collector takes the momentum of the jet, whose suction acts on the idle tube; by "
             "how much is held in the group merge",
             source, Sense::at_least});
      }
    }
    report.plots.push_back(plot);
  }
  return report;
}

}  // namespace pulsewright::validation
