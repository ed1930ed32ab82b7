// Steady losses of merges against measurements, from low to high Mach number.
//
// K = (p0_i - p0_3) / (p0_3 - p_3) of the leg i of a merge, 3 the common leg, p0 stagnation and p
// static pressure; q: fraction of the flow of the common leg.
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <stdexcept>
#include <vector>

#include "validation/junctions/junctions.hpp"
#include "validation/junctions/laws.hpp"
#include "validation/junctions/steady_merge.hpp"

namespace pulsewright::validation {

using models::JunctionLaw;

namespace {

constexpr double A_common = 2e-3;  // m2, of the common leg
constexpr double gamma = 1.4;

struct MeasuredLosses {
  double lateral, straight;
};

double coefficient(double total, const Stream& common) {
  return (total - common.total) / (common.total - common.p);
}

// Of a lateral at an angle (deg) into a straight duct; q: of the lateral, area: of the common leg
// over the lateral, M3: of the common leg. The velocities are corrected until flow and Mach number
// are those wanted.
MeasuredLosses combining(JunctionLaw law, double angle, double area, double q, double M3) {
  const double sound = std::sqrt(gamma * 287.05 * T_in);
  // The pressure of the arms rises with the flow: begins below it.
  double straight_run = 0.7 * (1 - q) * M3 * sound;
  double lateral = 0.7 * q * area * M3 * sound;
  Steady m{};
  for (int i = 0; i < 40 && std::abs(m.out.M - M3) > 1e-4; ++i) {
    m = steady_merge(law,
                     {straight(A_common, straight_run), slanting(A_common / area, lateral, angle)},
                     A_common, gamma);
    const double flow = m.out.rho * m.out.v * M3 / m.out.M;  // kg/(s m2) wanted in the common leg
    straight_run = 0.5 * (straight_run + (1 - q) * flow / m.arms[0].rho);
    lateral = 0.5 * (lateral + q * area * flow / m.arms[1].rho);
  }
  if (std::abs(m.out.M - M3) > 1e-3) throw std::runtime_error("the Mach number was not reached");
  return {coefficient(m.arms[1].total, m.out), coefficient(m.arms[0].total, m.out)};
}

// Greatest Mach number in the common leg: the two arms, half of the flow each, are given more and
// more until there is no steady state.
double greatest_mach(JunctionLaw law, double angle) {
  const double sound = std::sqrt(gamma * 287.05 * T_in);
  double passes = 0.15;  // Mach number of the arms
  double chokes = 0.35;
  double reached = 0;
  while (chokes - passes > 1e-4) {
    const double middle = 0.5 * (passes + chokes);
    const double w = middle * sound;
    try {
      reached =
          steady_merge(law, {straight(A_common, w), slanting(A_common, w, angle)}, A_common, gamma)
              .out.M;
      passes = middle;
    } catch (const std::exception&) {  // of whatever kind: no steady state
      chokes = middle;
    }
  }
  return reached;
}

// Of a lateral out of a straight duct of equal areas, at low Mach number; q: of the lateral.
MeasuredLosses dividing(JunctionLaw law, double angle, double q) {
  constexpr double w = 20;
  const auto m =
      steady_merge(law, {straight(A_common, w), slanting(A_common, -q * w, 180 - angle)}, A_common);
  const Stream& common = m.arms[0];
  const double head = common.total - common.p;
  return {(common.total - m.arms[1].total) / head, (common.total - m.out.total) / head};
}

struct Held {
  double tolerance, goal;
};

class MeasuredReport {
 public:
  MeasuredReport(CaseReport& report, Source source, std::string why)
      : report_(report), source_(std::move(source)), why_(std::move(why)) {}
  void add(const std::string& what, double expected, double computed, const Held& held) {
    report_.figures.push_back({what, "heads", expected, computed, held.tolerance, false, why_,
                               source_, Sense::equal, held.goal});
  }

 private:
  CaseReport& report_;
  Source source_;
  std::string why_;
};

}  // namespace

CaseReport measured_combining(Broken broken) {
  CaseReport report;
  report.title = "Combining flow, measured at low and at high Mach number";
  report.text =
      "A lateral into a straight duct, air. Two experiments: Wang, Lu, Deng & Qu (2015), 45 "
      "degrees, tables transcribed and figures digitised; Bassett, Winterbone & Pearson (2001), "
      "figures digitised (three readings of one curve agree to 0.02). At 45 degrees, equal areas "
      "and half the flow from the side they give 0.10 and 0.13 to 0.15 at low Mach number, where "
      "Idelchik's handbook gives 0.40: the goal is the scatter of the two.";
  const JunctionLaw law = law_of(broken);
  const std::string why =
      "goal: reading error 0.02 and scatter of the two experiments 0.05; the tolerance states by "
      "how much the law misses at most";
  MeasuredReport wang(report,
                      {"Wang, Lu, Deng & Qu, Proc. IMechE C 229 (2015) 1600, tables of K13 and K23",
                       Confidence::restated},
                      why);
  const Held held{0.24, 0.07};
  struct Row {
    double M3, q, lateral, straight;
  };
  for (const Row& r :
       {Row{0.1, 0.5, 0.133, 0.147}, Row{0.2, 0.5, 0.168, 0.182}, Row{0.3, 0.5, 0.213, 0.226},
        Row{0.4, 0.5, 0.215, 0.224}, Row{0.5, 0.5, 0.223, 0.233}, Row{0.6, 0.5, 0.294, 0.302},
        Row{0.5, 0.0, -0.764, 0.236}, Row{0.5, 0.2, -0.229, 0.298}, Row{0.5, 0.8, 0.428, -0.063},
        Row{0.5, 1.0, 0.438, -0.455}}) {
    const MeasuredLosses K = combining(law, 45, 1, r.q, r.M3);
    const std::string at = fmt::format("45 deg, equal areas, M3 {}, q {}: ", r.M3, r.q);
    wang.add(at + "lateral", r.lateral, K.lateral, held);
    wang.add(at + "straight", r.straight, K.straight, held);
  }
  MeasuredReport areas(
      report,
      {"Wang, Lu, Deng & Qu, Proc. IMechE C 229 (2015) 1600, figures, mean for M3 < 0.25",
       Confidence::restated},
      why);
  struct Area {
    double area, q, lateral, straight;
  };
  for (const Area& r :
       {Area{1.56, 0, -0.85, 0.20}, Area{1.56, 0.2, -0.24, 0.26}, Area{1.56, 0.5, 0.41, 0.06},
        Area{1.56, 0.8, 0.91, -0.63}, Area{1.56, 1, 1.13, -1.28}, Area{2.44, 0, -0.88, 0.20},
        Area{2.44, 0.2, -0.04, 0.22}, Area{2.44, 0.5, 1.11, -0.18}, Area{2.44, 0.8, 2.56, -1.19},
        Area{2.44, 1, 3.51, -2.09}}) {
    const MeasuredLosses K = combining(law, 45, r.area, r.q, 0.15);
    const std::string at = fmt::format("45 deg, F_3/F_1 {}, M3 0.15, q {}: ", r.area, r.q);
    areas.add(at + "lateral", r.lateral, K.lateral, {0.41, 0.1 * std::max(1.0, r.lateral)});
    // With all the gas from the side the straight arm is idle: its pressure, not a loss.
    const double missed = r.q == 1 ? 1.0 : 0.44;
    areas.add(at + "straight", r.straight, K.straight, {missed, 0.1 * std::max(1.0, -r.straight)});
  }
  MeasuredReport bassett(report,
                         {"Bassett, Winterbone & Pearson (2001), measured points of the figures",
                          Confidence::restated},
                         why);
  struct Angle {
    double angle;
    std::vector<std::pair<double, double>> points;
  };
  for (const Angle& c : {Angle{30,
                               {{0, -0.87},
                                {0.2, -0.38},
                                {0.4, -0.04},
                                {0.5, 0.06},
                                {0.6, 0.11},
                                {0.8, 0.22},
                                {1, 0.19}}},
                         Angle{45,
                               {{0, -1.00},
                                {0.2, -0.47},
                                {0.4, -0.02},
                                {0.5, 0.10},
                                {0.6, 0.22},
                                {0.8, 0.31},
                                {1, 0.30}}},
                         Angle{60,
                               {{0, -0.90},
                                {0.2, -0.31},
                                {0.4, 0.09},
                                {0.5, 0.24},
                                {0.6, 0.37},
                                {0.8, 0.50},
                                {1, 0.56}}},
                         Angle{90,
                               {{0, -0.95},
                                {0.2, -0.22},
                                {0.4, 0.23},
                                {0.5, 0.47},
                                {0.6, 0.60},
                                {0.8, 0.86},
                                {1, 1.03}}}}) {
    for (const auto& [q, K] : c.points) {
      bassett.add(fmt::format("{} deg, equal areas, q {}: lateral", c.angle, q), K,
                  combining(law, c.angle, 1, q, 0.1).lateral, held);
    }
  }
  return report;
}

CaseReport measured_choking(Broken broken) {
  CaseReport report;
  report.title = "Combining flow until it chokes";
  report.text =
      "A lateral into a straight duct, equal areas, half of the flow each. In the experiments the "
      "flow separates at the crotch and chokes beside the separated gas, so that the mean Mach "
      "number of the common leg reaches 0.65 (wyes of 30, 60 and 90 degrees) to 0.66 (laterals). "
      "The "
      "law knows the loss, which grows with the Mach number, and not the narrowest section: it "
      "chokes "
      "later, and passes some 2 % more gas at most. With a plenum the leg reaches Mach 1.";
  const JunctionLaw law = law_of(broken);
  for (const double angle : {30.0, 60.0, 90.0}) {
    report.figures.push_back({fmt::format("{} deg: greatest Mach number in the common leg", angle),
                              "",
                              0.65,
                              greatest_mach(law, angle),
                              0.15,
                              false,
                              "goal: the two experiments differ by 0.01; the tolerance states by "
                              "how much the law misses "
                              "at most",
                              {"Abou-Haidar & Dixon (1992); Abou-Haidar & Dixon (1994); abstracts",
                               Confidence::restated},
                              Sense::equal,
                              0.02});
  }
  return report;
}

CaseReport measured_dividing(Broken broken) {
  CaseReport report;
  report.title = "Dividing flow, measured up to all the gas in the branch";
  report.text =
      "A lateral out of a straight duct of equal areas, low Mach number; q: of the leg that the "
      "coefficient belongs to. Bassett, Winterbone & Pearson (2001) and, for the straight run, "
      "Hager (1984), figures digitised.";
  const JunctionLaw law = law_of(broken);
  const std::string why =
      "goal: reading error 0.02 and scatter of such measurements 0.05; the tolerance states by how "
      "much the law misses at most";
  MeasuredReport bassett(report,
                         {"Bassett, Winterbone & Pearson (2001), measured points of the figures",
                          Confidence::restated},
                         why);
  const Held held{0.38, 0.07};
  struct Angle {
    double angle;
    double K[7];
  };
  constexpr double qs[7] = {0, 0.2, 0.4, 0.5, 0.6, 0.8, 1};
  for (const Angle& c : {Angle{45, {0.89, 0.66, 0.49, 0.43, 0.39, 0.35, 0.48}},
                         Angle{60, {1.01, 0.81, 0.67, 0.61, 0.60, 0.63, 0.74}},
                         Angle{90, {0.97, 0.89, 0.86, 0.88, 0.94, 1.10, 1.31}}}) {
    for (int k = 0; k < 7; ++k) {
      bassett.add(fmt::format("{} deg, q {}: branch", c.angle, qs[k]), c.K[k],
                  dividing(law, c.angle, qs[k]).lateral, held);
    }
  }
  constexpr double straight_90[7] = {0.35, 0.21, 0.09, 0.02, -0.01, -0.02, 0.04};
  for (int k = 0; k < 7; ++k) {
    bassett.add(fmt::format("90 deg, q {}: straight run", qs[k]), straight_90[k],
                dividing(law, 90, 1 - qs[k]).straight, held);
  }
  MeasuredReport hager(
      report,
      {"Hager (1984), straight run, mean over any branch, figure digitised; scatter of "
       "the points 0.06",
       Confidence::restated},
      why);
  // Here q is that of the branch.
  for (const auto& [q, K] : {std::pair{0.24, -0.056}, std::pair{0.54, 0.014},
                             std::pair{0.74, 0.144}, std::pair{0.99, 0.402}}) {
    hager.add(fmt::format("45 deg, q {} in the branch: straight run", q), K,
              dividing(law, 45, q).straight, held);
  }
  return report;
}

}  // namespace pulsewright::validation
