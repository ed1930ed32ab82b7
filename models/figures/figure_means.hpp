// Means of figures by the rules of the table: over the cycles of a period, over the cylinders.
#pragma once

#include <vector>

#include "models/figures/point_result.hpp"

namespace pulsewright::models {

// Of one cylinder, over the cycles of a period; at least one. The number is that of the first.
CylinderFigures mean_over_cycles(const std::vector<CylinderFigures>& cycles);

// One figure over the cylinders; at least one.
double mean_over_cylinders(const std::vector<CylinderFigures>& cylinders,
                           double CylinderFigures::*figure);

// Sets every figure of the point that is a mean over its cylinders; at least one.
void mean_over_cylinders(const std::vector<CylinderFigures>& cylinders, PointResult& point);

}  // namespace pulsewright::models
