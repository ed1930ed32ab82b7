// Reflection of finite waves and shocks at a closed and an open end of a pipe.
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "validation/rig/textbook_air.hpp"
#include "validation/rig/tube.hpp"
#include "validation/waves/waves.hpp"

namespace pulsewright::validation {

namespace {

using solver::EndWave;
using solver::FluxHllc;
using solver::LimiterMonotonizedCentral;

constexpr double T_rest = 293.15;  // K
constexpr double p_rest = 1e5;     // Pa

enum class RightEnd { closed, open, transmissive };

// The left end is transmissive.
std::function<void(Pipe&)> ends_of(const Gas& gas, RightEnd kind) {
  return [&gas, kind](Pipe& d) {
    d.set_flux_left(solver::physical_flux(gas, d.left_end()));
    const EndWave<double> wave(gas, d.right_end(), -1.0);
    const models::Reservoir<double> outside{p_rest, gas.enthalpy(T_rest, 0.0), 0.0};
    switch (kind) {
      case RightEnd::closed:
        return d.set_flux_right(models::as_pipe_flux(models::flow_at_wall(wave), -1.0));
      case RightEnd::open:
        return d.set_flux_right(
            models::as_pipe_flux(models::flow_through_orifice(gas, wave, outside, 1.0, 1.0), -1.0));
      case RightEnd::transmissive:
        return d.set_flux_right(solver::physical_flux(gas, d.right_end()));
    }
  };
}

// A front moves into gas at rest in a pipe of 4 m, its foot 0.3 m before the right end, with
// constant pressure behind it. Runs until the front has been reflected completely.
Pipe front_at_end(const Gas& gas, double P, RightEnd kind, std::vector<Curve>* curves = nullptr) {
  const double c0 = std::sqrt(g * R * T_rest);
  const double X_top = std::pow(P, 1.0 / 7.0);
  // A steep compression would form a shock before its reflection; an expansion flattens.
  const double width = P > 1 ? 3.4 : 1.0;
  Pipe d = straight_pipe(1600, 4.0);
  d.fill(gas, [&](double x) {
    const double q = std::clamp((3.7 - x) / width, 0.0, 1.0);
    const double X = 1.0 + (X_top - 1.0) * q * q * (3.0 - 2.0 * q);
    return Primitive<double>{p_rest / (R * T_rest) * std::pow(X, 5.0), 5.0 * c0 * (X - 1.0),
                             p_rest * std::pow(X, 7.0), 0.0};
  });
  const auto ends = ends_of(gas, kind);
  const auto record = [&](const char* name) {
    if (curves == nullptr) return;
    Curve curve{name, {}, {}};
    for (std::size_t i = 0; i < d.cells(); i += 4) {
      curve.x.push_back(d.centre(i));
      curve.y.push_back(d.state(i).p / p_rest);
    }
    curves->push_back(curve);
  };
  record("start");
  for (const char* name : {"2 ms", "4 ms", "6 ms", "8 ms", "10 ms"}) {
    run<FluxHllc, LimiterMonotonizedCentral>(d, gas, 2e-3, ends);
    record(name);
  }
  return d;
}

const Source blair{
    "Blair (1999), chapter 2; exact for gas of one entropy, e.g. Whitham (1974), chapter 6",
    Confidence::computed};

}  // namespace

CaseReport wave_at_closed_end(Broken broken) {
  CaseReport report;
  report.title = "Finite waves at a closed end";
  report.text =
      "Ps/P0 = (2 X - 1)^7: more than twice the rise of a compression. Air at 20 deg C, a smooth "
      "front that forms no shock before its reflection is complete, 1600 cells.";
  const Gas gas = gas_of_constant_gamma(g, R);
  struct Row {
    double P, closed;
  };
  for (const Row& row : {Row{0.6, 0.345804}, Row{0.8, 0.635314}, Row{1.2, 1.433350},
                         Row{1.5, 2.200588}, Row{1.8, 3.095711}, Row{2.0, 3.757674}}) {
    std::vector<Curve> curves;
    const Pipe d = front_at_end(
        gas, row.P, broken == Broken::end_reflection ? RightEnd::transmissive : RightEnd::closed,
        &curves);
    report.figures.push_back({fmt::format("pressure ratio at the wall, incident {}", row.P), "",
                              row.closed, d.state(d.cells() - 1).p / p_rest, 1e-4, true,
                              "0.01 % of a smooth wave on cells of 2.5 mm", blair});
    if (row.P == 1.5) {
      report.plots.push_back({"incident 1.5, closed end", "x, m", "p/p0", curves});
    }
  }
  return report;
}

CaseReport wave_at_open_end(Broken broken) {
  CaseReport report;
  report.title = "Finite compression waves at an open end";
  report.text =
      "X_r = 2 - X while the outflow is subsonic: the end stays at ambient pressure and the exit "
      "velocity is twice that of the wave. No end correction, air at 20 deg C. (An expansion wave "
      "draws gas in, which the formula does not cover.)";
  const Gas gas = gas_of_constant_gamma(g, R);
  const double c0 = std::sqrt(g * R * T_rest);
  struct Row {
    double P, reflected, exit;
  };
  for (const Row& row :
       {Row{1.2, 0.829280, 90.5724}, Row{1.5, 0.650247, 204.6830}, Row{1.8, 0.526394, 300.6566}}) {
    std::vector<Curve> curves;
    const Pipe d = front_at_end(
        gas, row.P, broken == Broken::end_reflection ? RightEnd::transmissive : RightEnd::open,
        &curves);
    // Near the end incident and reflected wave are superposed: X_i + X_r - 1 = X,
    // 5 c0 (X_i - X_r) = u.
    const auto w = d.state(static_cast<std::size_t>(3.98 / d.dx()));
    const double X = std::pow(w.p / p_rest, 1.0 / 7.0);
    const double X_r = 0.5 * (X + 1.0 - 0.2 * w.u / c0);
    const auto add = [&](const std::string& quantity, const char* unit, double expected,
                         double computed) {
      report.figures.push_back({fmt::format("{}, incident {}", quantity, row.P), unit, expected,
                                computed, 2e-4, true, "0.02 % of a smooth wave on cells of 2.5 mm",
                                blair});
    };
    add("reflected pressure ratio", "", row.reflected, std::pow(X_r, 7.0));
    add("exit velocity", "m/s", row.exit, d.right_end().u);
    add("pressure ratio at the end", "", 1.0, d.right_end().p / p_rest);
    if (row.P == 1.5) {
      report.plots.push_back({"incident 1.5, open end", "x, m", "p/p0", curves});
    }
  }
  return report;
}

CaseReport shock_at_closed_end(Broken broken) {
  CaseReport report;
  report.title = "Shock at a closed end";
  report.text =
      "A shock into air at rest is reflected by a wall; 800 cells. p51 = p21 ((3 gamma - 1) p21 - "
      "(gamma - 1)) / ((gamma - 1) p21 + gamma + 1).";
  const Gas gas = gas_of_constant_gamma(g, R);
  const double rho0 = p_rest / (R * T_rest);
  struct Row {
    double p21, p51;
  };
  for (const Row& row : {Row{1.2, 1.433333}, Row{1.5, 2.2}, Row{2.0, 3.75}, Row{3.0, 7.666667}}) {
    const EndWave<double> ahead(gas, {rho0, 0.0, p_rest, 0.0}, 1.0);
    const auto behind = ahead.behind(row.p21 * p_rest);
    Pipe d = straight_pipe(800, 2.0);
    d.fill(gas, [&](double x) {
      return x < 1.0 ? Primitive<double>{behind.rho, behind.v, row.p21 * p_rest, 0.0}
                     : Primitive<double>{rho0, 0.0, p_rest, 0.0};
    });
    run<FluxHllc, LimiterMonotonizedCentral>(
        d, gas, 3.6e-3,
        ends_of(gas, broken == Broken::end_reflection ? RightEnd::transmissive : RightEnd::closed));
    double mean = 0;
    for (std::size_t i = 760; i < 800; ++i) mean += d.state(i).p / p_rest / 40;
    report.figures.push_back(
        {fmt::format("p5/p1 for p2/p1 {}", row.p21),
         "",
         row.p51,
         mean,
         2e-3,
         true,
         "plateau behind a captured shock",
         {"shock relations at a wall, e.g. Landau & Lifshitz (1987), section 100",
          Confidence::computed}});
  }
  return report;
}

}  // namespace pulsewright::validation
