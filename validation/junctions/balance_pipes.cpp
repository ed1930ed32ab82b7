// Balance pipes between two tails: facts of symmetry.
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "validation/junctions/junctions.hpp"
#include "validation/rig/case_pipes.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

using models::Side;

namespace {

// Steady mass flows, kg/s, of four tubes into two collectors with a balance pipe behind them.
struct Flows {
  double bar = 0;  // from the first side to the second, 0 without one
  double tails[2] = {0, 0};
  double most_in_bar = 0;  // ever, at the middle of the bar
};

// flow: kg/s, of each tube of the first and the second collector.
Flows flows_of(const std::string& balance, const double (&flow)[2], Broken broken) {
  auto e = exhaust_pipes(
      "",
      fmt::format("kind = \"equal-length\"\ngroups = [[1, 4], [2, 3]]\nprimary_tube = \"40 mm "
                  "ID\"\nprimary_length = \"400 mm\"\ncollector_tube = \"60 mm ID\"\n"
                  "collector_length = \"300 mm\"\ntail_tube = \"60 mm ID\"\ntail_length = "
                  "\"600 mm\"\nbalance = [{{ at = \"100 mm\", {} }}]",
                  balance),
      4);
  Flows out;
  std::size_t bar = e.pipes.size();
  std::size_t tails[2] = {0, 0};
  for (std::size_t i = 0; i < e.pipes.size(); ++i) {
    const std::string& name = e.pipes[i].name;
    if (name == "H pipe") bar = i;
    if (name == "tail A") tails[0] = i;
    if (name == "tail B") tails[1] = i;
    if (!name.starts_with("primary ")) continue;
    const bool first = name == "primary 1" || name == "primary 4";
    // The wrong variant: a tube that gets more than the others.
    const double wrong = broken == Broken::junction_momentum && name == "primary 1" ? 1.5 : 1;
    e.prescribed_ends.push_back(
        {{static_cast<int>(i), Side::left},
         models::PrescribedQuantity::mass_flow,
         [m = wrong * flow[first ? 0 : 1]](double t) { return m * std::min(1.0, t / 0.01); },
         300});
  }
  for (const std::size_t tail : tails) {
    models::OpenEndSpecification open;
    open.end = {static_cast<int>(tail), Side::right};
    open.end_correction = false;
    e.open_ends.push_back(open);
  }
  PipeRig rig(e, constant_gamma_gas());
  const auto flow_in = [&](std::size_t pipe, std::size_t cell) {
    const auto w = rig.pipe(pipe).state(cell);
    const double d = e.pipes[pipe].profile.back().diameter;
    return w.rho * w.u * 0.25 * std::numbers::pi * d * d;
  };
  const auto in_bar = [&] {
    const std::size_t n = rig.pipe(bar).cells();
    return 0.5 * (flow_in(bar, (n - 1) / 2) + flow_in(bar, n / 2));
  };
  rig.run_until(0.4, [&] {
    if (bar < e.pipes.size()) out.most_in_bar = std::max(out.most_in_bar, std::abs(in_bar()));
  });
  if (bar < e.pipes.size()) out.bar = in_bar();
  for (const int side : {0, 1}) {
    out.tails[side] = flow_in(tails[side], rig.pipe(tails[side]).cells() - 2);
  }
  return out;
}

}  // namespace

CaseReport balance_pipes(Broken broken) {
  CaseReport report;
  report.title = "Balance pipes between two tails";
  report.text =
      "Two collectors of two tubes each with an H or an X behind them, as case files describe "
      "them, fed with steady flows that begin within 10 ms. Where both sides get the same, nothing "
      "passes the middle of the bar at any time, and both tails get the same; where one side gets "
      "twice as much, the bar carries gas away from it, and less than would make the tails equal.";
  const Source symmetry{"symmetry of the pipes; conservation of mass", Confidence::computed};
  const std::string bar = "kind = \"H\", tube = \"50 mm ID\", length = \"300 mm\"";
  const std::string cross = "kind = \"X\", half_angle = \"20 deg\"";
  constexpr double m = 0.03;  // kg/s of one tube
  const Flows even = flows_of(bar, {m, m}, broken);
  report.figures.push_back({"H, equal sides: most that ever passes the bar", "kg/s", 0,
                            even.most_in_bar, 1e-9 * m, false, "round-off", symmetry});
  report.figures.push_back({"H, equal sides: flow of the first tail over that of the second", "", 1,
                            even.tails[0] / even.tails[1], 1e-9, false, "round-off", symmetry});
  const Flows crossed = flows_of(cross, {m, m}, broken);
  report.figures.push_back({"X, equal sides: flow of the first tail over that of the second", "", 1,
                            crossed.tails[0] / crossed.tails[1], 1e-9, false, "round-off",
                            symmetry});
  const Flows uneven = flows_of(bar, {4.0 / 3 * m, 2.0 / 3 * m}, broken);
  report.figures.push_back(
      {"H, twice as much on the first side: flow of the bar over half the "
       "difference",
       "", 0.05, uneven.bar / (2.0 / 3 * m), 0, false, "it flows to the side with less", symmetry,
       Sense::at_least});
  report.figures.push_back({"the same, at most", "", 1, uneven.bar / (2.0 / 3 * m), 0, false,
                            "no more than makes the tails equal", symmetry, Sense::at_most});
  report.figures.push_back({"H, uneven: tails together over what comes in", "", 1,
                            (uneven.tails[0] + uneven.tails[1]) / (4 * m), 1e-4, false,
                            "steady after 0.4 s", symmetry});
  return report;
}

}  // namespace pulsewright::validation
