// Sudden steps of a primary, and the neck of a merge collector, as case files describe them.
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "models/network/pipe_wall.hpp"
#include "models/sizing/circle.hpp"
#include "validation/rig/case_pipes.hpp"
#include "validation/rig/pipe_rig.hpp"
#include "validation/rig/steady_flow.hpp"
#include "validation/steady/steady.hpp"

namespace pulsewright::validation {

using models::Side;

namespace {

constexpr double g_air = 1.4;
constexpr double R_air = 287.05;
constexpr double T0_air = 300;

// Mass flow, kg/s, at a Mach number through an area (m2) at ambient pressure.
double flow_at(double M, double area) {
  const double T = T0_air * temperature_ratio(M, g_air);
  return 101325 / (R_air * T) * M * std::sqrt(g_air * R_air * T) * area;
}

// Loss coefficient of the step between the two pipes of the network, on the dynamic head in the
// narrow one, of a steady flow with that Mach number there. Wall friction is taken off.
double step_loss(models::EngineSpecification e, bool forward, double M) {
  const double bore[2] = {e.pipes[0].profile.back().diameter, e.pipes[1].profile.front().diameter};
  const std::size_t narrow = bore[0] < bore[1] ? 0 : 1;
  const double flow = flow_at(M, models::circle_area(bore[narrow]));
  const models::PipeEnd left{0, Side::left};
  const models::PipeEnd right{1, Side::right};
  e.prescribed_ends = {{forward ? left : right, models::PrescribedQuantity::mass_flow,
                        [=](double) { return flow; }, T0_air}};
  e.anechoic_ends = {{forward ? right : left}};
  PipeRig rig(e, gas_of_constant_gamma(g_air, R_air));
  rig.run_until(0.2);
  const Pipe& from = rig.pipe(forward ? 0 : 1);
  const Pipe& to = rig.pipe(forward ? 1 : 0);
  const auto before = forward ? from.right_end() : from.left_end();
  // Behind a contraction the loss is spread over a diameter: two of them on.
  const bool contracts = narrow == (forward ? 1U : 0U);
  const auto cells = contracts ? static_cast<std::size_t>(2 * bore[narrow] / to.dx()) : 0U;
  const auto behind = to.state(forward ? cells : to.cells() - 1 - cells);
  const auto& in_narrow = contracts ? behind : before;
  const double head = 0.5 * in_narrow.rho * in_narrow.u * in_narrow.u;
  const double Re = std::abs(in_narrow.rho * in_narrow.u) * bore[narrow] /
                    solver::viscosity_sutherland(in_narrow.p / (R_air * in_narrow.rho));
  const double way = contracts ? (static_cast<double>(cells) + 0.5) * to.dx() : 0;
  const double friction = models::friction_factor_haaland(Re, 0) * way / bore[narrow];
  return (stagnation(before, g_air) - stagnation(behind, g_air)) / head - friction;
}

models::EngineSpecification with_broken_joint(models::EngineSpecification e, Broken broken) {
  if (broken == Broken::enlargement) {
    for (auto& joint : e.junctions) joint.law = models::JunctionLaw::constant_pressure;
  }
  return e;
}

}  // namespace

CaseReport tube_steps(Broken broken) {
  CaseReport report;
  report.title = "Sudden steps of a primary, both ways";
  report.text =
      "A tube of 40 mm and one of a larger bore behind it, by primary_steps, and a port of 38 mm "
      "before a larger tube, by port_transition = 0: steady flow of Mach 0.05 outward and inward. "
      "Outward the loss of Borda and Carnot on the head in the narrow tube, (1 - A1/A2)^2; inward "
      "that of a sudden contraction, 0.5 (1 - A1/A2)^(3/4).";
  const Source enlargement{"Idelchik (2006), diagram 4-1: Borda-Carnot", Confidence::computed};
  const Source contraction{"Idelchik (2006), diagram 4-9: sudden contraction",
                           Confidence::computed};
  const auto add = [&](const std::string& name, const models::EngineSpecification& e,
                       double area_ratio) {
    const double rest = 1 - 1 / area_ratio;
    report.figures.push_back(
        {name + ", outward", "heads", rest * rest, step_loss(e, true, 0.05), 4e-3, false,
         "compressible effects at Mach 0.05, wall friction in the cells beside "
         "the step",
         enlargement});
    report.figures.push_back({name + ", inward", "heads", 0.5 * std::pow(rest, 0.75),
                              step_loss(e, false, 0.05), 4e-3, false,
                              "compressible effects at Mach 0.05, friction of the two diameters "
                              "between the places",
                              contraction});
  };
  for (const double ratio : {1.16, 1.5, 2.0, 4.0}) {
    add(fmt::format("area ratio {}", ratio),
        with_broken_joint(
            exhaust_pipes("", fmt::format("kind = \"equal-length\"\nprimary_tube = \"40 mm ID\"\n"
                                          "primary_length = \"800 mm\"\nprimary_steps = [{{ at = "
                                          "\"400 mm\", tube = \"{:.6f} mm ID\" }}]",
                                          40 * std::sqrt(ratio))),
            broken),
        ratio);
  }
  add("port of 38 mm, tube of 44 mm",
      with_broken_joint(
          exhaust_pipes(
              "port_length = \"200 mm\"\nport_diameter = \"38 mm\"\nport_transition = \"0 "
              "mm\"",
              "kind = \"equal-length\"\nprimary_tube = \"44 mm ID\"\nprimary_length = "
              "\"400 mm\""),
          broken),
      std::pow(44.0 / 38.0, 2));
  return report;
}

namespace {

// Mass flow through the choked neck (mm) of a merge collector of two tubes over that of the ideal
// nozzle, with the stagnation pressure in the tubes.
double flow_of_neck(double neck, const char* inlet, Broken broken) {
  auto e = exhaust_pipes(
      "merge_half_angle = \"10 deg\"",
      fmt::format("kind = \"equal-length\"\nprimary_tube = \"40 mm ID\"\nprimary_length = "
                  "\"300 mm\"\nmerge_diameter = \"{} mm\"\nmerge_inlet_length = \"{}\"\n"
                  "merge_neck_length = \"30 mm\"\nmerge_cone_length = \"200 mm\"\n"
                  "collector_tube = \"70 mm ID\"\ncollector_length = \"500 mm\"",
                  neck, inlet),
      2);
  const double ideal_at_1_bar = 1e5 * models::circle_area(1e-3 * neck) *
                                std::sqrt(g_air / (R_air * T0_air)) *
                                std::pow(2 / (g_air + 1), 0.5 * (g_air + 1) / (g_air - 1));
  const double excess = 1.6;  // bar, so that the neck is choked and the flow behind it is not fast
  for (const int tube : {0, 1}) {
    e.prescribed_ends.push_back({{tube, Side::left},
                                 models::PrescribedQuantity::mass_flow,
                                 [=](double) { return 0.5 * excess * ideal_at_1_bar; },
                                 T0_air});
  }
  e.open_ends.push_back({{2, Side::right}});
  for (auto& pipe : e.pipes) pipe.friction = false;
  if (broken == Broken::area_term) e.pipes[2].profile = {{0, 0.07}};
  PipeRig rig(e, gas_of_constant_gamma(g_air, R_air));
  rig.run_until(0.15);
  return excess * 1e5 / stagnation(rig.pipe(0).right_end(), g_air);
}

}  // namespace

CaseReport merge_neck(Broken broken) {
  CaseReport report;
  report.title = "Choked neck of a merge collector";
  report.text =
      "Two tubes of 40 mm at 10 degrees into a neck of 36, 40 and 45 mm, straight for 30 mm, that "
      "opens to 70 mm: mass flow over that of the ideal nozzle of the neck, p0 A sqrt(g/(R T0)) "
      "(2/(g+1))^((g+1)/(2(g-1))), with the stagnation pressure in the tubes, without wall "
      "friction. Behind an inlet of 100 mm, in which the tubes narrow, the pipe computes the "
      "contraction. Without it the law of the merge does, which is none for sonic flow: it lets "
      "some per cent more pass than can.";
  const Source source{"NACA Report 1135 (1953): choked nozzle", Confidence::computed};
  for (const double neck : {36.0, 40.0, 45.0}) {
    report.figures.push_back({fmt::format("neck of {} mm behind an inlet", neck), "", 1,
                              flow_of_neck(neck, "100 mm", broken), 0.03, true,
                              "3 %: mixing of the two jets, and a neck of three cells", source});
    report.figures.push_back({fmt::format("neck of {} mm without an inlet", neck), "", 1,
                              flow_of_neck(neck, "0 mm", broken), 0.09, true,
                              "9 %: the law of the merge at sonic speed", source, Sense::equal,
                              0.03});
  }
  return report;
}

}  // namespace pulsewright::validation
