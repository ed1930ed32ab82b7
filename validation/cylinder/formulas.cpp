// Formulas of heat transfer and combustion at published constants: they show that the formulas are
// coded as published; the reference numbers are evaluated from them.
#include <cmath>
#include <fmt/format.h>

#include "models/cylinder/combustion.hpp"
#include "models/cylinder/heat_transfer.hpp"
#include "validation/cylinder/cylinder.hpp"

namespace pulsewright::validation {

using models::heat_coefficient_annand;
using models::heat_coefficient_woschni;

CaseReport heat_coefficients(Broken) {
  CaseReport report;
  report.title = "Heat transfer coefficients of Woschni and Annand";
  report.text =
      "Woschni: bore 86 mm; gas exchange, compression and burning. Annand: rho 3 kg/m3, S_p 8.6 "
      "m/s, bore 86 mm, mu 4.15e-5 Pa s, k 0.06 W/(m K), of the gas at the temperature that has "
      "this viscosity.";
  const Source woschni{"Woschni (1967); Heywood (1988), eqs (12.38), (12.39); constants restated",
                       Confidence::restated};
  const Source annand{"Annand (1963)", Confidence::from_memory};
  const auto add = [&](const std::string& quantity, double expected, double computed,
                       const Source& source) {
    report.figures.push_back(
        {quantity, "W/(m2 K)", expected, computed, 1e-6, true, "the digits of the value", source});
  };
  add("Woschni, 110 kPa, 900 K, w 53.148 m/s", 130.3131,
      heat_coefficient_woschni(0.086, 110e3, 900.0, 53.148), woschni);
  add("Woschni, 1000 kPa, 600 K, w 19.608 m/s", 428.8262,
      heat_coefficient_woschni(0.086, 1000e3, 600.0, 19.608), woschni);
  add("Woschni, 5000 kPa, 2200 K, w 41.595 m/s", 1388.0247,
      heat_coefficient_woschni(0.086, 5000e3, 2200.0, 41.595341), woschni);
  double low = 900;
  double high = 1100;
  for (int i = 0; i < 60; ++i) {
    const double T = 0.5 * (low + high);
    (solver::viscosity_sutherland(T) < 4.15e-5 ? low : high) = T;
  }
  const double cp = 0.06 * solver::prandtl_number / 4.15e-5;
  add("Annand, a 0.35", 498.1612, heat_coefficient_annand(0.086, 3.0, 8.6, low, cp, 0.35), annand);
  add("Annand, a 0.49", 697.4257, heat_coefficient_annand(0.086, 3.0, 8.6, low, cp, 0.49), annand);
  add("Annand, a 0.80", 1138.6541, heat_coefficient_annand(0.086, 3.0, 8.6, low, cp, 0.80), annand);
  return report;
}

CaseReport wiebe_function(Broken) {
  CaseReport report;
  report.title = "Wiebe function";
  report.text =
      "x = 1 - exp(-a z^(m+1)), a 5, m 2. The model scales the function to burn the whole charge "
      "at z = 1; the scale is divided out for the comparison. The last figure is the scaled "
      "function at its own 50 % angle.";
  const Source source{"Wiebe (1956); Heywood (1988), eq. (9.33), evaluated from the formula",
                      Confidence::from_memory};
  models::CombustionSpecification c;
  c.duration_deg = 40;
  c.reference_speed = 100;
  c.burned_50_deg = 9;
  const models::WiebeBurn burn(c, 100);
  const double z[] = {0.1, 0.25, 0.5, 0.75, 0.9, 1.0};
  const double x[] = {0.004988, 0.075151, 0.464739, 0.878686, 0.973879, 0.993262};
  Plot plot{"mass fraction burned", "z", "x", {{"model", {}, {}}, {"published", {}, {}, true}}};
  for (int i = 0; i < 6; ++i) {
    const double fraction =
        burn.mass_fraction_burned(burn.start() + 40 * z[i]) * (1.0 - std::exp(-5.0));
    report.figures.push_back({fmt::format("mass fraction burned at z {}", z[i]), "", x[i], fraction,
                              6e-7, false, "the digits of the value", source});
    plot.curves[1].x.push_back(z[i]);
    plot.curves[1].y.push_back(x[i]);
  }
  report.figures.push_back({"mass fraction burned at the given 50 % angle", "", 0.5,
                            burn.mass_fraction_burned(9.0), 1e-12, false, "by definition", source});
  for (int i = 0; i <= 100; ++i) {
    plot.curves[0].x.push_back(0.01 * i);
    plot.curves[0].y.push_back(burn.mass_fraction_burned(burn.start() + 0.4 * i));
  }
  report.plots.push_back(plot);
  return report;
}

}  // namespace pulsewright::validation
