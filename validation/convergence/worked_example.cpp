// The arithmetic of the grid convergence index against a published example.
#include "validation/convergence/convergence.hpp"
#include "validation/convergence/grid_convergence.hpp"

namespace pulsewright::validation {

CaseReport grid_convergence_example(Broken broken) {
  CaseReport report;
  report.title = "Grid convergence index: worked example";
  report.text =
      "Pressure recovery of an inlet on three grids, 0.97050, 0.96854 and 0.96178, ratio 2: the "
      "example of a public tutorial after Roache. It shows that the tables below follow his "
      "method.";
  const Source tutorial{
      "NPARC Alliance tutorial, Examining Spatial (Grid) Convergence, after Roache (1998)",
      Confidence::restated};
  GridConvergence g = grid_convergence(0.97050, 0.96854, 0.96178, 2);
  if (broken == Broken::first_order) {
    g.order = 1;
    g.extrapolated = 0.97050 + (0.97050 - 0.96854);
    g.uncertainty = 1.25 * (0.97050 - 0.96854);
  }
  const char* digits =
      "5e-5: the example was computed in single precision, four or five digits of the differences";
  report.figures = {
      {"order", "", 1.78618479, g.order, 5e-5, true, digits, tutorial},
      {"extrapolated value", "", 0.971300304, g.extrapolated, 1e-6, true, digits, tutorial},
      {"index of the finest grid", "%", 0.103080, 100 * g.uncertainty / 0.97050, 5e-5, true, digits,
       tutorial},
      {"index of the middle grid", "%", 0.356244, 100 * g.middle / 0.96854, 5e-5, true, digits,
       tutorial},
      {"asymptotic range", "", 0.997980, 1 / g.range, 5e-3, true,
       "the publication prints the reciprocal", tutorial}};
  return report;
}

}  // namespace pulsewright::validation
