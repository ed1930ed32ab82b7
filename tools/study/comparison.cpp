#include "tools/study/comparison.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>
#include <optional>
#include <stdexcept>
#include <tuple>

#include "tools/study/band.hpp"
#include "tools/study/interval.hpp"

namespace pulsewright::tools {

namespace {

using models::PointResult;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

using Points = std::vector<StoredPoint>;

double spread(const PointResult& point, double models::CylinderFigures::*field) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const auto& cylinder : point.cylinders) {
    low = std::min(low, cylinder.*field);
    high = std::max(high, cylinder.*field);
  }
  return point.cylinders.empty() ? 0 : high - low;
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

// Greatest of a figure at the speeds that count.
Peak peak_of(const Points& points, const std::vector<std::size_t>& chosen,
             double PointResult::*member) {
  Peak peak{nan, nan};
  for (const std::size_t s : chosen) {
    const PointResult& p = *points[s].result;
    if (!(p.*member <= peak.value)) peak = {p.*member, p.speed};
  }
  return peak;
}

Dip dip_of(const Points& points, const std::vector<std::size_t>& chosen, Band band) {
  std::vector<double> speeds, torques;
  for (const std::size_t s : chosen) {
    speeds.push_back(points[s].result->speed);
    torques.push_back(points[s].result->torque);
  }
  return deepest_dip(speeds, torques, band.from, band.to);
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

HeaderFigures figures_of(const StudyPlan& study, const HeaderPlan& plan, const StoredHeader& header,
                         Band band) {
  const Points& points = header.production.points;
  const RunFigures figures(header, nullptr, false);
  const auto chosen = counting(study, figures, {production_grid});
  HeaderFigures f;
  f.name = plan.name;
  f.kind = plan.kind;
  f.torque = peak_of(points, chosen, &PointResult::torque);
  f.power = peak_of(points, chosen, &PointResult::power);
  f.peak_at_end = f.power.speed == study.speeds.front() || f.power.speed == study.speeds.back();
  f.dip = dip_of(points, chosen, band);
  const auto over_band = [&](const Figure& figure) {
    return mean(study, chosen, band,
                [&](std::size_t s) { return figures(production_grid, s, figure); });
  };
  for (std::size_t i = 0; i < band_figures.size(); ++i) {
    const BandFigure& row = band_figures[i];
    f.band[i].value = over_band(field(row.member));
    if (row.spread == nullptr) continue;
    f.band[i].spread = over_band([&](const auto& p) { return spread(p, row.spread); });
  }
  for (std::size_t s = 0; s < points.size(); ++s) {
    const StoredPoint& point = points[s];
    f.missing += point.status == PointStatus::missing ? 1 : 0;
    f.failed += point.status == PointStatus::failed ? 1 : 0;
    f.unconverged += point.status == PointStatus::not_converged ? 1 : 0;
    if (const auto fault = fault_of(point)) f.excluded.push_back({study.speeds[s], *fault});
    if (!point.result) continue;
    const PointResult& p = *point.result;
    f.repeating += p.period > 1 ? 1 : 0;
    f.clipped += p.clipped;
    if (const auto uneven = uneven_point(p)) f.uneven.push_back(*uneven);
    const auto supersonic = supersonic_point(p);
    if (supersonic && point.status != PointStatus::not_converged) {
      f.supersonic.push_back(*supersonic);
    }
    for (const auto* balance : {&p.ledger.mass, &p.ledger.burnt, &p.ledger.energy}) {
      f.worst_imbalance = std::max(f.worst_imbalance, std::abs(balance->imbalance));
    }
  }
  f.damaged = damaged_points(header);
  return f;
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

// Every band with one edge moved to the next speed outside or inside, where there is one.
std::vector<Band> neighbouring_bands(const StudyPlan& plan, Band band) {
  std::vector<Band> others;
  const double margin = 0.05 * (band.to - band.from);  // speeds that were added lie closer
  const auto& speeds = plan.speeds;
  const auto below = [&](double edge) -> std::optional<double> {
    const auto at = std::lower_bound(speeds.begin(), speeds.end(), edge - margin);
    return at == speeds.begin() ? std::nullopt : std::optional(*(at - 1));
  };
  const auto above = [&](double edge) -> std::optional<double> {
    const auto at = std::upper_bound(speeds.begin(), speeds.end(), edge + margin);
    return at == speeds.end() ? std::nullopt : std::optional(*at);
  };
  for (const auto& edge : {below(band.from), above(band.from)}) {
    if (edge && *edge < band.to) others.push_back({*edge, band.to});
  }
  for (const auto& edge : {below(band.to), above(band.to)}) {
    if (edge && *edge > band.from) others.push_back({band.from, *edge});
  }
  return others;
}

// Of two headers.
class PairMaker {
 public:
  PairMaker(const StudyResults& results, std::size_t header, std::size_t other)
      : results_(results),
        plan_(results.plan()),
        header_(header),
        other_(other),
        figures_(results.headers()[header], &results.headers()[other], false),
        chosen_(counting(plan_, figures_, {production_grid})) {}

  PairwiseComparison compare(Band band) const {
    PairwiseComparison pair;
    pair.header = header_;
    pair.other = other_;
    pair.torque = interval(&PointResult::torque, band);
    pair.verdict = verdict(pair.torque, band);
    pair.overlap_exhaust_pressure = interval(&PointResult::overlap_exhaust_pressure, band);
    const Figure power = field(&PointResult::power);
    pair.power = mean(plan_, chosen_, band,
                      [&](std::size_t s) { return figures_(production_grid, s, power); });
    for (const Band other : neighbouring_bands(plan_, band)) {
      const Difference d = interval(&PointResult::torque, other);
      pair.other_bands.push_back({other.from, other.to, d.value, verdict(d, other)});
    }
    const Figure torque = field(&PointResult::torque);
    std::vector<double> values;
    for (const std::size_t s : chosen_) {
      const Band one{plan_.speeds[s], plan_.speeds[s]};
      const Difference d = interval(&PointResult::torque, one);
      pair.speeds.push_back({plan_.speeds[s], d, verdict(d, one)});
      values.push_back(d.value);
    }
    pair.crossings = sign_changes(speeds_of(plan_, chosen_), values, band.from, band.to);
    return pair;
  }

 private:
  Difference interval(double PointResult::*member, Band band) const {
    const Figure figure = field(member);
    const Figure noise = noise_of(member);
    return interval_of(plan_, figures_, figure, noise, band);
  }
  Verdict verdict(const Difference& torque, Band band) const {
    const auto torque_of = [&](std::size_t header, std::size_t s) {
      return results_.headers()[header].production.points[s].result->torque;
    };
    const double level = mean(plan_, chosen_, band, [&](std::size_t s) {
      return 0.5 * (torque_of(header_, s) + torque_of(other_, s));
    });
    return verdict_of(torque, dynamometer_repeatability * std::abs(level));
  }

  const StudyResults& results_;
  const StudyPlan& plan_;
  std::size_t header_, other_;
  RunFigures figures_;
  std::vector<std::size_t> chosen_;
};

// Headers by the sum of their differences to all others, which are taken at the speeds at which
// both count; those without any difference last.
std::vector<std::size_t> ranking_of(const Comparison& c) {
  std::vector<double> sum(c.headers.size(), 0.0);
  std::vector<bool> compared(c.headers.size(), c.pairs.empty());
  for (const auto& pair : c.pairs) {
    if (!std::isfinite(pair.torque.value)) continue;
    sum[pair.header] += pair.torque.value;
    sum[pair.other] -= pair.torque.value;
    compared[pair.header] = compared[pair.other] = true;
  }
  std::vector<std::size_t> order(c.headers.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return compared[a] != compared[b] ? compared[a] : sum[a] > sum[b];
  });
  return order;
}

// Of every header to the best one.
void split_differences(const StudyResults& results, Comparison& c) {
  if (c.pairs.empty()) return;
  const auto case_file = case_of(results.plan());
  if (!case_file) return;
  for (PairwiseComparison& pair : c.pairs) {
    const bool has_best = pair.header == c.ranking.front() || pair.other == c.ranking.front();
    if (!has_best || !std::isfinite(pair.torque.value)) continue;
    pair.split = split_of(results, *case_file, pair.header, pair.other, pair.torque.value);
  }
}

}  // namespace

double HeaderFigures::band_mean(double PointResult::*member) const {
  for (std::size_t i = 0; i < band_figures.size(); ++i) {
    if (band_figures[i].member == member) return band[i].value;
  }
  throw std::out_of_range("no mean over the band is made of this figure");
}

PairwiseComparison PairwiseComparison::reversed() const {
  PairwiseComparison pair = *this;
  std::swap(pair.header, pair.other);
  pair.torque = torque.reversed();
  pair.overlap_exhaust_pressure = overlap_exhaust_pressure.reversed();
  pair.power = -power;
  pair.verdict = tools::reversed(verdict);
  for (auto& band : pair.other_bands) {
    band.value = -band.value;
    band.verdict = tools::reversed(band.verdict);
  }
  if (split) pair.split = split->reversed();
  for (auto& speed : pair.speeds) {
    speed.torque = speed.torque.reversed();
    speed.verdict = tools::reversed(speed.verdict);
  }
  return pair;
}

PairwiseComparison Comparison::between(std::size_t a, std::size_t b) const {
  for (const auto& pair : pairs) {
    if (pair.header == a && pair.other == b) return pair;
    if (pair.header == b && pair.other == a) return pair.reversed();
  }
  throw std::out_of_range("these two headers are not compared");
}

Comparison compare_headers(const StudyResults& results) {
  const StudyPlan& plan = results.plan();
  Comparison c;
  c.title = plan.title;
  if (const auto case_file = case_of(plan)) c.calibrated = case_file->calibrated;
  c.speeds = plan.speeds;
  std::tie(c.band_from, c.band_to) =
      reached_band(plan.speeds, plan.settings.band_from, plan.settings.band_to);
  // Of a band that no two speeds reach, one speed has all the weight: what is said is of that one.
  const std::vector<double> weights = band_weights(plan.speeds, c.band_from, c.band_to);
  const auto heaviest = std::max_element(weights.begin(), weights.end());
  if (*heaviest == 1.0) {
    c.band_from = c.band_to = plan.speeds[static_cast<std::size_t>(heaviest - weights.begin())];
  }
  c.quick = plan.settings.quick;
  c.build_tolerance = plan.settings.build_tolerance;
  c.law = results.plan_of(results.headers().front()).junction_law;
  const Band band{c.band_from, c.band_to};
  for (std::size_t i = 0; i < results.headers().size(); ++i) {
    const StoredHeader& header = results.headers()[i];
    const Points& points = header.production.points;
    c.headers.push_back(figures_of(plan, results.plan_of(header), header, band));
    c.step_length.push_back(step_of(results.plan_of(header)));
    auto& torque = c.torque.emplace_back();
    for (std::size_t s = 0; s < points.size(); ++s) {
      torque.push_back(points[s].result ? points[s].result->torque : nan);
      if (!points[s].result) continue;
      for (const auto& merge : points[s].result->merges) {
        c.spacings.push_back({i, plan.speeds[s], merge});
      }
    }
    for (std::size_t other = 0; other < i; ++other) {
      c.pairs.push_back(PairMaker(results, i, other).compare(band));
    }
  }
  c.ranking = ranking_of(c);
  split_differences(results, c);
  return c;
}

bool is_sound(const Comparison& comparison) {
  return std::all_of(
      comparison.headers.begin(), comparison.headers.end(), [](const HeaderFigures& f) {
        return f.failed == 0 && f.unconverged == 0 && f.clipped == 0 && f.damaged == 0;
      });
}

std::vector<double> speeds_wanted(const Comparison& c, double wanted, double least,
                                  std::size_t most) {
  std::vector<std::pair<double, double>> found;  // error, speed
  const std::size_t best = c.ranking.front();
  for (std::size_t i = 0; i < c.headers.size(); ++i) {
    if (i == best) continue;
    std::vector<double> speeds;
    std::vector<double> values;
    for (const auto& d : c.between(i, best).speeds) {
      speeds.push_back(d.speed);
      values.push_back(d.torque.value);
    }
    const auto errors = interval_errors(speeds, values, c.band_from, c.band_to);
    for (const double speed : speeds_to_add(speeds, errors, wanted, least)) {
      const auto above = std::upper_bound(speeds.begin(), speeds.end(), speed);
      found.emplace_back(errors[static_cast<std::size_t>(above - speeds.begin()) - 1], speed);
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<double> added;
  const auto is_near = [&](double speed, const std::vector<double>& others) {
    return std::any_of(others.begin(), others.end(),
                       [&](double other) { return std::abs(other - speed) < least - 1e-9; });
  };
  for (const auto& [error, speed] : found) {
    if (added.size() == most) break;
    if (!is_near(speed, c.speeds) && !is_near(speed, added)) added.push_back(speed);
  }
  std::sort(added.begin(), added.end());
  return added;
}

std::vector<std::vector<FigureCurve>> figure_curves(const StudyResults& results) {
  std::vector<std::vector<FigureCurve>> curves;
  const StudyPlan& plan = results.plan();
  for (const StoredHeader& header : results.headers()) {
    const RunFigures figures(header, nullptr, true);
    std::vector<FigureCurve> own;
    for (const CurveFigure& row : curve_figures) {
      const Figure figure = field(row.member);
      const Figure noise = noise_of(row.member);
      FigureCurve curve;
      for (const double speed : plan.speeds) {
        const Difference d = interval_of(plan, figures, figure, noise, {speed, speed});
        curve.value.push_back(d.value);
        curve.low.push_back(std::isfinite(d.value) ? d.low() : nan);
        curve.high.push_back(std::isfinite(d.value) ? d.high() : nan);
      }
      own.push_back(std::move(curve));
    }
    curves.push_back(std::move(own));
  }
  return curves;
}

}  // namespace pulsewright::tools
