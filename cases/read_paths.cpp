#include "cases/read_paths.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace pulsewright::cases {
namespace {

// Stock bends of most vendors, deg (common practice, no source).
constexpr double usual_angles[] = {45, 90, 180};

// Without those that differ by less than `same` from the one before.
std::vector<double> rising(std::vector<double> values, double same) {
  std::sort(values.begin(), values.end());
  const auto twins = [same](double a, double b) { return b - a < same; };
  values.erase(std::unique(values.begin(), values.end(), twins), values.end());
  return values;
}

}  // namespace

std::map<int, TubePath> read_paths(Section& header, const Engine& engine) {
  std::map<int, TubePath> paths;
  for (Section& s : header.tables("path", "header.path")) {
    TubePath path;
    path.line = s.line();
    const int cylinder = s.integer("cylinder");
    const auto x = s.quantities("x");
    const auto y = s.quantities("y");
    const auto z = s.quantities("z");
    path.bend_radius = s.quantity("bend_radius");
    s.finish();
    const auto& known = engine.firing_order;
    if (s.has("cylinder") && std::find(known.begin(), known.end(), cylinder) == known.end()) {
      s.problem("cylinder",
                fmt::format("names cylinder {}, which the engine does not have", cylinder),
                fmt::format("the engine has cylinders 1 to {}", known.size()));
    }
    const bool complete = s.has("x") && s.has("y") && s.has("z");
    if (complete && (x.size() != y.size() || x.size() != z.size())) {
      s.problem(x.size() == y.size() ? "z" : "y",
                fmt::format("x, y and z have {}, {} and {} points", x.size(), y.size(), z.size()),
                "give all three of every point");
      continue;
    }
    for (std::size_t i = 0; complete && i < x.size(); ++i)
      path.points.emplace_back(x[i], y[i], z[i]);
    if (complete && path.points.size() < 2) {
      s.problem("x", "has one point", "a tube has two ends at least");
    }
    if (!paths.emplace(cylinder, std::move(path)).second) {
      s.problem("cylinder", fmt::format("names cylinder {}, which has a path already", cylinder),
                "one path for each cylinder");
    }
  }
  return paths;
}

BendStock read_bend_stock(Section& build) {
  BendStock stock;
  stock.radii = rising(build.quantities("bend_radii"), BendStock::same_radius);
  stock.angles_deg = rising(build.quantities("bend_angles"), BendStock::same_angle_deg);
  if (!build.has("bend_angles")) {
    stock.angles_deg.assign(std::begin(usual_angles), std::end(usual_angles));
  }
  stock.cut_allowance = build.quantity("cut_allowance");
  return stock;
}

}  // namespace pulsewright::cases
