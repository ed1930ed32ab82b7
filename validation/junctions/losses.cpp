// Steady losses of merges against handbooks, with all three junction laws.
//
// Loss coefficients are differences of stagnation pressure on rho w_c^2 / 2 of the common pipe; q
// is the fraction of its flow that comes from the branch, f = F_b / F_c, s = F_s / F_c. Mach 0.05,
// where compressible effects are of the order of M^2.
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "validation/junctions/junctions.hpp"
#include "validation/junctions/steady_merge.hpp"

namespace pulsewright::validation {

using models::JunctionLaw;

namespace {

constexpr double F_c = 2e-3;  // m2
constexpr double w_c = 20;    // m/s

struct Wye {
  double angle, f, s;
};
struct Losses {
  double branch, straight;
};

constexpr std::array laws{std::pair{"momentum", JunctionLaw::momentum},
                          std::pair{"constant pressure", JunctionLaw::constant_pressure},
                          std::pair{"plenum", JunctionLaw::plenum}};

double cosine(double angle) { return std::cos(angle * std::numbers::pi / 180); }

// Momentum balance with one static pressure at both arms.
Losses momentum_balance(const Wye& w, double q) {
  const double common = -2 / w.s * (1 - q) * (1 - q) - 2 * q * q * cosine(w.angle) / w.f;
  return {1 + std::pow(q / w.f, 2) + common, 1 + std::pow((1 - q) / w.s, 2) + common};
}

// Idelchik (2006), eqs (7-1), (7-2) with the factor A, for F_s = F_c and f > 0.35.
Losses handbook(const Wye& w, double q) {
  Losses z = momentum_balance(w, q);
  z.branch *= q <= 0.4 ? 0.9 * (1 - q) : 0.55;
  if (w.angle == 90) z.straight = 1.55 * q - q * q;
  return z;
}

Losses losses_of(JunctionLaw law, const Wye& w, double q) {
  const auto m = steady_merge(
      law, {straight(w.s * F_c, (1 - q) * w_c / w.s), slanting(w.f * F_c, q * w_c / w.f, w.angle)},
      F_c);
  const double head = 0.5 * m.out.rho * m.out.v * m.out.v;
  return {(m.arms[1].total - m.out.total) / head, (m.arms[0].total - m.out.total) / head};
}

JunctionLaw law_of(Broken broken) {
  return broken == Broken::junction_momentum ? JunctionLaw::plenum : JunctionLaw::momentum;
}

const std::string fifth = "a fifth of max(1, |value|), in dynamic heads of the common pipe";
double fifth_of(double expected) { return 0.2 * std::max(1.0, std::abs(expected)); }

void add_plots(CaseReport& report, const Wye& w, const std::string& name,
               Losses (*published)(const Wye&, double)) {
  for (const bool branch : {true, false}) {
    Plot plot{fmt::format("{}, {}", name, branch ? "branch" : "straight run"), "q", "loss", {}};
    Curve book{"handbook", {}, {}, true};
    for (int i = 0; i <= 20; ++i) {
      const Losses z = published(w, 0.05 * i);
      book.x.push_back(0.05 * i);
      book.y.push_back(branch ? z.branch : z.straight);
    }
    plot.curves.push_back(book);
    for (const auto& [law_name, law] : laws) {
      Curve curve{law_name, {}, {}};
      for (int i = 1; i < 10; ++i) {
        const Losses z = losses_of(law, w, 0.1 * i);
        curve.x.push_back(0.1 * i);
        curve.y.push_back(branch ? z.branch : z.straight);
      }
      plot.curves.push_back(curve);
    }
    report.plots.push_back(plot);
  }
}

}  // namespace

CaseReport wye_losses(Broken broken) {
  CaseReport report;
  report.title = "Converging wyes with a straight run of the area of the common pipe";
  report.text =
      "Angles 15 to 90 degrees, branch of the area and of half the area of the common pipe. "
      "Figures: the momentum law; plots: all laws. The momentum balance alone is wrong for the "
      "branch by up to 1.9 dynamic heads and for the straight run of the tee by 0.4; the junction "
      "adds two terms, the lower pressure at the port of a lateral jet and the wall force that "
      "turns it. They are fitted to this handbook, so this case shows the fit and not a "
      "prediction. Editions of the handbook differ by up to 0.4 heads for the straight run below "
      "90 degrees; here the momentum form of 1960.";
  const Source source{"Idelchik (2006), chapter 7, eqs (7-1), (7-2), table of A",
                      Confidence::restated};
  for (const double f : {1.0, 0.5}) {
    for (const double angle : {15.0, 30.0, 45.0, 60.0, 90.0}) {
      const Wye wye{angle, f, 1};
      for (const double q : {0.1, 0.25, 0.4, 0.5, 0.75, 0.9}) {
        const Losses book = handbook(wye, q);
        const Losses computed = losses_of(law_of(broken), wye, q);
        const std::string at = fmt::format("{} deg, F_b/F_c {}, q {}", angle, f, q);
        report.figures.push_back({at + ": branch", "heads", book.branch, computed.branch,
                                  fifth_of(book.branch), false, fifth, source});
        report.figures.push_back({at + ": straight run", "heads", book.straight, computed.straight,
                                  fifth_of(book.straight), false, fifth, source});
      }
    }
  }
  add_plots(report, {45, 1, 1}, "45 deg, F_b/F_c 1", handbook);
  add_plots(report, {45, 0.5, 1}, "45 deg, F_b/F_c 0.5", handbook);
  add_plots(report, {90, 1, 1}, "90 deg, F_b/F_c 1", handbook);
  return report;
}

CaseReport equal_area_wye_losses(Broken broken) {
  CaseReport report;
  report.title = "Converging wyes whose two arms together have the area of the common pipe";
  report.text =
      "F_s = F_b = F_c / 2, as two primaries into a collector of their area: here the handbook "
      "uses the plain momentum balance for the branch. For the straight run it adds a constant of "
      "0.25 (60 deg) to 0.40 (15 deg) heads at any flow ratio, which no balance gives and which is "
      "left out here: the loss of the model's straight run is smaller than the handbook's by that "
      "amount.";
  const Source source{"Idelchik (2006), chapter 7, eqs (7-1), (7-2), without K''",
                      Confidence::restated};
  for (const double angle : {15.0, 30.0, 45.0, 60.0}) {
    const Wye wye{angle, 0.5, 0.5};
    for (const double q : {0.25, 0.5, 0.75}) {
      const Losses book = momentum_balance(wye, q);
      const Losses computed = losses_of(law_of(broken), wye, q);
      const std::string at = fmt::format("{} deg, q {}", angle, q);
      const auto add = [&](const char* name, double expected, double value) {
        report.figures.push_back(
            {at + name, "heads", expected, value, 0.01 * std::max(1.0, std::abs(expected)), false,
             "1 % of max(1, |value|): the same balance, at Mach 0.05", source});
      };
      add(": branch", book.branch, computed.branch);
      add(": straight run", book.straight, computed.straight);
    }
  }
  add_plots(report, {30, 0.5, 0.5}, "30 deg", momentum_balance);
  return report;
}

CaseReport parallel_mixing(Broken broken) {
  CaseReport report;
  report.title = "Mixing of equal parallel tubes, and sudden enlargements";
  report.text =
      "n equal tubes at the angle a to the common pipe, r = A_c / (n A_p): loss 1 + r^2 - 2 r cos "
      "a on the head of the common pipe; a single tube into a larger pipe: Borda-Carnot.";
  const Source mixing{"Idelchik (2006), chapter 7, evaluated from the momentum balance",
                      Confidence::computed};
  struct Row {
    int n;
    double angle, r, zeta;
  };
  for (const Row row :
       {Row{2, 0, 0.5, 0.25}, Row{4, 0, 0.75, 0.0625}, Row{4, 0, 1, 0}, Row{2, 10, 0.75, 0.085288},
        Row{2, 10, 1, 0.030384}, Row{2, 15, 1, 0.068148}}) {
    const double A_c = row.r * row.n * 1e-3;
    std::vector<Arm> arms;
    for (int k = 0; k < row.n; ++k) {
      arms.push_back(slanting(1e-3, w_c * row.r, row.angle, 360.0 * k / row.n));
    }
    const auto m = steady_merge(law_of(broken), arms, A_c);
    const double head = 0.5 * m.out.rho * m.out.v * m.out.v;
    report.figures.push_back({fmt::format("{} tubes at {} deg, r {}", row.n, row.angle, row.r),
                              "heads", row.zeta, (m.arms[0].total - m.out.total) / head, 5e-3,
                              false, "compressible effects at Mach 0.05", mixing});
  }
  for (const double ratio : {1.25, 1.5, 2.0, 3.0, 4.0, 9.0}) {
    const auto m = steady_merge(law_of(broken), {straight(1e-3, 15)}, ratio * 1e-3);
    report.figures.push_back({fmt::format("enlargement 1 to {}", ratio),
                              "heads upstream",
                              std::pow(1 - 1 / ratio, 2),
                              (m.arms[0].total - m.out.total) / (0.5 * m.arms[0].rho * 15 * 15),
                              2e-3,
                              false,
                              "compressible effects at Mach 0.04",
                              {"Idelchik (2006), chapter 4, Borda-Carnot", Confidence::computed}});
  }
  return report;
}

CaseReport jet_suction(Broken broken) {
  CaseReport report;
  report.title = "Suction of a jet on the idle tubes beside it";
  report.text =
      "Four tubes of a quarter of the collector's area at 12 degrees, one of them flowing: the "
      "static pressure of the idle ones less that of the collector. The constant-pressure law has "
      "no suction, and the plenum law accelerates the collector flow from rest.";
  const auto suction = [](JunctionLaw law) {
    const auto m = steady_merge(law,
                                {slanting(1e-3, 60, 12, 0), slanting(1e-3, 0, 12, 90),
                                 slanting(1e-3, 0, 12, 180), slanting(1e-3, 0, 12, 270)},
                                4e-3);
    return (m.arms[2].p - m.out.p) / (0.5 * m.out.rho * m.out.v * m.out.v);
  };
  const Source source{"balance of momentum: p_idle - p_c = rho w_c^2 (1 - 4 cos 12 deg)",
                      Confidence::computed};
  report.figures = {{"momentum law", "heads", 2 * (1 - 4 * cosine(12)), suction(law_of(broken)),
                     0.01, true, "1 %: compressible effects at Mach 0.04 to 0.15", source},
                    {"plenum",
                     "heads",
                     1,
                     suction(JunctionLaw::plenum),
                     0.01,
                     true,
                     "as above",
                     {"Bernoulli from rest", Confidence::computed}},
                    {"constant pressure",
                     "heads",
                     0,
                     suction(JunctionLaw::constant_pressure),
                     1e-6,
                     false,
                     "by definition",
                     {"Benson (1982), chapter 6", Confidence::from_memory}}};
  return report;
}

CaseReport dividing_flow(Broken broken) {
  CaseReport report;
  report.title = "Dividing flow: from one pipe into a straight run and a branch";
  report.text =
      "All pipes of one area, the branch at 45 and 90 degrees to the flow direction; losses on the "
      "dynamic head of the supply pipe, q = flow fraction of the branch, up to a half. Known "
      "limit: when most of the gas takes the branch (q 0.75) the model gives 0.67 heads at 45 "
      "degrees against 0.32 in the publication, and 0.73 at 90 degrees against 0.99. The volume "
      "mixes before it divides, so that branch and straight run receive the same momentum, while "
      "in the real flow a dividing streamline gives each its own; and the port of a branch at "
      "right angles has no loss of a sharp edge.";
  const Source source{"Bassett, Winterbone & Pearson (2001): 1 + q^2 - 2 q cos(3 theta / 4)",
                      Confidence::from_memory};
  Plot plot{"branch", "q", "loss", {}};
  for (const double angle : {45.0, 90.0}) {
    Curve book{fmt::format("published, {} deg", angle), {}, {}, true};
    const auto published = [&](double q) { return 1 + q * q - 2 * q * cosine(0.75 * angle); };
    const auto computed = [&](JunctionLaw law, double q) {
      const auto m =
          steady_merge(law, {straight(F_c, w_c), slanting(F_c, -q * w_c, 180 - angle)}, F_c);
      const double head = 0.5 * m.arms[0].rho * w_c * w_c;
      return Losses{(m.arms[0].total - m.arms[1].total) / head,
                    (m.arms[0].total - m.out.total) / head};
    };
    for (const double q : {0.25, 0.5}) {
      report.figures.push_back({fmt::format("{} deg, q {}: branch", angle, q), "heads",
                                published(q), computed(law_of(broken), q).branch,
                                fifth_of(published(q)), false, fifth, source});
    }
    for (int i = 0; i <= 20; ++i) {
      book.x.push_back(0.05 * i);
      book.y.push_back(published(0.05 * i));
    }
    plot.curves.push_back(book);
    for (const auto& [name, law] : laws) {
      Curve curve{fmt::format("{}, {} deg", name, angle), {}, {}};
      for (int i = 1; i < 10; ++i) {
        curve.x.push_back(0.1 * i);
        curve.y.push_back(computed(law, 0.1 * i).branch);
      }
      plot.curves.push_back(curve);
    }
  }
  report.plots.push_back(plot);
  return report;
}

}  // namespace pulsewright::validation
