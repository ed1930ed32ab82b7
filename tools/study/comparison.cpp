#include "tools/study/comparison.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <stdexcept>

namespace pulsewright::tools {

namespace {

using models::PointResult;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

using Points = std::vector<StoredPoint>;
using Figure = std::function<double(const PointResult&)>;

double spread(const PointResult& point, double models::CylinderFigures::*field) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const auto& cylinder : point.cylinders) {
    low = std::min(low, cylinder.*field);
    high = std::max(high, cylinder.*field);
  }
  return point.cylinders.empty() ? 0 : high - low;
}

// Mean of a figure over the chosen points that exist; NaN when there are none.
double mean(const Points& points, const std::vector<std::size_t>& chosen, const Figure& figure) {
  double sum = 0;
  std::size_t n = 0;
  for (const std::size_t s : chosen) {
    if (!points[s].result) continue;
    sum += figure(*points[s].result);
    ++n;
  }
  return n > 0 ? sum / static_cast<double>(n) : nan;
}

// Greatest of a figure over the speeds that were run.
Peak peak_of(const Points& points, double PointResult::*field) {
  const PointResult* best = nullptr;
  for (const StoredPoint& point : points) {
    if (point.result && (best == nullptr || (*point.result).*field > best->*field)) {
      best = &*point.result;
    }
  }
  return best != nullptr ? Peak{best->*field, best->speed} : Peak{nan, nan};
}

Figure field(double PointResult::*member) {
  return [member](const PointResult& p) { return p.*member; };
}

// Change of a figure between the last two periods; 0 where the file does not know it.
Figure noise_of(double PointResult::*member) {
  if (member == &PointResult::torque) return field(&PointResult::cycle_noise_torque);
  if (member == &PointResult::overlap_exhaust_pressure) {
    return field(&PointResult::cycle_noise_overlap);
  }
  if (member == &PointResult::power) {
    return [](const PointResult& p) {
      return 2.0 * std::numbers::pi * p.speed * p.cycle_noise_torque;
    };
  }
  return [](const PointResult&) { return 0.0; };
}

double known(double x) { return std::isfinite(x) ? std::abs(x) : 0.0; }

// Mean over the chosen speeds at which both have the figure of a - b; without b: of a.
double mean_difference(const StoredRun& a, const StoredRun* b,
                       const std::vector<std::size_t>& chosen, const Figure& figure) {
  double sum = 0;
  std::size_t n = 0;
  for (const std::size_t s : chosen) {
    const auto& x = a.points[s].result;
    if (!x || (b != nullptr && !b->points[s].result)) continue;
    sum += figure(*x) - (b != nullptr ? figure(*b->points[s].result) : 0.0);
    ++n;
  }
  return n > 0 ? sum / static_cast<double>(n) : nan;
}

// What a build error does to the figure of one header, on the coarse grid.
double build_change(const StoredHeader& header, const std::vector<std::size_t>& chosen,
                    const Figure& figure) {
  const StoredRun* longer = header.find(longer_primaries);
  if (longer == nullptr) return 0;
  return known(mean(longer->points, chosen, figure) -
               mean(header.find(coarse_grid)->points, chosen, figure));
}

// Difference of a figure between two headers, averaged over the speeds at which both have it.
// Without the second one: the figure itself.
Difference difference_of(const StoredHeader& a, const StoredHeader* b,
                         const std::vector<std::size_t>& chosen, const Figure& figure,
                         const Figure& noise) {
  Difference d;
  d.value = mean_difference(a.production, b != nullptr ? &b->production : nullptr, chosen, figure);
  const StoredRun* coarse_a = a.find(coarse_grid);
  const StoredRun* coarse_b = b != nullptr ? b->find(coarse_grid) : nullptr;
  if (coarse_a == nullptr || (b != nullptr && coarse_b == nullptr)) return d;
  const double coarse = mean_difference(*coarse_a, coarse_b, chosen, figure);
  const double refinement = coarse_a->cell_size / a.production.cell_size;
  // Roache's index for two grids: his factor 3, the order 1.
  d.margin.grid = 3.0 / (refinement - 1.0) * known(d.value - coarse);
  double build = 0;
  for (const StoredHeader* header : {&a, b}) {
    if (header == nullptr) continue;
    d.margin.cycle += known(mean(header->production.points, chosen, noise));
    const double change = build_change(*header, chosen, figure);
    build += change * change;
  }
  d.margin.build = std::sqrt(build);
  for (const StoredRun& run : a.variants) {
    const StoredRun* other = b != nullptr ? b->find(run.variant) : nullptr;
    const bool of_merge = run.variant.kind == VariantKind::merge_coupling ||
                          run.variant.kind == VariantKind::junction_law;
    if (!of_merge || (b != nullptr && other == nullptr)) {
      continue;
    }
    const double changed = mean_difference(run, other, chosen, figure);
    if (!std::isfinite(changed)) continue;
    d.margin.merge = std::max(d.margin.merge, known(changed - coarse));
    // What the production grid says, moved by what the merge changes.
    if ((d.value + (changed - coarse)) * d.value < 0) d.depends_on_merge = true;
  }
  const StoredRun* cooler_a = a.find(cooler_gas);
  const StoredRun* cooler_b = b != nullptr ? b->find(cooler_gas) : nullptr;
  if (cooler_a != nullptr && (b == nullptr || cooler_b != nullptr)) {
    d.margin.gas = known(mean_difference(*cooler_a, cooler_b, chosen, figure) - coarse);
  }
  return d;
}

std::vector<std::size_t> speeds_in_band(const std::vector<double>& speeds, double from, double to) {
  std::vector<std::size_t> chosen;
  for (std::size_t s = 0; s < speeds.size(); ++s) {
    if (speeds[s] >= from - 1e-6 && speeds[s] <= to + 1e-6) chosen.push_back(s);
  }
  if (chosen.empty()) {
    for (std::size_t s = 0; s < speeds.size(); ++s) chosen.push_back(s);
  }
  return chosen;
}

HeaderFigures figures_of(const HeaderPlan& plan, const Points& points,
                         const std::vector<std::size_t>& band) {
  HeaderFigures f;
  f.name = plan.name;
  f.kind = plan.kind;
  f.torque = peak_of(points, &PointResult::torque);
  f.power = peak_of(points, &PointResult::power);
  const auto over_band = [&](const Figure& figure) { return mean(points, band, figure); };
  for (std::size_t i = 0; i < band_figures.size(); ++i) {
    const BandFigure& row = band_figures[i];
    f.band[i].value = over_band(field(row.member));
    if (row.spread == nullptr) continue;
    f.band[i].spread = over_band([&](const auto& p) { return spread(p, row.spread); });
  }
  for (const StoredPoint& point : points) {
    f.missing += point.status == PointStatus::missing ? 1 : 0;
    f.failed += point.status == PointStatus::failed ? 1 : 0;
    f.unconverged += point.status == PointStatus::not_converged ? 1 : 0;
    if (!point.result) continue;
    const PointResult& p = *point.result;
    f.repeating += p.period > 1 ? 1 : 0;
    f.clipped += p.clipped;
    if (const auto uneven = uneven_point(p)) f.uneven.push_back(*uneven);
    for (const auto* balance : {&p.ledger.mass, &p.ledger.burnt, &p.ledger.energy}) {
      f.worst_imbalance = std::max(f.worst_imbalance, std::abs(balance->imbalance));
    }
  }
  return f;
}

std::size_t damaged_points(const StoredHeader& header) {
  const auto in_run = [](const StoredRun& run) {
    return static_cast<std::size_t>(std::count_if(
        run.points.begin(), run.points.end(),
        [](const StoredPoint& point) { return point.status == PointStatus::damaged; }));
  };
  std::size_t count = in_run(header.production);
  for (const StoredRun& run : header.variants) count += in_run(run);
  return count;
}

// m, longest - shortest primary; 0 without any.
double step_of(const HeaderPlan& plan) {
  double low = std::numeric_limits<double>::infinity();
  double high = 0;
  for (const auto& [number, length] : plan.primary_length) {
    low = std::min(low, length);
    high = std::max(high, length);
  }
  return high > 0 ? high - low : 0;
}

// One header against the reference.
PairwiseComparison compare_pair(const StudyResults& results, std::size_t number,
                                const std::vector<std::size_t>& band) {
  const StoredHeader& header = results.headers()[number];
  const StoredHeader& reference = results.headers().front();
  const Figure torque = field(&PointResult::torque);
  const Figure torque_noise = noise_of(&PointResult::torque);
  PairwiseComparison pair;
  pair.header_number = number;
  pair.torque = difference_of(header, &reference, band, torque, torque_noise);
  pair.overlap_exhaust_pressure =
      difference_of(header, &reference, band, field(&PointResult::overlap_exhaust_pressure),
                    noise_of(&PointResult::overlap_exhaust_pressure));
  const auto& speeds = results.plan().speeds;
  for (std::size_t s = 0; s < speeds.size(); ++s) {
    if (!header.production.points[s].result || !reference.production.points[s].result) continue;
    pair.speeds.push_back(
        {speeds[s], difference_of(header, &reference, {s}, torque, torque_noise)});
  }
  return pair;
}

}  // namespace

double HeaderFigures::band_mean(double PointResult::*member) const {
  for (std::size_t i = 0; i < band_figures.size(); ++i) {
    if (band_figures[i].member == member) return band[i].value;
  }
  throw std::out_of_range("no mean over the band is made of this figure");
}

double Margin::total() const {
  return std::sqrt(grid * grid + cycle * cycle + build * build + merge * merge + gas * gas);
}

Verdict Difference::verdict() const {
  if (!(std::abs(value) > margin.total()) || depends_on_merge) return Verdict::too_close;
  return value > 0 ? Verdict::ahead : Verdict::behind;
}

Comparison compare_headers(const StudyResults& results) {
  const StudyPlan& plan = results.plan();
  Comparison c;
  c.title = plan.title;
  c.speeds = plan.speeds;
  c.band_from = plan.settings.band_from;
  c.band_to = plan.settings.band_to;
  c.quick = plan.settings.quick;
  c.build_tolerance = plan.settings.build_tolerance;
  const auto band = speeds_in_band(plan.speeds, c.band_from, c.band_to);
  for (std::size_t i = 0; i < results.headers().size(); ++i) {
    const StoredHeader& header = results.headers()[i];
    const Points& points = header.production.points;
    c.headers.push_back(figures_of(results.plan_of(header), points, band));
    c.headers.back().damaged = damaged_points(header);
    c.step_length.push_back(step_of(results.plan_of(header)));
    auto& torque = c.torque.emplace_back();
    for (std::size_t s = 0; s < points.size(); ++s) {
      torque.push_back(points[s].result ? points[s].result->torque : nan);
      if (!points[s].result) continue;
      for (const auto& merge : points[s].result->merges) {
        c.spacings.push_back({i, plan.speeds[s], merge});
      }
    }
    if (i > 0) c.pairs.push_back(compare_pair(results, i, band));
  }
  return c;
}

std::vector<std::vector<FigureCurve>> figure_curves(const StudyResults& results) {
  std::vector<std::vector<FigureCurve>> curves;
  for (const StoredHeader& header : results.headers()) {
    std::vector<FigureCurve> own;
    for (const CurveFigure& row : curve_figures) {
      const Figure figure = field(row.member);
      const Figure noise = noise_of(row.member);
      FigureCurve curve;
      const Points& points = header.production.points;
      for (std::size_t s = 0; s < points.size(); ++s) {
        const Difference d = difference_of(header, nullptr, {s}, figure, noise);
        curve.value.push_back(d.value);
        curve.margin.push_back(points[s].result ? d.margin.total() : nan);
      }
      own.push_back(std::move(curve));
    }
    curves.push_back(std::move(own));
  }
  return curves;
}

}  // namespace pulsewright::tools
