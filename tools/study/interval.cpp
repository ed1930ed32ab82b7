#include "tools/study/interval.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numeric>

#include "tools/study/band.hpp"
#include "tools/study/point_fault.hpp"

namespace pulsewright::tools {

namespace {

const StoredRun* run_of(const StoredHeader& header, const RunVariant& variant) {
  return variant == production_grid ? &header.production : header.find(variant);
}

// The interval of a figure over a band, or at one speed.
class IntervalMaker {
 public:
  IntervalMaker(const StudyPlan& plan, const RunFigures& figures, const Figure& figure,
                const Figure& noise, Band band)
      : plan_(plan), figures_(figures), figure_(figure), noise_(noise), band_(band) {}

  Difference difference() const {
    Difference d;
    std::vector<std::size_t> chosen = counting(plan_, figures_, {production_grid});
    if (band_.is_one_speed()) keep_band(chosen);
    if (chosen.empty()) {
      d.value = std::numeric_limits<double>::quiet_NaN();
      return d;
    }
    d.value = mean_of(chosen, [&](std::size_t s) { return at(production_grid, s); });
    d.complete = !plan_.settings.quick && stand_for_band(chosen);
    add_grid(d);
    for (const RunFigures& header : figures_.headers()) {
      d.parts.cycle += std::abs(
          mean_of(chosen, [&](std::size_t s) { return header(production_grid, s, noise_); }));
    }
    add_build(d);
    for (const auto coupling : {models::MergeCoupling::weak, models::MergeCoupling::strong}) {
      const double moved = change(with_coupling(coupling), d.complete);
      d.parts.merge_low = std::min(d.parts.merge_low, moved);
      d.parts.merge_high = std::max(d.parts.merge_high, moved);
    }
    d.parts.gas = change(cooler_gas, d.complete);
    if (!band_.is_one_speed()) {
      std::vector<double> values;
      for (const std::size_t s : chosen) values.push_back(at(production_grid, s));
      d.parts.speeds =
          resolution_error(interval_errors(speeds_of(plan_, chosen), values, band_.from, band_.to));
    }
    return d;
  }

 private:
  double at(const RunVariant& variant, std::size_t s) const {
    return figures_(variant, s, figure_);
  }
  double mean_of(const std::vector<std::size_t>& chosen,
                 const std::function<double(std::size_t)>& value) const {
    return mean(plan_, chosen, band_, value);
  }
  void keep_band(std::vector<std::size_t>& chosen) const {
    std::erase_if(chosen, [&](std::size_t s) {
      return plan_.speeds[s] < band_.from || plan_.speeds[s] > band_.to;
    });
  }

  // The weight that the chosen ones have in the band among these speeds, 0 to 1; NaN without any.
  double share_of_band(const std::vector<std::size_t>& speeds,
                       const std::vector<std::size_t>& chosen) const {
    return mean_of(speeds, [&](std::size_t s) {
      return std::find(chosen.begin(), chosen.end(), s) != chosen.end() ? 1.0 : 0.0;
    });
  }

  // Whether the figure is known well enough where it counts: at half of the band, and where more
  // than one speed of the band was run, at two.
  bool stand_for_band(const std::vector<std::size_t>& chosen) const {
    if (band_.is_one_speed()) return true;
    std::vector<std::size_t> all(plan_.speeds.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    const std::vector<double> weights = band_weights(plan_.speeds, band_.from, band_.to);
    const auto counts = [&](std::size_t s) { return weights[s] > 0; };
    const auto run = std::count_if(all.begin(), all.end(), counts);
    return share_of_band(all, chosen) >= 0.5 &&
           std::count_if(chosen.begin(), chosen.end(), counts) >= std::min<std::ptrdiff_t>(run, 2);
  }

  // From the coarse run to another one on that grid. Where the two do not cover half of the band:
  // 0, and the interval is not complete.
  double change(const RunVariant& variant, bool& complete) const {
    auto chosen = counting(plan_, figures_, {production_grid, coarse_grid, variant});
    if (band_.is_one_speed()) keep_band(chosen);
    if (!(share_of_band(counting(plan_, figures_, {production_grid}), chosen) >= 0.5)) {
      complete = false;
      return 0;
    }
    return mean_of(chosen, [&](std::size_t s) { return at(variant, s) - at(coarse_grid, s); });
  }

  void add_grid(Difference& d) const {
    const auto chosen = counting(plan_, figures_, {production_grid, coarse_grid});
    if (chosen.empty()) {
      d.complete = false;
      return;
    }
    const auto moved = [&](std::size_t s) { return at(production_grid, s) - at(coarse_grid, s); };
    const std::vector<double> weights =
        band_weights(speeds_of(plan_, chosen), band_.from, band_.to);
    double sum = 0;
    double squares = 0;
    double largest = 0;
    for (std::size_t i = 0; i < chosen.size(); ++i) {
      if (!(weights[i] > 0)) continue;
      const double part = weights[i] * moved(chosen[i]);
      sum += part;
      squares += part * part;
      for (std::size_t k = i > 0 ? i - 1 : i; k <= i + 1 && k < chosen.size(); ++k) {
        largest = std::max(largest, std::abs(moved(chosen[k])));
      }
    }
    // Roache's index for two grids: his factor 3, the order 1.
    d.parts.grid = 3.0 / (figures_.refinement() - 1.0) *
                   (band_.is_one_speed() ? largest : std::max(std::abs(sum), std::sqrt(squares)));
  }

  void add_build(Difference& d) const {
    if (!(plan_.settings.build_tolerance > 0)) return;
    double squares = 0;
    for (const RunFigures& header : figures_.headers()) {
      const double moved =
          IntervalMaker(plan_, header, figure_, noise_, band_).change(longer_primaries, d.complete);
      squares += moved * moved;
    }
    d.parts.build = std::sqrt(squares);
  }

  const StudyPlan& plan_;
  const RunFigures& figures_;
  const Figure& figure_;
  const Figure& noise_;
  Band band_;
};

}  // namespace

bool RunFigures::counts(const StoredRun* run, std::size_t s) const {
  if (run == nullptr || !run->points[s].result) return false;
  return all_points_ || !fault_of(run->points[s]);
}

bool RunFigures::counts(const RunVariant& variant, std::size_t s) const {
  return counts(run_of(a_, variant), s) && (b_ == nullptr || counts(run_of(*b_, variant), s));
}

double RunFigures::operator()(const RunVariant& variant, std::size_t s,
                              const Figure& figure) const {
  const double value = figure(*run_of(a_, variant)->points[s].result);
  return b_ == nullptr ? value : value - figure(*run_of(*b_, variant)->points[s].result);
}

std::vector<RunFigures> RunFigures::headers() const {
  std::vector<RunFigures> each{{a_, nullptr, all_points_}};
  if (b_ != nullptr) each.emplace_back(*b_, nullptr, all_points_);
  return each;
}

double RunFigures::refinement() const {
  return run_of(a_, coarse_grid)->cell_size / a_.production.cell_size;
}

std::vector<std::size_t> counting(const StudyPlan& plan, const RunFigures& figures,
                                  const std::vector<RunVariant>& variants) {
  std::vector<std::size_t> chosen;
  for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
    if (std::all_of(variants.begin(), variants.end(),
                    [&](const RunVariant& v) { return figures.counts(v, s); })) {
      chosen.push_back(s);
    }
  }
  return chosen;
}

std::vector<double> speeds_of(const StudyPlan& plan, const std::vector<std::size_t>& chosen) {
  std::vector<double> speeds;
  for (const std::size_t s : chosen) speeds.push_back(plan.speeds[s]);
  return speeds;
}

double mean(const StudyPlan& plan, const std::vector<std::size_t>& chosen, Band band,
            const std::function<double(std::size_t)>& value) {
  if (chosen.empty()) return std::numeric_limits<double>::quiet_NaN();
  const std::vector<double> weights = band_weights(speeds_of(plan, chosen), band.from, band.to);
  double sum = 0;
  for (std::size_t i = 0; i < chosen.size(); ++i) {
    if (weights[i] > 0) sum += weights[i] * value(chosen[i]);
  }
  return sum;
}

Difference interval_of(const StudyPlan& plan, const RunFigures& figures, const Figure& figure,
                       const Figure& noise, Band band) {
  return IntervalMaker(plan, figures, figure, noise, band).difference();
}

}  // namespace pulsewright::tools
