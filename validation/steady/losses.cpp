// Losses: sudden enlargement, conical diffuser, bends, orifice plate.
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "models/network/pipe_wall.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "validation/rig/fed_pipe.hpp"
#include "validation/rig/steady_flow.hpp"
#include "validation/steady/steady.hpp"

namespace pulsewright::validation {

using models::JunctionLaw;
using models::Side;
using solver::LimiterMonotonizedCentral;

namespace {

// Two straight pipes joined end to end, fed at the left and open at the right.
models::EngineSpecification step_of_area(double D1, double ratio, JunctionLaw law) {
  models::EngineSpecification e;
  e.pipes = {smooth_pipe("upstream", 0.4, D1, 0.01),
             smooth_pipe("downstream", 0.4, D1 * std::sqrt(ratio), 0.01)};
  models::JunctionSpecification joint;
  joint.name = "step";
  joint.law = law;
  joint.branches = {{{0, Side::right}, {-1, 0, 0}}, {{1, Side::left}, {1, 0, 0}}};
  e.junctions = {joint};
  models::OpenEndSpecification open;
  open.end = {1, Side::right};
  open.end_correction = false;
  e.open_ends = {open};
  return e;
}

}  // namespace

CaseReport sudden_enlargement(Broken broken) {
  CaseReport report;
  report.title = "Sudden enlargement: two pipes joined end to end";
  report.text =
      "Conservation of mass, energy and momentum, with the upstream pressure on the annulus. "
      "Steady flow through two pipes of 0.4 m each, with a given mass flow at the inlet and an "
      "open end; the mass flow is that of the stated upstream Mach number.";
  struct Row {
    double g, M1, ratio, M2, p2_p1, p02_p01;
  };
  const Source source{
      "Benedict, Carlucci & Swetz, J. Eng. Power 88 (1966) 73, compressible sudden enlargement",
      Confidence::computed};
  constexpr double R = 287.05;
  constexpr double T0 = 400;
  for (const Row& row : {Row{1.4, 0.1, 2, 0.049863, 1.003507, 0.998249},
                         Row{1.4, 0.3, 2, 0.146329, 1.032062, 0.984201},
                         Row{1.4, 0.3, 4, 0.073881, 1.023677, 0.965393},
                         Row{1.4, 0.5, 2, 0.233377, 1.091753, 0.955939},
                         Row{1.4, 0.5, 4, 0.119982, 1.066016, 0.907760},
                         Row{1.4, 0.7, 2, 0.306036, 1.187317, 0.913414},
                         Row{1.33, 0.5, 2, 0.233560, 1.087360, 0.957867},
                         Row{1.33, 0.7, 4, 0.161529, 1.123923, 0.835932}}) {
    const auto gas = constant_gamma_gas(row.g, R);
    constexpr double D1 = 0.04;
    // The exit is at ambient pressure, so that p1 and the mass flow for M1 are known.
    const double p1 = 101325.0 / row.p2_p1;
    const double T1 = T0 * temperature_ratio(row.M1, row.g);
    const double flow =
        p1 / (R * T1) * row.M1 * std::sqrt(row.g * R * T1) * 0.25 * std::numbers::pi * D1 * D1;
    FedPipe fed(gas,
                step_of_area(D1, row.ratio,
                             broken == Broken::enlargement ? JunctionLaw::constant_pressure
                                                           : JunctionLaw::momentum),
                flow, T0);
    // Until the starting waves have decayed.
    fed.rig.run_until(0.35);
    const auto a = fed.rig.pipe(0).right_end();
    const auto b = fed.rig.pipe(1).left_end();
    const auto add = [&](const char* quantity, double expected, double computed, double tolerance) {
      report.figures.push_back(
          {fmt::format("gamma {}, M1 {}, A2/A1 {}: {}", row.g, row.M1, row.ratio, quantity), "",
           expected, computed, tolerance, true,
           "0.01 %: the junction solves this balance, the pipes are straight", source});
    };
    add("M1", row.M1, mach(a, row.g), 1e-4);
    add("M2", row.M2, mach(b, row.g), 1e-4);
    add("p2/p1", row.p2_p1, b.p / a.p, 1e-4);
    add("p02/p01", row.p02_p01, stagnation(b, row.g) / stagnation(a, row.g), 1e-4);
  }
  return report;
}

namespace {

// Loss coefficient, on the dynamic head at the small end, of a smooth cone between 50 mm and twice
// that area, from the stagnation pressures of a steady flow at Mach 0.09.
double loss_of_cone(double angle_deg, bool friction, bool diffuser) {
  constexpr double g = 1.4;
  constexpr double R = 287.05;
  constexpr double T0 = 300;
  constexpr double D = 0.05;
  constexpr double speed = 31.6;  // m/s, for Re 1e5
  const Gas gas = gas_of_constant_gamma(g, R);
  const double D_large = D * std::sqrt(2.0);
  const double length = 0.5 * (D_large - D) / std::tan(0.5 * angle_deg * std::numbers::pi / 180.0);
  models::PipeSpecification cone = smooth_pipe("cone", length, D, length / 100);
  cone.profile = {{0.0, diffuser ? D : D_large}, {length, diffuser ? D_large : D}};
  cone.friction = friction;
  cone.roughness = 0;
  const double flow =
      models::Ambient{}.pressure / (R * T0) * speed * 0.25 * std::numbers::pi * D * D;
  FedPipe fed(gas, endless(cone), flow, T0);
  fed.rig.run_until(0.15);
  const Primitive<double> in = fed.rig.pipe(0).left_end();
  const Primitive<double> out = fed.rig.pipe(0).right_end();
  const Primitive<double>& small_end = diffuser ? in : out;
  return (stagnation(in, g) - stagnation(out, g)) /
         (0.5 * small_end.rho * small_end.u * small_end.u);
}

}  // namespace

CaseReport conical_diffuser(Broken broken) {
  CaseReport report;
  report.title = "Conical diffuser, A2/A1 = 2";
  report.text =
      "Loss coefficient on rho u1^2/2 of a smooth cone of 50 mm inlet at a Reynolds number of 1e5 "
      "(friction factor 0.018), against four handbooks, which differ by a factor of two below 10 "
      "deg (total angle). The program adds Idelchik's separation loss to wall friction in the "
      "direction of increasing area. Steady flow: in a short pulse the boundary layer has less "
      "time to separate.";
  struct Row {
    double angle, rennels, crane, idelchik, miller;
  };
  Plot plot{"loss coefficient",
            "total angle, deg",
            "K",
            {{"computed", {}, {}},
             {"Rennels", {}, {}, true},
             {"Crane", {}, {}, true},
             {"Idelchik", {}, {}, true},
             {"Miller", {}, {}, true}}};
  const Source handbooks{
      "Rennels & Hudson (2012); Crane (1988); Idelchik (2006); Miller (1990), as coded in a public "
      "library of fluid mechanics",
      Confidence::restated};
  const bool friction = broken != Broken::friction;
  for (const Row& row : {Row{6, 0.044, 0.034, 0.06, 0.002}, Row{8, 0.044, 0.045, 0.06, 0.051},
                         Row{10, 0.049, 0.057, 0.06, 0.065}, Row{15, 0.073, 0.085, 0.085, 0.094},
                         Row{20, 0.109, 0.113, 0.10, 0.125}, Row{30, 0.206, 0.168, 0.17, 0.164},
                         Row{60, 0.302, 0.25, 0.30, 0.228}}) {
    const double K = loss_of_cone(row.angle, friction, true);
    const std::array<double, 5> values{K, row.rennels, row.crane, row.idelchik, row.miller};
    for (std::size_t k = 0; k < 5; ++k) {
      plot.curves[k].x.push_back(row.angle);
      plot.curves[k].y.push_back(values[k]);
    }
    const double mean = 0.25 * (row.rennels + row.crane + row.idelchik + row.miller);
    report.figures.push_back({fmt::format("{} deg: K, mean of four handbooks", row.angle), "", mean,
                              K, 0.03, false,
                              "0.03 of the dynamic head: the spread of the handbooks", handbooks});
  }
  // Friction of an attached flow alone: f / (8 sin(angle/2)) (1 - (A1/A2)^2).
  constexpr double angle = 20;
  const double attached = 0.018 / (8.0 * std::sin(0.5 * angle * std::numbers::pi / 180.0)) * 0.75;
  report.figures.push_back({fmt::format("{} deg, reversed flow (confuser): K", angle),
                            "",
                            attached,
                            loss_of_cone(angle, friction, false),
                            0.002,
                            false,
                            "0.002 of the dynamic head: a confuser has friction losses only",
                            {"Idelchik (2006), chapter 5", Confidence::from_memory}});
  report.plots.push_back(plot);
  return report;
}

CaseReport bend_losses(Broken broken) {
  CaseReport report;
  report.title = "Bends: loss coefficient against handbooks";
  report.text =
      "Bore 50 mm. The coefficient of the formula plus the friction of the arc, and the loss of "
      "stagnation pressure in a computed pipe with bends of 90 deg, against the same handbooks. No "
      "correlation for bends is accurate to better than 20 % (Beij, J. Res. NBS 21 (1938)).";
  constexpr double D = 0.05;
  constexpr double roughness = 30e-6;
  constexpr double f = 0.018;
  const Source miller{"Miller (1990), Re 1e5, as coded in a public library of fluid mechanics",
                      Confidence::restated};
  const Source rennels{
      "Rennels & Hudson (2012), f 0.018, as coded in a public library of fluid mechanics",
      Confidence::restated};
  const Source crane{"Crane TP-410 (1988), multiples of f_T 0.019", Confidence::restated};
  const char* spread = "20 %: handbooks differ by that much";
  const double factor = broken == Broken::friction ? 0.0 : 1.0;
  const auto formula = [&](double R_over_D, double angle, double roughness_, double f_) {
    const double arc = f_ * R_over_D * angle * std::numbers::pi / 180;
    return factor * (models::bend_loss({R_over_D * D, angle}, D, roughness_) + arc);
  };
  struct Row {
    double ratio, miller, rennels;
  };
  Plot plot{"loss coefficient of a bend of 90 deg",
            "R/D",
            "K",
            {{"computed", {}, {}}, {"Miller", {}, {}, true}, {"Rennels & Hudson", {}, {}, true}}};
  for (const Row& r :
       {Row{1, 0.30834, 0.31343}, Row{1.5, 0.24487, 0.22540}, Row{2, 0.21871, 0.20378},
        Row{3, 0.21027, 0.20651}, Row{5, 0.25614, 0.24999}}) {
    const double K = formula(r.ratio, 90, roughness, f);
    const auto name = fmt::format("90 deg, R/D {}: K", r.ratio);
    report.figures.push_back({name, "", r.miller, K, 0.2, true, spread, miller});
    report.figures.push_back({name, "", r.rennels, K, 0.2, true, spread, rennels});
    const std::array<double, 3> values{K, r.miller, r.rennels};
    for (std::size_t k = 0; k < 3; ++k) {
      plot.curves[k].x.push_back(r.ratio);
      plot.curves[k].y.push_back(values[k]);
    }
  }
  for (const auto& [ratio, K] : {std::pair{1.0, 0.380}, std::pair{1.5, 0.266},
                                 std::pair{2.0, 0.228}, std::pair{3.0, 0.228}}) {
    // roughness of commercial steel, 45 um: f_T 0.019
    report.figures.push_back({fmt::format("90 deg, R/D {}, roughness 45 um: K", ratio), "", K,
                              formula(ratio, 90, 45e-6, 0.019), 0.02, true, "source of the formula",
                              crane});
  }
  for (const auto& [angle, K] :
       {std::pair{30.0, 0.0728}, std::pair{45.0, 0.1058}, std::pair{60.0, 0.1479}}) {
    report.figures.push_back({fmt::format("{} deg, R/D 1.5: K", angle), "", K,
                              formula(1.5, angle, roughness, f), 0.2, true, spread, miller});
  }
  // In a computed pipe: the same pipe with and without bends, at the same flow.
  const auto loss_and_head = [&](bool bent) {
    const auto gas = constant_gamma_gas();
    models::PipeSpecification pipe = smooth_pipe("pipe", 1.0, D, 0.02);
    pipe.friction = true;
    pipe.roughness = roughness;
    // Two bends, for a larger difference: R/D 2.
    if (bent && broken != Broken::friction) pipe.bends = {{2 * D, 90}, {2 * D, 90}};
    FedPipe fed(gas, endless(pipe), 1.2 * 30 * 0.25 * std::numbers::pi * D * D, 293.15);
    fed.rig.run_until(0.15);
    const auto& d = fed.rig.pipe(0);
    const auto a = d.state(5);
    const auto b = d.state(45);
    return std::array<double, 2>{(stagnation(a, 1.4) - stagnation(b, 1.4)) * 50.0 / 40.0,
                                 0.5 * d.state(25).rho * d.state(25).u * d.state(25).u};
  };
  const auto with = loss_and_head(true);
  const auto without = loss_and_head(false);
  const double arc = f * std::numbers::pi / 2 * 2;
  const double K = 0.5 * (with[0] / with[1] - without[0] / without[1]) + arc;
  report.figures.push_back(
      {"computed pipe with two bends, R/D 2: K of one", "", 0.21871, K, 0.2, true, spread, miller});
  report.plots.push_back(plot);
  return report;
}

CaseReport choked_orifice(Broken broken) {
  CaseReport report;
  report.title = "Orifice plate at the end of a pipe, choked and subsonic";
  report.text =
      "A reservoir supplies a pipe of 0.5 m without loss; at its end an orifice with an effective "
      "area of 0.3 of the pipe's. In steady flow the mass flow is that of the ideal nozzle for the "
      "reservoir's state.";
  const Source source{"NACA Report 1135 (1953); Shapiro (1953), chapter 4: flow of a nozzle",
                      Confidence::computed};
  struct Row {
    double g, R, p0, T0, ratio, G;  // G in kg/(m2 s) of the orifice
  };
  // Choked rows: psi p0 / sqrt(R T0) with psi 0.684731 (gamma 1.4) and 0.667262 (1.3).
  for (const Row& row :
       {Row{1.4, 287.05, 101325, 293.15, 0.9, 147.60556},
        Row{1.4, 287.05, 101325, 293.15, 0.7, 222.96128},
        Row{1.4, 287.05, 101325, 293.15, 0.5, 239.17356},
        Row{1.4, 287.05, 101325, 293.15, 0.1, 239.17356},
        Row{1.3, 290, 400000, 1200, 0.3, 452.44625}, Row{1.3, 290, 200000, 1000, 0.8, 206.31226}}) {
    const Gas gas = gas_of_constant_gamma(row.g, row.R);
    constexpr double ratio_of_areas = 0.3;
    Pipe d = straight_pipe(50, 0.5, 0.04);
    fill_still(d, gas, row.ratio * row.p0, row.T0);
    const double h0 = gas.enthalpy(row.T0, 0.0);
    const auto ends = [&](Pipe& pipe) {
      const models::Reservoir<double> from{row.p0, h0, 0.0};
      const models::Reservoir<double> into{row.ratio * row.p0, h0, 0.0};
      pipe.set_flux_left(models::as_pipe_flux(
          models::flow_through_orifice(gas, solver::EndWave<double>(gas, pipe.left_end(), 1.0),
                                       from, 1.0, 1.0),
          1.0));
      pipe.set_flux_right(models::as_pipe_flux(
          models::flow_through_orifice(gas, solver::EndWave<double>(gas, pipe.right_end(), -1.0),
                                       into, ratio_of_areas,
                                       broken == Broken::end_reflection ? 1.0 : ratio_of_areas),
          -1.0));
    };
    run_to_steady_state<LimiterMonotonizedCentral>(d, gas, ends, 1e-10, 400'000);
    const double flow = d.flux(50).mass / ratio_of_areas;
    report.figures.push_back(
        {fmt::format("gamma {}, {:.0f} kPa, {} K, p/p0 {}: mass flow over effective area", row.g,
                     1e-3 * row.p0, row.T0, row.ratio),
         "kg/(m2 s)", row.G, flow, 1e-5, true, "printed digits; no loss in the frictionless pipe",
         source});
  }
  return report;
}

}  // namespace pulsewright::validation
