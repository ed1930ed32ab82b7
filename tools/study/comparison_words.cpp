// Over 400 lines because all of it words one comparison with the same names, units and formats.
#include "tools/study/comparison_words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <utility>

namespace pulsewright::tools {

std::string enumeration(const std::vector<std::string>& parts) {
  std::string text;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (i > 0) text += i + 1 == parts.size() ? " and " : ", ";
    text += parts[i];
  }
  return text;
}

namespace {

std::string speeds_text(const std::vector<double>& speeds) {
  std::vector<std::string> parts;
  for (const double speed : speeds) parts.push_back(ComparisonWords::rpm(speed));
  return enumeration(parts) + " rpm";
}

bool is_sure(Verdict verdict) { return verdict == Verdict::ahead || verdict == Verdict::behind; }

// The ranking without those headers that have no verdict against others, the one that lacks most of
// them first.
std::vector<std::size_t> judged_headers(const Comparison& comparison) {
  std::vector<std::size_t> judged = comparison.ranking;
  const auto without_verdict = [&](std::size_t header) {
    return std::count_if(judged.begin(), judged.end(), [&](std::size_t other) {
      return other != header && comparison.between(header, other).verdict == Verdict::none;
    });
  };
  while (judged.size() > 1) {
    auto worst = judged.begin();
    for (auto header = judged.begin(); header != judged.end(); ++header) {
      if (without_verdict(*header) >= without_verdict(*worst)) worst = header;
    }
    if (without_verdict(*worst) == 0) break;
    judged.erase(worst);
  }
  return judged;
}

}  // namespace

ComparisonWords::ComparisonWords(const Comparison& comparison, UnitSystem system)
    : comparison_(comparison),
      units_(system),
      metric_(system == UnitSystem::metric),
      judged_(judged_headers(comparison)) {}

std::string ComparisonWords::number(double si, const DisplayUnit& unit, int digits) const {
  const double value = si * unit.factor;
  return std::isfinite(value) ? fmt::format("{:.{}f}", value, digits) : "-";
}

std::string ComparisonWords::signed_number(double si, const DisplayUnit& unit, int digits) const {
  const double value = si * unit.factor;
  return std::isfinite(value) ? fmt::format("{:+.{}f}", value, digits) : "-";
}

std::string ComparisonWords::rpm(double speed) {
  return std::isfinite(speed) ? fmt::format("{:.0f}", 60.0 * speed)
                              : "-";  // of no point that counts
}

std::string ComparisonWords::with_interval(const Difference& d, const DisplayUnit& unit,
                                           int digits) const {
  return fmt::format("{} ({} to {}) {}", signed_number(d.value, unit, digits),
                     signed_number(d.low(), unit, digits), signed_number(d.high(), unit, digits),
                     unit.name);
}

std::string ComparisonWords::contributions(const IntervalParts& parts, const DisplayUnit& unit,
                                           int digits) const {
  std::string text =
      fmt::format("grid {}, cycles {}, between speeds {}", number(parts.grid, unit, digits),
                  number(parts.cycle, unit, digits), number(parts.speeds, unit, digits));
  if (!comparison_.quick) {
    text += fmt::format(", build {}, merge {} to {}, gas {}", number(parts.build, unit, digits),
                        signed_number(parts.merge_low, unit, digits),
                        signed_number(parts.merge_high, unit, digits),
                        signed_number(parts.gas, unit, digits));
  }
  return text;
}

std::string ComparisonWords::single_speeds(const PairwiseComparison& pair) const {
  const SpeedDifference* best = nullptr;
  const SpeedDifference* worst = nullptr;
  for (const auto& d : pair.speeds) {
    if (d.verdict == Verdict::ahead && (best == nullptr || d.torque.value > best->torque.value)) {
      best = &d;
    }
    if (d.verdict == Verdict::behind &&
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
  return "at no single speed for certain";
}

std::string ComparisonWords::with_other_bands(const PairwiseComparison& pair) const {
  std::vector<std::string> changed;
  for (const OtherBand& other : pair.other_bands) {
    if (other.verdict == pair.verdict) continue;
    changed.push_back(fmt::format("{} ({} {}) over {} to {} rpm", verdict_name(other.verdict),
                                  signed_number(other.value, units_.torque, torque_digits()),
                                  units_.torque.name, rpm(other.from), rpm(other.to)));
  }
  if (pair.other_bands.empty()) return "no speed beside the band was run";
  if (changed.empty()) return "the same with either edge of the band moved by a step";
  return "with an edge of the band moved: " + enumeration(changed);
}

std::string_view ComparisonWords::part(cases::HeaderPart part) {
  return part == cases::HeaderPart::collector ? "collector and tail" : cases::part_name(part);
}

const std::string& ComparisonWords::parts_explained() {
  static const std::string text =
      "length: flange to the last crotch, mean of the tubes; kind: which cylinders meet where and "
      "in which order, steps, pairs, walls and bends. In brackets: by which is exchanged first. "
      "Not "
      "split: what coarse cells and the speeds that do not count leave over.";
  return text;
}

std::string ComparisonWords::split(const PairwiseComparison& pair) const {
  if (!pair.split || pair.split->not_run) return "";
  if (!pair.split->obstacle.empty()) return "not split: " + pair.split->obstacle;
  const auto torque = [&](double value) {
    return signed_number(value, units_.torque, torque_digits());
  };
  const auto& shares = pair.split->shares;
  if (shares.size() == 1)
    return fmt::format("the headers differ in {} alone", part(shares[0].part));
  std::string text;
  for (const PartShare& share : shares) {
    text += fmt::format("{}{} {} ({} to {})", text.empty() ? "" : ", ", part(share.part),
                        torque(share.torque), torque(share.low()), torque(share.high()));
  }
  return text.empty() ? "the headers differ in nothing"
                      : fmt::format("of that {}, not split {}", text, torque(pair.split->rest));
}

// What the parts make of what each header is behind the best one; empty where nothing is split.
std::string ComparisonWords::where_from() const {
  const std::size_t best = judged_.front();
  std::vector<std::string> headers;
  for (const std::size_t i : judged_) {
    if (i == best) continue;
    const auto pair = comparison_.between(best, i);
    if (!pair.split || pair.split->shares.empty()) continue;
    const auto& shares = pair.split->shares;
    std::vector<std::string> parts;
    for (const PartShare& share : shares) {
      parts.push_back(fmt::format("{} {}", part(share.part),
                                  number(share.torque, units_.torque, torque_digits())));
    }
    headers.push_back(fmt::format(
        "of the {} to {} {}", number(pair.torque.value, units_.torque, torque_digits()), name(i),
        shares.size() == 1 ? fmt::format("{} makes all", part(shares.front().part))
                           : enumeration(parts)));
  }
  if (headers.empty()) return "";
  std::string text;
  for (const auto& one : headers) text += (text.empty() ? "" : "; ") + one;
  return fmt::format("Where it comes from, in {}: {}.", units_.torque.name, text);
}

std::vector<std::string> ComparisonWords::faults(const HeaderFigures& f) {
  std::vector<std::string> found;
  const auto add = [&](const std::string& text) { found.push_back(f.name + ": " + text); };
  const auto name_speeds = [&](PointFault fault, std::string_view text) {
    std::vector<double> speeds;
    for (const ExcludedPoint& point : f.excluded) {
      if (point.fault == fault) speeds.push_back(point.speed);
    }
    if (!speeds.empty()) add(fmt::format("{} {}", text, speeds_text(speeds)));
  };
  name_speeds(PointFault::failed, "failed, see the text in the file, at");
  name_speeds(PointFault::missing, "missing at");
  if (f.damaged > 0) {
    add(fmt::format("{} of the file {} damaged and left out",
                    f.damaged == 1 ? "1 point" : fmt::format("{} points", f.damaged),
                    f.damaged == 1 ? "is" : "are"));
  }
  name_speeds(PointFault::not_repeating,
              "does not repeat from cycle to cycle and is left out of all that follows at");
  name_speeds(PointFault::clipped,
              fmt::format("values were clipped {} times, left out: at", f.clipped));
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
  if (!f.supersonic.empty()) {
    std::vector<double> speeds;
    for (const SupersonicPoint& point : f.supersonic) speeds.push_back(point.speed);
    const auto fastest =
        std::max_element(f.supersonic.begin(), f.supersonic.end(),
                         [](const auto& a, const auto& b) { return a.mach < b.mach; });
    found.push_back(fmt::format("{}: at {} {}", f.name, speeds_text(speeds),
                                supersonic_words(*fastest, system)));
  }
  return found;
}

std::string ComparisonWords::over_band() const {
  if (!(comparison_.band_to > comparison_.band_from)) {
    return fmt::format("at {} rpm", rpm(comparison_.band_from));
  }
  return fmt::format("over {} to {} rpm", rpm(comparison_.band_from), rpm(comparison_.band_to));
}

std::string ComparisonWords::only_header() const {
  const auto& only = comparison_.headers.front();
  return fmt::format("One header only, {}: {} it makes {} {} on average, at most {} {} at {} rpm.",
                     only.name, over_band(),
                     number(only.band_mean(&models::PointResult::torque), units_.torque, 1),
                     units_.torque.name, number(only.torque.value, units_.torque, 1),
                     units_.torque.name, rpm(only.torque.speed));
}

// "6.1 (3.0 to 9.2) N m and 3.4 kW behind".
std::string ComparisonWords::behind(std::size_t header, std::size_t best) const {
  const auto pair = comparison_.between(best, header);
  return fmt::format("{} ({} to {}) {} and {} {} behind",
                     number(pair.torque.value, units_.torque, torque_digits()),
                     number(pair.torque.low(), units_.torque, torque_digits()),
                     number(pair.torque.high(), units_.torque, torque_digits()), units_.torque.name,
                     number(pair.power, units_.power, 1), units_.power.name);
}

void ComparisonWords::provisional(std::vector<std::string>& sentences) const {
  const std::size_t best = comparison_.ranking.front();
  std::vector<std::string> parts;
  for (const std::size_t i : comparison_.ranking) {
    if (i == best) continue;
    const auto pair = comparison_.between(best, i);
    parts.push_back(fmt::format("{} {} {}", name(i),
                                signed_number(-pair.torque.value, units_.torque, torque_digits()),
                                units_.torque.name));
  }
  sentences.push_back(fmt::format("Provisional, no verdict: mean torque {} against {}: {}.",
                                  over_band(), name(best), enumeration(parts)));
  if (comparison_.quick) {
    sentences.push_back(
        "A quick study leaves out the runs that tell what the merge model, the build and the gas "
        "temperature may change.");
  } else if (comparison_.law != models::JunctionLaw::momentum) {
    sentences.push_back(
        "Only the momentum law has constants whose errors are known; with another law at the "
        "merges "
        "there is no verdict.");
  } else {
    sentences.push_back("Too few points count, or runs are missing: see the list of points.");
  }
}

void ComparisonWords::which_to_build(std::vector<std::string>& sentences) const {
  const auto& order = judged_;
  const std::size_t best = order.front();
  std::vector<std::string> equal{name(best)};
  std::vector<std::string> perhaps;
  for (const std::size_t i : order) {
    if (i == best) continue;
    const Verdict verdict = comparison_.between(best, i).verdict;
    if (verdict == Verdict::probably_ahead) perhaps.push_back(name(i));
    if (!is_sure(verdict) && verdict != Verdict::probably_ahead) equal.push_back(name(i));
  }
  if (equal.size() > 1) {
    sentences.push_back(
        fmt::format("{} cannot be told apart {}: build the one that is easiest to make.",
                    enumeration(equal), over_band()));
  } else if (!perhaps.empty()) {
    sentences.push_back(fmt::format("Build {}, probably: {} {} may be as good.", name(best),
                                    over_band(), enumeration(perhaps)));
  } else {
    sentences.push_back(
        fmt::format("Build {}: it has the most torque {}, beyond all that the "
                    "model leaves open.",
                    name(best), over_band()));
  }
  others(sentences, best);
}

// The headers behind the best one, and which of them cannot be told from the next.
void ComparisonWords::others(std::vector<std::string>& sentences, std::size_t best) const {
  const auto& order = judged_;
  std::string list;
  for (std::size_t k = 1; k < order.size(); ++k) {
    list += fmt::format("{}{} {}", k == 1 ? "Second " : ", then ", name(order[k]),
                        behind(order[k], best));
  }
  sentences.push_back(list + ".");
  for (std::size_t k = 1; k + 1 < order.size();) {
    std::vector<std::string> alike{name(order[k])};
    std::size_t next = k + 1;
    while (next < order.size() && !is_sure(comparison_.between(order[k], order[next]).verdict)) {
      alike.push_back(name(order[next++]));
    }
    if (alike.size() > 1) {
      sentences.push_back(enumeration(alike) + " cannot be told apart.");
    }
    k = next;
  }
}

void ComparisonWords::not_judged(std::vector<std::string>& sentences) const {
  std::vector<std::string> unknown;
  for (const std::size_t i : comparison_.ranking) {
    if (std::find(judged_.begin(), judged_.end(), i) == judged_.end()) unknown.push_back(name(i));
  }
  if (!unknown.empty()) {
    sentences.push_back(fmt::format("No verdict on {}: too few points count, or runs are missing.",
                                    enumeration(unknown)));
  }
  const auto has_three = [&](std::size_t other) {
    const auto speeds = comparison_.between(judged_.front(), other).speeds;
    return std::count_if(speeds.begin(), speeds.end(), [&](const SpeedDifference& d) {
             return in_band(d.speed, comparison_.band_from, comparison_.band_to);
           }) >= 3;
  };
  if (comparison_.band_to > comparison_.band_from &&
      !std::all_of(judged_.begin() + 1, judged_.end(), has_three)) {
    sentences.push_back(
        "Fewer than three speeds of the band count: what bends between them is in no interval.");
  }
}

std::string ComparisonWords::other_bands_of_all() const {
  const std::size_t best = judged_.front();
  std::vector<std::string> changed;
  for (const std::size_t i : judged_) {
    if (i == best) continue;
    const auto pair = comparison_.between(best, i);
    const bool same =
        std::all_of(pair.other_bands.begin(), pair.other_bands.end(),
                    [&](const OtherBand& other) { return other.verdict == pair.verdict; });
    if (!same) changed.push_back(name(i));
  }
  return changed.empty()
             ? "The verdicts stay with either edge of the band moved by a step."
             : fmt::format("With an edge of the band moved by a step the verdict on {} changes.",
                           enumeration(changed));
}

// Where most of the intervals comes from, over all pairs.
std::string ComparisonWords::largest_contribution() const {
  std::array<std::pair<double, std::string_view>, 6> parts{{{0, "the grid"},
                                                            {0, "the scatter from cycle to cycle"},
                                                            {0, "the speeds between those run"},
                                                            {0, "the build tolerance"},
                                                            {0, "the model of the merge"},
                                                            {0, "the temperature of the gas"}}};
  for (const auto& pair : comparison_.pairs) {
    if (pair.verdict == Verdict::none) continue;
    const IntervalParts& own = pair.torque.parts;
    parts[0].first += own.grid;
    parts[1].first += own.cycle;
    parts[2].first += own.speeds;
    parts[3].first += own.build;
    parts[4].first += 0.5 * (own.merge_high - own.merge_low);
    parts[5].first += 0.5 * std::abs(own.gas);
  }
  return std::string(std::max_element(parts.begin(), parts.end(), [](const auto& a, const auto& b) {
                       return a.first < b.first;
                     })->second);
}

std::vector<std::string> ComparisonWords::summary() const {
  if (comparison_.pairs.empty()) return {only_header()};
  std::vector<std::string> sentences;
  if (judged_.size() < 2) {
    provisional(sentences);
  } else {
    which_to_build(sentences);
    not_judged(sentences);
    if (const std::string text = where_from(); !text.empty()) sentences.push_back(text);
    if (comparison_.band_to > comparison_.band_from) sentences.push_back(other_bands_of_all());
    sentences.push_back(
        fmt::format("Most of the intervals comes from {}.", largest_contribution()));
  }
  std::vector<std::string> at_end;
  for (const auto& f : comparison_.headers) {
    if (f.peak_at_end) at_end.push_back(f.name);
  }
  if (!at_end.empty()) {
    sentences.push_back(fmt::format(
        "The power peak of {} lies at an end of the speeds that were run; it may lie beyond.",
        at_end.size() > 1 && at_end.size() == comparison_.headers.size() ? "every header"
                                                                         : enumeration(at_end)));
  }
  if (!comparison_.calibrated.empty()) {
    sentences.push_back(
        fmt::format("The engine is calibrated {}: the level of the curves is that of the "
                    "measurement; what is claimed is the differences between headers.",
                    comparison_.calibrated));
  }
  return sentences;
}

std::vector<std::string> ComparisonWords::cautions(const std::string& calibrated) {
  return {
      "Torque decides; pressure at the valve explains.",
      calibrated.empty()
          ? "A prediction, not a guarantee: no measured engine has been compared with it yet."
          : fmt::format("A prediction, not a guarantee: the engine is calibrated {}; no other "
                        "measured engine has been compared with it yet.",
                        calibrated),
      "Hot exhaust, carbon monoxide and welding fumes harm, and so do the fumes of coatings and "
      "wraps when first heated; noise and emission law differ by place, ask before fitting; speed "
      "limits are the engine builder's to set."};
}

}  // namespace pulsewright::tools
