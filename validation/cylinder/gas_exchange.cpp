// Emptying and filling of a vessel through a valve, and flow-bench conversion.
#include <cmath>
#include <fmt/format.h>
#include <utility>
#include <vector>

#include "cases/flow_bench.hpp"
#include "validation/cylinder/cylinder.hpp"
#include "validation/rig/one_cylinder.hpp"
#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

using models::EngineSpecification;

namespace {

struct Blowdown {
  const char* name;
  double V, CdA, p, T, gamma, R;
  double closed_until;                              // s, the flow is choked
  std::vector<std::pair<double, double>> pressure;  // s, Pa
  double closed_form(double t) const {
    const double K = CdA / V * std::sqrt(gamma * R * T) *
                     std::pow(2 / (gamma + 1), 0.5 * (gamma + 1) / (gamma - 1));
    return p * std::pow(1 + 0.5 * (gamma - 1) * K * t, -2 * gamma / (gamma - 1));
  }
};
const Blowdown hot{"hot gas",
                   0.0005,
                   0.7 * 0.0002,
                   600000,
                   1300,
                   1.3,
                   290,
                   0.00842239,
                   {{0.001, 517529.7},
                    {0.002, 447503.6},
                    {0.003, 387881.9},
                    {0.004, 336984.9},
                    {0.005, 293424.9},
                    {0.006, 256052.2},
                    {0.008, 196205.4},
                    {0.010, 151882.9}}};
const Blowdown cold{"cold air",
                    0.001,
                    0.0001,
                    500000,
                    300,
                    1.4,
                    287.05,
                    0.03650121,
                    {{0.001, 486157.8},
                     {0.002, 472751.9},
                     {0.003, 459766.7},
                     {0.004, 447187.6},
                     {0.005, 435000.3},
                     {0.006, 423191.1},
                     {0.008, 400655.0},
                     {0.010, 379480.0}}};

// A stationary cylinder at bottom dead centre with the volume V.
EngineSpecification stationary_engine(double V) {
  EngineSpecification e = adiabatic_engine(10, 0);
  e.geometry.bore = std::sqrt(4 / std::numbers::pi * 0.9 * V / 0.086);
  return e;
}

// Flow of the subsonic formula applied beyond choking, over the correct flow.
double unchoked_flow_ratio(double gamma, double ratio) {
  const double critical = models::critical_ratio(gamma);
  if (ratio >= critical) return 1;
  const auto psi = [gamma](double r) {
    return std::sqrt(std::pow(r, 2 / gamma) - std::pow(r, (gamma + 1) / gamma));
  };
  return psi(ratio) / psi(critical);
}

// Pressure at the times of the table, discharging into a large pipe in which the gas stays at rest.
std::vector<double> blow_down(const Blowdown& b, double dt, bool choking) {
  constexpr double p_out = 101325;
  const auto gas = constant_gamma_gas(b.gamma, b.R);
  OneCylinder cylinder(stationary_engine(b.V), cylinder_speed);
  cylinder.fill(gas, b.p, b.T, 1.0, 180);
  const double pipe_area = 1e6 * b.CdA;
  const solver::EndWave<double> outside(
      gas, solver::Primitive<double>{p_out / (b.R * 300), 0.0, p_out, 0.0}, 1.0);
  std::vector<double> result;
  double t = 0;
  for (const auto& row : b.pressure) {
    const auto steps = std::lround((row.first - t) / dt);
    for (long i = 0; i < steps; ++i) {
      const double factor = choking ? 1 : unchoked_flow_ratio(b.gamma, p_out / cylinder.pressure());
      const auto f = models::flow_through_orifice(gas, outside, cylinder.reservoir(gas, dt),
                                                  factor * b.CdA / pipe_area, 0.0);
      cylinder.step(gas, 180, 0, dt,
                    {-pipe_area * f.mass, -pipe_area * f.energy, -pipe_area * f.burnt}, {});
    }
    t = row.first;
    result.push_back(cylinder.pressure());
  }
  return result;
}

constexpr double cfm = 0.3048 * 0.3048 * 0.3048 / 60;  // m3/s
constexpr double inch = 0.0254;

}  // namespace

CaseReport blowdown_closed_form(Broken broken) {
  CaseReport report;
  report.title = "Adiabatic blowdown of a vessel, choked and subsonic";
  report.text =
      "A stationary cylinder discharges through the valve model into a large pipe at rest. While "
      "the flow is choked the pressure has the closed form (1 + (gamma-1)/2 K t)^(-2 gamma / "
      "(gamma-1)); the hot case unchokes at 8.4 ms, the last value is from a fine integration. "
      "Steps of 10 us, as in an engine; the valve uses the cylinder state extrapolated to the "
      "middle of the step, which is of second order.";
  const Source source{
      "Shapiro (1953), chapter 4; closed form and fine integration; evaluated independently",
      Confidence::computed};
  Plot plot{"pressure", "t, ms", "p, bar", {}};
  for (const auto& b : {hot, cold}) {
    const bool choking = broken != Broken::valve_choking;
    const auto coarse = blow_down(b, 2e-4, choking);
    const auto middle = blow_down(b, 1e-4, choking);
    const auto fine = blow_down(b, 1e-5, choking);
    Curve book{fmt::format("{}, closed form or integration", b.name), {}, {}, true};
    Curve computed{b.name, {}, {}};
    for (std::size_t i = 0; i < b.pressure.size(); ++i) {
      const auto [t, p] = b.pressure[i];
      const std::string at = fmt::format("{}, {} ms", b.name, 1e3 * t);
      report.figures.push_back(
          {at, "Pa", p, fine[i], 1e-5, true, "1e-5, second order in the step", source});
      if (t < b.closed_until) {
        const double exact = b.closed_form(t);
        report.figures.push_back({at + ", closed form", "Pa", exact, fine[i], 1e-5, true,
                                  "1e-5, second order in the step", source});
        if (i == 4) {
          report.figures.push_back({at + ": order, steps of 200 and 100 us", "", 1.8,
                                    std::log2((coarse[i] - exact) / (middle[i] - exact)), 0, false,
                                    "second order, reduced by the first step", source,
                                    Sense::at_least});
        }
      }
      book.x.push_back(1e3 * t);
      book.y.push_back(1e-5 * p);
      computed.x.push_back(1e3 * t);
      computed.y.push_back(1e-5 * fine[i]);
    }
    plot.curves.push_back(book);
    plot.curves.push_back(computed);
  }
  report.plots.push_back(plot);
  return report;
}

CaseReport vessel_filling(Broken) {
  CaseReport report;
  report.title = "Filling a nearly evacuated vessel";
  report.text =
      "Without wall heat transfer the gas ends at gamma times the temperature of the surroundings; "
      "from a start at p_start the mass is m_start + (p - p_start) V / (gamma R T_0).";
  const Source source{"Shapiro (1953), chapter 1, energy of steady inflow", Confidence::computed};
  const auto gas = constant_gamma_gas(1.4, 287.05);
  OneCylinder cylinder(stationary_engine(0.001), cylinder_speed);
  cylinder.fill(gas, 10, 300, 0.0, 180);
  const double start = cylinder.mass();
  const double V = cylinder.crank().volume(180);
  const double h0 = gas.enthalpy(300.0, 0.0);
  while (cylinder.pressure() < 101320) {
    const double flow = 1e-4 * models::nozzle_mass_flux(1.4, 101325.0, 101325 / (287.05 * 300),
                                                        cylinder.pressure());
    cylinder.step(gas, 180, 0, 1e-6, {}, {flow, flow * h0, 0});
  }
  report.figures = {{"mass", "kg", start + (cylinder.pressure() - 10) * V / (1.4 * 287.05 * 300),
                     cylinder.mass(), 1e-9, true, "energy is conserved to round-off", source},
                    {"temperature", "K", 420, cylinder.temperature(), 1e-4, true,
                     "the initial pressure of 10 Pa", source}};
  return report;
}

CaseReport flow_bench_conversion(Broken) {
  CaseReport report;
  report.title = "Flow bench, from flow to effective area and back";
  report.text =
      "28 inches of water, air at 20 deg C and 101325 Pa before the port; a valve of 1.600 in. The "
      "inverse is the nozzle formula of the valve with that area at the bench's state.";
  const Source source{
      "Heywood (1988), appendix C and section 6.3, isentropic nozzle, evaluated from the formula",
      Confidence::computed};
  cases::BenchState bench;
  bench.depression = 28 * 249.08891;
  cases::BenchState at_60_F = bench;
  at_60_F.temperature = (60 - 32) / 1.8 + 273.15;
  const double diameter = 1.6 * inch;
  const auto add = [&](const std::string& quantity, const char* unit, double expected,
                       double computed, double tolerance = 2e-5) {
    report.figures.push_back({quantity, unit, expected, computed, tolerance, true,
                              "the digits of the value and of the constants", source});
  };
  add("pressure ratio", "", 0.931167, 1 - bench.depression / bench.pressure);
  add("ideal mass flux", "kg/(s m2)", 124.73008, cases::ideal_mass_flux(bench));
  add("ideal volume flux, 20 deg C", "cfm/in2", 141.6041,
      cases::ideal_volume_flux(bench) * inch * inch / cfm);
  add("ideal volume flux, 60 deg F", "cfm/in2", 140.5267,
      cases::ideal_volume_flux(at_60_F) * inch * inch / cfm);
  add("100 cfm at 20 deg C", "kg/s", 0.056828, cases::bench_mass_flow(bench, 100 * cfm));
  add("100 cfm at 60 deg F", "kg/s", 0.057703, cases::bench_mass_flow(at_60_F, 100 * cfm));
  const double low = cases::effective_area(bench, 75 * cfm);
  const double high = cases::effective_area(bench, 180 * cfm);
  add("75 cfm: effective area", "mm2", 341.7062, 1e6 * low);
  add("75 cfm at 0.150 in: coefficient on the curtain", "", 0.702464,
      low / cases::curtain_area(diameter, 0.15 * inch));
  add("180 cfm: effective area", "mm2", 820.0949, 1e6 * high);
  add("180 cfm at 0.500 in: coefficient on the curtain", "", 0.505774,
      high / cases::curtain_area(diameter, 0.5 * inch));
  add("180 cfm: coefficient on the disc", "", 0.632218, high / cases::seat_area(diameter, 0));
  const double rho = bench.pressure / (287.05 * bench.temperature);
  const double back =
      high * models::nozzle_mass_flux(1.4, bench.pressure, rho, bench.pressure - bench.depression) /
      rho / cfm;
  report.figures.push_back({"180 cfm: flow from the area by the nozzle formula of the valve", "cfm",
                            180, back, 1e-9, true, "the same formula in two places", source});
  return report;
}

}  // namespace pulsewright::validation
