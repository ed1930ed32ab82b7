// Steady flow through a merge: losses and suction of the momentum law against published ones, and
// the other two laws as what they are. Each check of a law is a function that another law must
// fail.
#include <doctest/doctest.h>

#include "models/junction.hpp"
#include "tests/near.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;
using Eigen::Vector3d;

namespace {

constexpr double T_in = 400;
constexpr double p_out = 1e5;

// A tube into the merge; direction points from the merge into the tube.
struct Arm {
  double area;
  Vector3d direction;
  double velocity;  // m/s into the merge, 0 = closed
};

struct Stream {
  double p, v, rho, M;  // v into the pipe
  double total;         // Pa, stagnation pressure
};

struct Steady {
  std::vector<Stream> arms;
  Stream out;
};

Stream stream_of(double p, double v, double rho, double gamma) {
  const double M = std::abs(v) / std::sqrt(gamma * p / rho);
  return {p, v, rho, M, p * std::pow(1 + 0.5 * (gamma - 1) * M * M, gamma / (gamma - 1))};
}

// Steady flow from the arms through the merge into a pipe along x. No waves: every pipe takes over
// what its end answers (pressure of an arm, velocity and temperature of the outlet) until nothing
// changes. Velocity and temperature of the arms and the pressure of the outlet are given.
Steady steady_merge(JunctionLaw law, const std::vector<Arm>& arms, double out_area,
                    double gamma = 1.4) {
  const auto gas = constant_gamma_gas(gamma);
  JunctionSpecification spec;
  spec.name = "merge";
  spec.law = law;
  std::vector<double> areas;
  double flow = 0;
  for (const Arm& arm : arms) {
    spec.branches.push_back({{}, arm.direction});
    areas.push_back(arm.area);
    flow += arm.area * arm.velocity;
  }
  spec.branches.push_back({{}, Vector3d::UnitX()});
  areas.push_back(out_area);
  Junction junction(spec, areas, {});
  junction.fill(gas, p_out, T_in, 0.0);

  using State = solver::Primitive<double>;
  std::vector<State> states;
  for (const Arm& arm : arms) {
    states.push_back({p_out / (287.05 * T_in), -arm.velocity, p_out, 0.0});
  }
  states.push_back({p_out / (287.05 * T_in), 0.9 * flow / out_area, p_out, 0.0});
  const double dt = 0.2 * junction.volume() / (400 * (out_area + flow / 400));
  std::vector<EndFlux<double>> flux;
  double change = 1;
  for (int i = 0; i < 200000 && change > 1e-12; ++i) {
    std::vector<solver::EndWave<double>> waves;
    for (const State& w : states) waves.emplace_back(gas, w, 1.0);
    flux = junction.step(gas, waves, dt);
    change = 0;
    const auto relax = [&](double& x, double to, double scale) {
      const double d = 0.2 * (to - x);
      change = std::max(change, std::abs(d) / scale);
      x += d;
    };
    for (std::size_t k = 0; k < arms.size(); ++k) {
      State& w = states[k];
      relax(w.p, flux[k].p, p_out);
      w.rho = w.p / (287.05 * T_in);
      w.u = -arms[k].velocity;
    }
    State& w = states.back();
    relax(w.u, flux.back().v, 100);
    relax(w.rho, flux.back().mass / flux.back().v, 1);
  }
  REQUIRE(change <= 1e-12);
  Steady result;
  double in = 0;
  for (std::size_t k = 0; k < arms.size(); ++k) {
    const State& w = states[k];
    result.arms.push_back(stream_of(w.p, w.u, w.rho, gamma));
    in -= arms[k].area * flux[k].mass;
    CHECK(near(flux[k].p, w.p, 1e-10));
  }
  CHECK(near(out_area * flux.back().mass, in, 1e-8));
  result.out = stream_of(states.back().p, states.back().u, states.back().rho, gamma);
  return result;
}

Arm straight(double area, double velocity) { return {area, -Vector3d::UnitX(), velocity}; }
// A tube that meets the axis at the angle (deg), around the axis by another.
Arm slanting(double area, double velocity, double angle, double around = 0) {
  const double a = angle * std::numbers::pi / 180;
  const double b = around * std::numbers::pi / 180;
  return {area, {-std::cos(a), std::sin(a) * std::cos(b), std::sin(a) * std::sin(b)}, velocity};
}

struct Enlargement {
  double gamma, M1, ratio, M2, p2_p1, p02_p01;
};
// Sudden enlargement with mass, energy and momentum kept and the pressure of the inflow on the
// face: Benedict et al. (1966), from memory; worked from those equations.
constexpr Enlargement enlargements[] = {
    {1.4, 0.1, 2, 0.049863, 1.003507, 0.998249},  {1.4, 0.1, 4, 0.024958, 1.002626, 0.996073},
    {1.4, 0.3, 2, 0.146329, 1.032062, 0.984201},  {1.4, 0.3, 4, 0.073881, 1.023677, 0.965393},
    {1.4, 0.5, 2, 0.233377, 1.091753, 0.955939},  {1.4, 0.5, 4, 0.119982, 1.066016, 0.907760},
    {1.4, 0.7, 2, 0.306036, 1.187317, 0.913414},  {1.4, 0.7, 4, 0.161847, 1.130058, 0.829727},
    {1.33, 0.1, 2, 0.049865, 1.003332, 0.998336}, {1.33, 0.1, 4, 0.024957, 1.002495, 0.996268},
    {1.33, 0.3, 2, 0.146381, 1.030483, 0.984956}, {1.33, 0.3, 4, 0.073859, 1.022506, 0.967029},
    {1.33, 0.5, 2, 0.233560, 1.087360, 0.957867}, {1.33, 0.5, 4, 0.119872, 1.062814, 0.911696},
    {1.33, 0.7, 2, 0.306337, 1.178732, 0.916695}, {1.33, 0.7, 4, 0.161529, 1.123923, 0.835932}};

// Largest deviation from the table: M2, p2/p1 and p02/p01.
double enlargement_error(JunctionLaw law) {
  double worst = 0;
  for (const auto& e : enlargements) {
    const double velocity = e.M1 * std::sqrt(e.gamma * 287.05 * T_in);
    const auto s = steady_merge(law, {straight(1e-3, velocity)}, e.ratio * 1e-3, e.gamma);
    worst = std::max({worst, std::abs(s.out.M - e.M2), std::abs(s.out.p / s.arms[0].p - e.p2_p1),
                      std::abs(s.out.total / s.arms[0].total - e.p02_p01)});
  }
  return worst;
}
bool holds_enlargement(JunctionLaw law) { return enlargement_error(law) < 2e-6; }

// Losses of a converging wye in the momentum form, zeta on rho w_c^2 / 2, q = Q_b/Q_c,
// f = F_b/F_c, Idelchik (2006), eqs (7-1), (7-2), A = 1 and no added constants.
struct Wye {
  double angle, f, s;  // s = F_s/F_c
};
double zeta_branch(const Wye& w, double q) {
  return 1 + std::pow(q / w.f, 2) - 2 / w.s * (1 - q) * (1 - q) -
         2 * q * q * std::cos(w.angle * std::numbers::pi / 180) / w.f;
}
double zeta_straight(const Wye& w, double q) {
  return 1 + std::pow((1 - q) / w.s, 2) - 2 / w.s * (1 - q) * (1 - q) -
         2 * q * q * std::cos(w.angle * std::numbers::pi / 180) / w.f;
}

// The formula holds for the momentum law while the outlet's static pressure lies less than its
// dynamic head below that of the merge: sum of q^2 cos(alpha) / f over the arms >= 1/2. Beyond, the
// gas would have to be drawn out faster than its momentum allows; the law then feeds the outlet
// from rest (an entrance without loss), and the handbook cuts its own formula by A = 0.55.
bool within_formula(const Wye& w, double q) {
  return q * q * std::cos(w.angle * std::numbers::pi / 180) / w.f + (1 - q) * (1 - q) / w.s >= 0.5;
}

// Worst deviation over flow shares, as a share of max(|zeta|, 1).
double wye_error(JunctionLaw law, const Wye& wye, bool inside = true) {
  constexpr double F_c = 2e-3;
  constexpr double w_c = 20;  // m/s, Mach 0.05: compressible effects are of the order of M^2
  double worst = 0;
  for (const double q : {0.25, 0.5, 0.75}) {
    if (within_formula(wye, q) != inside) continue;
    const auto s = steady_merge(law,
                                {straight(wye.s * F_c, (1 - q) * w_c / wye.s),
                                 slanting(wye.f * F_c, q * w_c / wye.f, wye.angle)},
                                F_c);
    const double head = 0.5 * s.out.rho * s.out.v * s.out.v;
    const double straight_run = (s.arms[0].total - s.out.total) / head;
    const double branch = (s.arms[1].total - s.out.total) / head;
    const auto off = [](double value, double expected) {
      return std::abs(value - expected) / std::max(1.0, std::abs(expected));
    };
    worst = std::max(
        {worst, off(straight_run, zeta_straight(wye, q)), off(branch, zeta_branch(wye, q))});
  }
  return worst;
}
const std::vector<Wye> wyes{{30, 1, 1},     {45, 1, 1},     {60, 1, 1},
                            {30, 0.5, 1},   {45, 0.5, 1},   {60, 0.5, 1},
                            {30, 0.5, 0.5}, {45, 0.5, 0.5}, {60, 0.5, 0.5}};

bool holds_wye_losses(JunctionLaw law) {
  double worst = 0;
  for (const auto& wye : wyes) worst = std::max(worst, wye_error(law, wye));
  return worst < 0.03;
}

// Static pressure of an idle tube beside a jet, less that of the collector, over rho w_c^2 / 2.
double pull_of_a_jet(JunctionLaw law) {
  const auto s = steady_merge(law,
                              {slanting(1e-3, 60, 12, 0), slanting(1e-3, 0, 12, 90),
                               slanting(1e-3, 0, 12, 180), slanting(1e-3, 0, 12, 270)},
                              4e-3);
  CHECK(near(s.arms[1].p, s.arms[2].p, 1e-9));
  return (s.arms[2].p - s.out.p) / (0.5 * s.out.rho * s.out.v * s.out.v);
}

}  // namespace

TEST_CASE("momentum law: sudden enlargement") {
  const double worst = enlargement_error(JunctionLaw::momentum);
  MESSAGE("largest deviation from the table: ", worst);
  // Half a unit of the last printed place, and the steady iteration.
  CHECK(worst < 2e-6);
  CHECK(holds_enlargement(JunctionLaw::momentum));
  CHECK_FALSE(holds_enlargement(JunctionLaw::plenum));
  CHECK_FALSE(holds_enlargement(JunctionLaw::constant_pressure));
}

TEST_CASE("momentum law: Borda-Carnot at low Mach number") {
  // K = (1 - A1/A2)^2 on rho u1^2 / 2, e.g. Idelchik (2006), chapter 4.
  for (const double ratio : {1.25, 1.5, 2.0, 3.0, 4.0, 9.0}) {
    const auto s = steady_merge(JunctionLaw::momentum, {straight(1e-3, 15)}, ratio * 1e-3);
    const double K = (s.arms[0].total - s.out.total) / (0.5 * s.arms[0].rho * 15 * 15);
    CHECK(near(K, std::pow(1 - 1 / ratio, 2), 0, 2e-3));
  }
}

TEST_CASE("momentum law: losses of a converging wye") {
  // The handbook's own table at q = 0.5, 45 deg: a guard for the formulas above.
  CHECK(near(zeta_branch({45, 1, 1}, 0.5), 0.396447, 0, 6e-7));
  CHECK(near(zeta_straight({45, 0.5, 1}, 0.75), -0.65349, 0, 6e-6));
  CHECK(near(zeta_straight({30, 0.5, 0.5}, 0.25), 0.783494, 0, 6e-7));
  CHECK(near(zeta_branch({60, 0.5, 0.5}, 0.75), 1.875, 1e-12));
  double worst = 0;
  for (const auto& wye : wyes) {
    const double error = wye_error(JunctionLaw::momentum, wye);
    worst = std::max(worst, error);
    CAPTURE(wye.angle);
    CAPTURE(wye.f);
    CAPTURE(wye.s);
    CHECK(error < 0.03);
  }
  MESSAGE("worst deviation of a loss coefficient over max(|zeta|, 1): ", worst);
  double beyond = 0;
  for (const auto& wye : wyes) {
    beyond = std::max(beyond, wye_error(JunctionLaw::momentum, wye, false));
  }
  MESSAGE("the same where the formula asks for more momentum than there is: ", beyond);
  CHECK(near(beyond, 0.3133, 0.01));  // regression
  CHECK_FALSE(holds_wye_losses(JunctionLaw::plenum));
  CHECK_FALSE(holds_wye_losses(JunctionLaw::constant_pressure));
}

TEST_CASE("momentum law: mixing of parallel and slanting tubes") {
  // Momentum balance: zeta = (1 - r)^2, and 1 + r^2 - 2 r cos a for tubes at the angle a, on
  // rho w_c^2 / 2, r = A_c / (n A_p), r cos a >= 1/2; Idelchik (2006), chapter 7. Last column
  // worked from it.
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
      arms.push_back(slanting(1e-3, 20 * row.r, row.angle, 360.0 * k / row.n));
    }
    const auto s = steady_merge(JunctionLaw::momentum, arms, A_c);
    const double head = 0.5 * s.out.rho * s.out.v * s.out.v;
    // Mach 0.05
    CHECK(near((s.arms[0].total - s.out.total) / head, row.zeta, 0, 5e-3));
  }
}

TEST_CASE("a jet pulls on the neighbouring tube with the momentum law only") {
  // Momentum balance of one jet of area A_c / 4 at 12 deg: p_idle - p_c = rho w_c^2 (1 - 4 cos 12).
  const double expected = 2 * (1 - 4 * std::cos(12 * std::numbers::pi / 180));
  CHECK(near(pull_of_a_jet(JunctionLaw::momentum), expected, 0.01));
  CHECK(pull_of_a_jet(JunctionLaw::momentum) < 0);
  // The plenum feeds the collector from rest: p_idle - p_c = rho w_c^2 / 2.
  CHECK(near(pull_of_a_jet(JunctionLaw::plenum), 1, 0.01));
  CHECK(near(pull_of_a_jet(JunctionLaw::constant_pressure), 0, 0, 1e-6));
}

TEST_CASE("constant-pressure law: one static pressure at every end, in steady flow too") {
  const auto s = steady_merge(JunctionLaw::constant_pressure,
                              {straight(1e-3, 80), slanting(5e-4, 30, 60)}, 2e-3);
  CHECK(near(s.arms[0].p, s.out.p, 1e-9));
  CHECK(near(s.arms[1].p, s.out.p, 1e-9));
}

}  // namespace pulsewright::tests
