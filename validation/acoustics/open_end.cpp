// The open end: reflection over frequency, and with a mean flow.
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <vector>

#include "validation/acoustics/acoustics.hpp"
#include "validation/acoustics/spectrum.hpp"
#include "validation/rig/tube.hpp"

namespace pulsewright::validation {

using models::EngineSpecification;
using models::Side;

namespace {

// Levine & Schwinger (1948): |R| and l/a from their integrals, evaluated independently. (At ka = 0
// the integral gives 0.6127, the printed value is 0.6133.)
struct Radiation {
  double ka, R, length;
};
const std::vector<Radiation> radiation{{0.05, 0.998755, 0.612256}, {0.10, 0.995067, 0.610987},
                                       {0.20, 0.980859, 0.606380}, {0.30, 0.958677, 0.599609},
                                       {0.40, 0.930039, 0.591274}, {0.50, 0.896441, 0.581836},
                                       {0.75, 0.799198, 0.555468}, {1.00, 0.695102, 0.527431},
                                       {1.25, 0.593908, 0.499174}, {1.50, 0.500788, 0.471270}};
// Compared with a tolerance up to this ka, plotted beyond.
constexpr double largest_ka = 1.0;

// A pulse of 20 Pa, 0.4 m long, that begins at 0.3 m and runs to the right through moving gas.
void fill_with_pulse(Pipe& pipe, const Gas& gas, const Primitive<double>& mean) {
  const double c = gas.sound_speed(mean.p / (gas.gas_constant(mean.Y) * mean.rho), mean.Y);
  pipe.fill(gas, [&](double x) {
    const double q = (x - 0.3) / 0.4;
    const double rise = q > 0 && q < 1 ? 20 * std::pow(std::sin(std::numbers::pi * q), 2) : 0.0;
    return Primitive<double>{mean.rho + rise / (c * c), mean.u + rise / (mean.rho * c),
                             mean.p + rise, mean.Y};
  });
}

// Left end transmissive, right end open to `outside`; broken: transmissive as well.
void set_end_fluxes(Pipe& pipe, const Gas& gas, const models::Reservoir<double>& outside,
                    Broken broken) {
  pipe.set_flux_left(solver::physical_flux(gas, pipe.left_end()));
  const solver::EndWave<double> wave(gas, pipe.right_end(), -1.0);
  pipe.set_flux_right(
      broken == Broken::end_reflection
          ? solver::physical_flux(gas, pipe.right_end())
          : models::as_pipe_flux(models::flow_through_orifice(gas, wave, outside, 1.0, 1.0), -1.0));
}

}  // namespace

CaseReport unflanged_end(Broken broken) {
  CaseReport report;
  report.title = "Unflanged open end: reflection over ka";
  report.text =
      "Pipe of 50 mm bore; a pulse of 50 Pa runs to the open end and R = -|R| exp(-2 i k l) "
      "follows from the spectra of incident and reflected wave. The radiation impedance of the "
      "open end is a second-order filter fitted to Levine and Schwinger's |R|. |R| and l are "
      "compared up to ka 1 (3.8 kHz for 50 mm and exhaust gas of 600 m/s); above, the end "
      "correction is too short by up to 5 % at ka 1.5 (plots). The theory has no mean flow and one "
      "gas; the effect of a hot jet on the reflection is not modelled.";
  EngineSpecification e;
  constexpr double c = 343.24;
  constexpr double a = 0.025;
  constexpr double length = 1.0;
  const auto gas = gas_with_sound_speed(c, e.ambient.temperature);
  e.pipes = {smooth_pipe("pipe", length, 2 * a, 0.0025)};
  if (broken == Broken::end_reflection) {
    e.anechoic_ends = {{{0, Side::right}}};
  } else {
    models::OpenEndSpecification open;
    open.end = {0, Side::right};
    open.end_correction = broken != Broken::end_correction;
    e.open_ends = {open};
  }
  PipeRig rig(with_wave(e, {0, Side::left}, pulse(e.ambient.pressure, 100.0, 0.25e-3)), gas);
  constexpr std::size_t cell = 320;
  WaveRecord waves(still_gas(gas, e.ambient), 0, cell);
  record(rig, 0.02, {&waves});
  const double from_exit = length - rig.pipe(0).centre(cell);
  Plot magnitude{"|R| at the open end",
                 "ka",
                 "|R|",
                 {{"Levine & Schwinger", {}, {}}, {"computed", {}, {}, true}}};
  Plot correction{
      "end correction", "ka", "l/a", {{"Levine & Schwinger", {}, {}}, {"computed", {}, {}, true}}};
  const Source source{"Levine & Schwinger, Phys. Rev. 73 (1948) 383, integrals for |R| and l/a",
                      Confidence::computed};
  for (const Radiation& row : radiation) {
    const double k = row.ka / a;
    const std::complex<double> s(0, k * c);
    const std::complex<double> R =
        waves.left(s) / waves.right(s) * std::exp(2.0 * s * from_exit / c);
    const double l = -std::arg(-R) / (2 * k * a);
    magnitude.curves[0].x.push_back(row.ka);
    magnitude.curves[0].y.push_back(row.R);
    magnitude.curves[1].x.push_back(row.ka);
    magnitude.curves[1].y.push_back(std::abs(R));
    correction.curves[0].x.push_back(row.ka);
    correction.curves[0].y.push_back(row.length);
    correction.curves[1].x.push_back(row.ka);
    correction.curves[1].y.push_back(l);
    if (row.ka > largest_ka + 1e-9) continue;
    report.figures.push_back({fmt::format("|R| at ka {}", row.ka), "", row.R, std::abs(R), 0.02,
                              true, "2 %: 1.5 % from the filter, the rest from the cells", source});
    report.figures.push_back({fmt::format("l/a at ka {}", row.ka), "", row.length, l, 0.025, true,
                              "2.5 %: error of the filter at ka 1", source});
  }
  report.plots = {magnitude, correction};
  return report;
}

CaseReport mean_flow(Broken broken) {
  CaseReport report;
  report.title = "Open end with a mean flow: round-trip time and reflection";
  report.text =
      "Gas of uniform velocity in a pipe of 2 m, without friction; a small pulse passes a station "
      "1 m before the open end and is reflected. Round trip L/(c + u) + L/(c - u) = 2 L / (c (1 - "
      "M^2)). The pressure wave is reflected completely, the acoustic energy with the factor ((1 - "
      "M)/(1 + M))^2; its flux (p'/rho + u u')(rho u' + rho' u) is integrated from pressure, "
      "velocity and density by themselves. (Vorticity shed by the jet takes more energy at low "
      "Strouhal numbers and shortens the end correction: theory by Munt (1990) and Rienstra "
      "(1983), measured by Peters "
      "et al. (1993); the model does not include it.)";
  constexpr double R = 287.05;
  constexpr double T = 293.15;
  constexpr double p = 101325;
  const Gas gas = gas_of_constant_gamma(1.4, R);
  const double c = std::sqrt(1.4 * R * T);
  const double rho = p / (R * T);
  struct Row {
    double M, factor, energy;
  };
  for (const Row& row :
       {Row{0.0, 1.0, 1.0}, Row{0.05, 1.002506, 0.818594}, Row{0.1, 1.010101, 0.669421},
        Row{0.2, 1.041667, 0.444444}, Row{0.3, 1.098901, 0.289941}}) {
    const double u = row.M * c;
    Pipe d = straight_pipe(800, 2.0);
    fill_with_pulse(d, gas, {rho, u, p, 0.0});
    const models::Reservoir<double> outside{p, gas.enthalpy(T, 0.0), 0.0};
    const auto ends = [&](Pipe& pipe) { set_end_fluxes(pipe, gas, outside, broken); };
    // Integrals of p', p' t and of the acoustic energy flux at the station, for the incident (0)
    // and the reflected pulse (1).
    constexpr std::size_t cell = 399;
    const double distance = d.length() - d.centre(cell);
    const double incident_end = (d.centre(cell) - 0.1) / (c + u);
    double sum[2] = {0, 0};
    double moment[2] = {0, 0};
    double energy[2] = {0, 0};
    double t = 0;
    const double end = incident_end + 2.2 * distance / (c - u);
    while (t < end) {
      constexpr double dt = 5e-6;
      run<solver::FluxHllc, solver::LimiterMonotonizedCentral>(d, gas, dt, ends);
      t += dt;
      const Primitive<double> state = d.state(cell);
      const double rise = state.p - p;
      const int k = t > incident_end ? 1 : 0;
      sum[k] += rise * dt;
      moment[k] += rise * t * dt;
      energy[k] +=
          (rise / rho + u * (state.u - u)) * (u * (state.rho - rho) + rho * (state.u - u)) * dt;
    }
    const double round_trip = moment[1] / sum[1] - moment[0] / sum[0];
    const double reflected = sum[1] / sum[0];
    const Source kinematic{"kinematics; Munjal (1987), chapter 2, pipes with flow",
                           Confidence::computed};
    report.figures.push_back({fmt::format("M {}: round trip over 2 L/c", row.M), "", row.factor,
                              round_trip * c / (2 * distance), 1e-3, true,
                              "0.1 % on cells of 2.5 mm", kinematic});
    report.figures.push_back({fmt::format("M {}: reflected pressure wave", row.M), "", -1.0,
                              reflected, 0.01, true, "1 %", kinematic});
    report.figures.push_back({fmt::format("M {}: acoustic energy returned", row.M),
                              "",
                              row.energy,
                              -energy[1] / energy[0],
                              0.02,
                              true,
                              "2 %",
                              {"Munjal (1987), chapter 2", Confidence::from_memory}});
  }
  return report;
}

CaseReport inflow(Broken broken) {
  CaseReport report;
  report.title = "Open end with inflow: reflection";
  report.text =
      "Gas at rest outside flows into a pipe of 2 m without loss; a small pulse runs against it to "
      "the end. Total enthalpy and entropy at the end are those of the gas outside, which gives R "
      "= -(1 - M)/(1 + M): all the acoustic energy comes back, as measured up to M 0.15 and "
      "Helmholtz number 1.5. The pulse is long (Helmholtz numbers below 0.05).";
  constexpr double R = 287.05;
  constexpr double T0 = 293.15;
  constexpr double p0 = 101325;
  constexpr double g = 1.4;
  const Gas gas = gas_of_constant_gamma(g, R);
  const Source measured{
      "Coulon, Atalla & Desrochers (2016), abstract: the reflected energy is not changed by "
      "inflow; "
      "with it |R| = (1 - M)/(1 + M)",
      Confidence::restated};
  for (const double M : {0.05, 0.10, 0.15}) {
    const double ratio = 1 + 0.5 * (g - 1) * M * M;
    const double T = T0 / ratio;
    const double p = p0 * std::pow(ratio, -g / (g - 1));
    const double c = std::sqrt(g * R * T);
    const double rho = p / (R * T);
    const double u = -M * c;  // from the open right end to the left
    Pipe d = straight_pipe(800, 2.0);
    fill_with_pulse(d, gas, {rho, u, p, 0.0});
    const models::Reservoir<double> outside{p0, gas.enthalpy(T0, 0.0), 0.0};
    const auto ends = [&](Pipe& pipe) { set_end_fluxes(pipe, gas, outside, broken); };
    constexpr std::size_t cell = 399;
    const double incident_end = (d.centre(cell) - 0.1) / (c + u);
    const double end = incident_end + 2.2 * (d.length() - d.centre(cell)) / (c + u);
    double sum[2] = {0, 0};
    for (double t = 0; t < end;) {
      constexpr double dt = 5e-6;
      run<solver::FluxHllc, solver::LimiterMonotonizedCentral>(d, gas, dt, ends);
      t += dt;
      sum[t > incident_end ? 1 : 0] += (d.state(cell).p - p) * dt;
    }
    report.figures.push_back({fmt::format("M {}: reflected pressure wave", M), "",
                              -(1 - M) / (1 + M), sum[1] / sum[0], 0.01, true,
                              "1 %, as for gas at rest", measured});
  }
  return report;
}

}  // namespace pulsewright::validation
