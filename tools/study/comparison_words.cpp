#include "tools/study/comparison_words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <utility>

namespace pulsewright::tools {

namespace {

// "a", "a and b", "a, b and c".
std::string enumeration(const std::vector<std::string>& parts) {
  std::string text;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (i > 0) text += i + 1 == parts.size() ? " and " : ", ";
    text += parts[i];
  }
  return text;
}

}  // namespace

ComparisonWords::ComparisonWords(const Comparison& comparison, UnitSystem system)
    : comparison_(comparison), units_(system), metric_(system == UnitSystem::metric) {}

std::string ComparisonWords::number(double si, const DisplayUnit& unit, int digits) const {
  const double value = si * unit.factor;
  return std::isfinite(value) ? fmt::format("{:.{}f}", value, digits) : "-";
}

std::string ComparisonWords::signed_number(double si, const DisplayUnit& unit, int digits) const {
  const double value = si * unit.factor;
  return std::isfinite(value) ? fmt::format("{:+.{}f}", value, digits) : "-";
}

std::string ComparisonWords::rpm(double speed) { return fmt::format("{:.0f}", 60.0 * speed); }

std::string_view ComparisonWords::verdict(Verdict verdict) {
  switch (verdict) {
    case Verdict::ahead:
      return "ahead";
    case Verdict::behind:
      return "behind";
    case Verdict::too_close:
      break;
  }
  return "too close to call";
}

std::string ComparisonWords::with_margin(const Difference& d, const DisplayUnit& unit,
                                         int digits) const {
  return fmt::format("{} plus or minus {} {}", signed_number(d.value, unit, digits),
                     number(d.margin.total(), unit, digits), unit.name);
}

std::string ComparisonWords::contributions(const Margin& margin, const DisplayUnit& unit,
                                           int digits) const {
  std::string text = fmt::format("grid {}, cycles {}", number(margin.grid, unit, digits),
                                 number(margin.cycle, unit, digits));
  if (!comparison_.quick) {
    text += fmt::format(", build {}, merge model {}, gas temperature {}",
                        number(margin.build, unit, digits), number(margin.merge, unit, digits),
                        number(margin.gas, unit, digits));
  }
  return text;
}

std::string ComparisonWords::single_speeds(const PairwiseComparison& pair) const {
  const SpeedDifference* best = nullptr;
  const SpeedDifference* worst = nullptr;
  for (const auto& d : pair.speeds) {
    if (d.torque.verdict() == Verdict::ahead &&
        (best == nullptr || d.torque.value > best->torque.value)) {
      best = &d;
    }
    if (d.torque.verdict() == Verdict::behind &&
        (worst == nullptr || d.torque.value < worst->torque.value)) {
      worst = &d;
    }
  }
  const auto part = [&](const SpeedDifference& d) {
    return fmt::format("{} {} at {} rpm",
                       signed_number(d.torque.value, units_.torque, torque_digits()),
                       units_.torque.name, rpm(d.speed));
  };
  if (best != nullptr && worst != nullptr) {
    return fmt::format("at single speeds from {} to {}", part(*best), part(*worst));
  }
  if (best != nullptr || worst != nullptr) {
    return fmt::format("at single speeds up to {}", part(best != nullptr ? *best : *worst));
  }
  return "at no single speed by more than its margin";
}

std::vector<std::string> ComparisonWords::faults(const HeaderFigures& f) {
  std::vector<std::string> found;
  const auto add = [&](const std::string& text) { found.push_back(f.name + ": " + text); };
  if (f.failed > 0) add(fmt::format("{} points failed; see their text in the file", f.failed));
  if (f.missing > 0) add(fmt::format("{} points are missing", f.missing));
  if (f.damaged > 0) {
    add(fmt::format(
        "{} points of the file are damaged and left out; compare with --resume computes "
        "them anew",
        f.damaged));
  }
  if (f.unconverged > 0) {
    add(
        fmt::format("{} points do not repeat from cycle to cycle; their figures are not to be "
                    "trusted",
                    f.unconverged));
  }
  if (f.clipped > 0) add(fmt::format("values were clipped {} times", f.clipped));
  if (f.worst_imbalance > 1e-9) {
    add(fmt::format("the ledger of mass and energy is off by {:.1e}", f.worst_imbalance));
  }
  return found;
}

std::vector<std::string> ComparisonWords::remarks(const HeaderFigures& f) const {
  std::vector<std::string> found;
  if (f.repeating > 0) {
    found.push_back(
        fmt::format("{}: {} points repeat every two or three cycles; shown is their mean", f.name,
                    f.repeating));
  }
  const UnitSystem system = metric_ ? UnitSystem::metric : UnitSystem::inch;
  for (const UnevenPoint& point : f.uneven) {
    found.push_back(
        fmt::format("{}: at {} rpm {}", f.name, rpm(point.speed), pattern_words(point, system)));
  }
  return found;
}

std::string ComparisonWords::listed(const PairwiseComparison& pair) const {
  return fmt::format("{} ({})", name(pair.header_number),
                     with_margin(pair.torque, units_.torque, torque_digits()));
}

// Where most of the margin comes from, over all pairs.
std::string ComparisonWords::largest_contribution() const {
  std::array<std::pair<double, std::string_view>, 5> parts{{{0, "the grid"},
                                                            {0, "the scatter from cycle to cycle"},
                                                            {0, "the build tolerance"},
                                                            {0, "the model of the merge"},
                                                            {0, "the temperature of the gas"}}};
  for (const auto& pair : comparison_.pairs) {
    const Margin& margin = pair.torque.margin;
    parts[0].first += margin.grid;
    parts[1].first += margin.cycle;
    parts[2].first += margin.build;
    parts[3].first += margin.merge;
    parts[4].first += margin.gas;
  }
  return std::string(std::max_element(parts.begin(), parts.end(), [](const auto& a, const auto& b) {
                       return a.first < b.first;
                     })->second);
}

std::vector<std::string> ComparisonWords::summary() const {
  const auto& c = comparison_;
  const std::string band = fmt::format("{} to {} rpm", rpm(c.band_from), rpm(c.band_to));
  std::vector<std::string> sentences;
  if (c.pairs.empty()) {
    const auto& only = c.headers.front();
    sentences.push_back(fmt::format(
        "One header only, {}: over {} it makes {} {} on average, at most {} {} at {} rpm.",
        only.name, band, number(only.band_mean(&models::PointResult::torque), units_.torque, 1),
        units_.torque.name, number(only.torque.value, units_.torque, 1), units_.torque.name,
        rpm(only.torque.speed)));
    return sentences;
  }
  std::vector<const PairwiseComparison*> ranked;
  for (const auto& pair : c.pairs) ranked.push_back(&pair);
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const PairwiseComparison* a, const PairwiseComparison* b) {
                     return a->torque.value > b->torque.value;
                   });
  std::vector<std::string> ahead;
  std::vector<std::string> behind;
  std::vector<std::string> close;
  std::vector<std::string> turning;
  for (const PairwiseComparison* pair : ranked) {
    const Verdict v = pair->torque.verdict();
    (v == Verdict::ahead ? ahead : v == Verdict::behind ? behind : close).push_back(listed(*pair));
    if (pair->torque.depends_on_merge) turning.push_back(name(pair->header_number));
  }
  if (ahead.empty()) {
    sentences.push_back(
        fmt::format("Over {}, no header is ahead of {} in mean torque by more than the margin.",
                    band, name(0)));
  } else {
    sentences.push_back(
        fmt::format("Over {}, ahead of {} in mean torque: {}.", band, name(0), enumeration(ahead)));
  }
  if (!behind.empty()) sentences.push_back(fmt::format("Behind: {}.", enumeration(behind)));
  if (!close.empty()) {
    sentences.push_back("Too close to call: " + enumeration(close) + ".");
  }
  if (!turning.empty()) {
    sentences.push_back(
        fmt::format("The sign of the difference of {} depends on the model of the "
                    "merge.",
                    enumeration(turning)));
  }
  sentences.push_back(fmt::format("Most of the margin comes from {}.", largest_contribution()));
  if (c.quick) {
    sentences.push_back(
        "Computed with --quick: the margin leaves out the merge model, the build and the gas "
        "temperature, so the true one is larger.");
  }
  return sentences;
}

const std::vector<std::string>& ComparisonWords::cautions() {
  static const std::vector<std::string> sentences{
      "Torque decides; pressure at the valve explains.",
      "A prediction, not a guarantee: no measured engine has been compared with it yet.",
      "Hot exhaust, carbon monoxide and welding fumes harm, and so do the fumes of coatings and "
      "wraps when first heated; noise and emission law differ by place, ask before fitting; speed "
      "limits are the engine builder's to set."};
  return sentences;
}

}  // namespace pulsewright::tools
