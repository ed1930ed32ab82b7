#include "models/figures/figure_means.hpp"

#include "models/figures/figure_table.hpp"

namespace pulsewright::models {

namespace {

double mean_of(const std::vector<CylinderFigures>& sets, double CylinderFigures::*figure) {
  double sum = 0;
  for (const auto& set : sets) sum += set.*figure;
  return sum / static_cast<double>(sets.size());
}

}  // namespace

CylinderFigures mean_over_cycles(const std::vector<CylinderFigures>& cycles) {
  CylinderFigures mean = cycles.front();
  for_each_cylinder_figure([&](const CylinderFigure& figure) {
    if (figure.over_cycles != MeanRule::none) mean.*figure.member = mean_of(cycles, figure.member);
  });
  return mean;
}

double mean_over_cylinders(const std::vector<CylinderFigures>& cylinders,
                           double CylinderFigures::*figure) {
  return mean_of(cylinders, figure);
}

void mean_over_cylinders(const std::vector<CylinderFigures>& cylinders, PointResult& point) {
  for_each_cylinder_figure([&](const CylinderFigure& figure) {
    if (figure.over_cylinders == MeanRule::none) return;
    point.*figure.point_member = mean_of(cylinders, figure.member);
  });
}

}  // namespace pulsewright::models
