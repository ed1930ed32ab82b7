#include "tools/study/comparison.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <nlohmann/json.hpp>
#include <numbers>

namespace pulsewright::tools {

namespace {

using models::PointResult;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

// Figures of all points of one header, and of its variants by suffix.
struct Runs {
  std::size_t plan_index = 0;
  std::vector<std::optional<PointResult>> main;
  std::map<std::string, std::vector<std::optional<PointResult>>> variants;
  double refinement = 2;  // coarse cell over wanted cell
};

std::vector<std::optional<PointResult>> read_points(const ResultsReader& results,
                                                    std::size_t index) {
  std::vector<std::optional<PointResult>> points(results.plan().speeds.size());
  for (std::size_t s = 0; s < points.size(); ++s) {
    const PointStatus status = results.status(index, s);
    if (status == PointStatus::converged || status == PointStatus::not_converged) {
      points[s] = results.point(index, s, ResultsReader::Detail::figures);
    }
  }
  return points;
}

std::vector<Runs> read_runs(const ResultsReader& results) {
  std::vector<Runs> runs;
  const auto& headers = results.plan().headers;
  for (std::size_t i = 0; i < headers.size(); ++i) {
    if (headers[i].group.find("/variants/") != std::string::npos) continue;
    Runs run;
    run.plan_index = i;
    run.main = read_points(results, i);
    const std::string prefix = headers[i].group + "/variants/";
    for (std::size_t v = 0; v < headers.size(); ++v) {
      if (headers[v].group.starts_with(prefix)) {
        const std::string suffix = headers[v].group.substr(prefix.size());
        run.variants[suffix] = read_points(results, v);
        if (suffix == "coarse") run.refinement = headers[v].cell_size / headers[i].cell_size;
      }
    }
    runs.push_back(std::move(run));
  }
  return runs;
}

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
double mean(const std::vector<std::optional<PointResult>>& points,
            const std::vector<std::size_t>& chosen,
            const std::function<double(const PointResult&)>& figure) {
  double sum = 0;
  std::size_t n = 0;
  for (const std::size_t s : chosen) {
    if (!points[s]) continue;
    sum += figure(*points[s]);
    ++n;
  }
  return n > 0 ? sum / static_cast<double>(n) : nan;
}

// Greatest of a figure over the speeds that were run.
Peak peak_of(const std::vector<std::optional<PointResult>>& points, double PointResult::*field) {
  std::size_t best = points.size();
  for (std::size_t s = 0; s < points.size(); ++s) {
    if (points[s] && (best == points.size() || (*points[s]).*field > (*points[best]).*field)) {
      best = s;
    }
  }
  if (best == points.size()) return {nan, nan};
  return {(*points[best]).*field, points[best]->speed};
}

using Points = std::vector<std::optional<PointResult>>;
using Figure = std::function<double(const PointResult&)>;

Figure field(double PointResult::*member) {
  return [member](const PointResult& p) { return p.*member; };
}

// Difference of a figure between two headers, averaged over the speeds at which both have it.
// Without the second one: the figure itself.
Difference difference_of(const Runs& a, const Runs* b, const std::vector<std::size_t>& chosen,
                         const Figure& figure, const Figure& noise) {
  const auto averaged = [&](const Points& x, const Points* y) {
    double sum = 0;
    std::size_t n = 0;
    for (const std::size_t s : chosen) {
      if (!x[s] || (y != nullptr && !(*y)[s])) continue;
      sum += figure(*x[s]) - (y != nullptr ? figure(*(*y)[s]) : 0.0);
      ++n;
    }
    return n > 0 ? sum / static_cast<double>(n) : nan;
  };
  const auto variant = [](const Runs& r, const std::string& name) {
    const auto found = r.variants.find(name);
    return found == r.variants.end() ? nullptr : &found->second;
  };
  Difference d;
  d.value = averaged(a.main, b != nullptr ? &b->main : nullptr);
  const auto* coarse_a = variant(a, "coarse");
  const auto* coarse_b = b != nullptr ? variant(*b, "coarse") : nullptr;
  if (coarse_a == nullptr || (b != nullptr && coarse_b == nullptr)) return d;
  const double coarse = averaged(*coarse_a, coarse_b);
  const auto known = [](double x) { return std::isfinite(x) ? std::abs(x) : 0.0; };
  // Roache's index for two grids: his factor 3, the order 1.
  d.resolution.grid = 3.0 / (a.refinement - 1.0) * known(d.value - coarse);
  double build = 0;
  for (const Runs* r : {&a, b}) {
    if (r == nullptr) continue;
    d.resolution.cycle += known(mean(r->main, chosen, noise));
    const auto* longer = variant(*r, "longer");
    const auto* own = variant(*r, "coarse");
    if (longer == nullptr) continue;
    const double change = known(mean(*longer, chosen, figure) - mean(*own, chosen, figure));
    build += change * change;
  }
  d.resolution.build = std::sqrt(build);
  for (const auto& [name, points] : a.variants) {
    const auto* other = b != nullptr ? variant(*b, name) : nullptr;
    if (!name.starts_with("law-") || (b != nullptr && other == nullptr)) continue;
    const double under_law = averaged(points, other);
    if (!std::isfinite(under_law)) continue;
    d.resolution.merge = std::max(d.resolution.merge, known(under_law - coarse));
    // What the wanted grid says, moved by what the law changes.
    if ((d.value + (under_law - coarse)) * d.value < 0) d.depends_on_merge = true;
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

HeaderFigures figures_of(const ResultsReader& results, const Runs& run,
                         const std::vector<std::size_t>& band) {
  using C = models::CylinderFigures;
  const auto& plan = results.plan().headers[run.plan_index];
  HeaderFigures f;
  f.name = plan.name;
  f.kind = plan.kind;
  f.torque = peak_of(run.main, &PointResult::torque);
  f.power = peak_of(run.main, &PointResult::power);
  const auto over_band = [&](const std::function<double(const PointResult&)>& figure) {
    return mean(run.main, band, figure);
  };
  f.band_torque = over_band([](const auto& p) { return p.torque; });
  f.band_power = over_band([](const auto& p) { return p.power; });
  f.volumetric_efficiency = over_band([](const auto& p) { return p.volumetric_efficiency; });
  f.efficiency_spread =
      over_band([](const auto& p) { return spread(p, &C::volumetric_efficiency); });
  f.residual_fraction = over_band([](const auto& p) { return p.residual_fraction; });
  f.overlap_pressure = over_band([](const auto& p) { return p.overlap_exhaust_pressure; });
  f.overlap_spread =
      over_band([](const auto& p) { return spread(p, &C::overlap_exhaust_pressure); });
  f.depression = over_band([](const auto& p) { return p.depression; });
  f.depression_angle = over_band([](const auto& p) { return p.depression_angle; });
  for (std::size_t s = 0; s < run.main.size(); ++s) {
    const PointStatus status = results.status(run.plan_index, s);
    f.missing += status == PointStatus::missing ? 1 : 0;
    f.failed += status == PointStatus::failed ? 1 : 0;
    f.unconverged += status == PointStatus::not_converged ? 1 : 0;
    if (!run.main[s]) continue;
    const PointResult& p = *run.main[s];
    f.repeating += p.period > 1 ? 1 : 0;
    f.clipped += p.clipped;
    for (const auto* line : {&p.ledger.mass, &p.ledger.burnt, &p.ledger.energy}) {
      f.worst_imbalance = std::max(f.worst_imbalance, std::abs(line->imbalance));
    }
  }
  return f;
}

double step_of(const HeaderPlan& plan) {
  const auto grouping = nlohmann::json::parse(plan.grouping_json, nullptr, false);
  if (!grouping.is_object() || !grouping.contains("primary_length_m")) return 0;
  double low = std::numeric_limits<double>::infinity();
  double high = 0;
  for (const auto& [number, length] : grouping["primary_length_m"].items()) {
    low = std::min(low, length.get<double>());
    high = std::max(high, length.get<double>());
  }
  return high > 0 ? high - low : 0;
}

}  // namespace

double Margin::total() const {
  return std::sqrt(grid * grid + cycle * cycle + build * build + merge * merge);
}

Verdict Difference::verdict() const {
  if (!(std::abs(value) > resolution.total()) || depends_on_merge) return Verdict::too_close;
  return value > 0 ? Verdict::ahead : Verdict::behind;
}

Comparison compare_headers(const ResultsReader& results) {
  const StudyPlan& plan = results.plan();
  Comparison c;
  c.title = plan.title;
  c.speeds = plan.speeds;
  const auto settings = nlohmann::json::parse(plan.settings_json, nullptr, false);
  if (settings.is_object()) {
    c.band_from = settings.value("band_from_rpm", 0.0) / 60.0;
    c.band_to = settings.value("band_to_rpm", 0.0) / 60.0;
    c.quick = settings.value("quick", false);
    c.build_tolerance = settings.value("build_tolerance_m", 0.0);
  }
  const auto band = speeds_in_band(plan.speeds, c.band_from, c.band_to);
  const std::vector<Runs> runs = read_runs(results);
  for (std::size_t i = 0; i < runs.size(); ++i) {
    c.headers.push_back(figures_of(results, runs[i], band));
    c.step_length.push_back(step_of(plan.headers[runs[i].plan_index]));
    std::vector<double> torque;
    for (const auto& point : runs[i].main) torque.push_back(point ? point->torque : nan);
    c.torque.push_back(std::move(torque));
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      if (!runs[i].main[s]) continue;
      for (const auto& merge : runs[i].main[s]->merges) {
        c.spacings.push_back({i, plan.speeds[s], merge});
      }
    }
  }
  for (std::size_t i = 1; i < runs.size(); ++i) {
    PairwiseComparison pair;
    pair.header_number = i;
    pair.torque = difference_of(runs[i], &runs[0], band, field(&PointResult::torque),
                                field(&PointResult::cycle_noise_torque));
    pair.overlap_pressure =
        difference_of(runs[i], &runs[0], band, field(&PointResult::overlap_exhaust_pressure),
                      field(&PointResult::cycle_noise_overlap));
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      if (!runs[i].main[s] || !runs[0].main[s]) continue;
      pair.speeds.push_back(
          {plan.speeds[s], difference_of(runs[i], &runs[0], {s}, field(&PointResult::torque),
                                         field(&PointResult::cycle_noise_torque))});
    }
    c.pairs.push_back(std::move(pair));
  }
  return c;
}

std::vector<std::vector<FigureCurve>> figure_curves(const ResultsReader& results) {
  struct Named {
    const char* name;
    Figure figure, noise;
  };
  const Figure no_noise = [](const PointResult&) { return 0.0; };
  const std::vector<Named> figures{
      {"torque", field(&PointResult::torque), field(&PointResult::cycle_noise_torque)},
      {"power", field(&PointResult::power),
       [](const PointResult& p) {
         return 2.0 * std::numbers::pi * p.speed * p.cycle_noise_torque;
       }},
      {"volumetric_efficiency", field(&PointResult::volumetric_efficiency), no_noise},
      {"overlap_exhaust_pressure", field(&PointResult::overlap_exhaust_pressure),
       field(&PointResult::cycle_noise_overlap)},
      {"residual_fraction", field(&PointResult::residual_fraction), no_noise},
      {"pmep", field(&PointResult::pmep), no_noise}};
  std::vector<std::vector<FigureCurve>> curves;
  for (const Runs& run : read_runs(results)) {
    std::vector<FigureCurve> own;
    for (const auto& [name, figure, noise] : figures) {
      FigureCurve curve{name, {}, {}};
      for (std::size_t s = 0; s < run.main.size(); ++s) {
        const Difference d = difference_of(run, nullptr, {s}, figure, noise);
        curve.value.push_back(d.value);
        curve.resolution.push_back(run.main[s] ? d.resolution.total() : nan);
      }
      own.push_back(std::move(curve));
    }
    curves.push_back(std::move(own));
  }
  return curves;
}

}  // namespace pulsewright::tools
