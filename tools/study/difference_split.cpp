#include "tools/study/difference_split.hpp"

#include <algorithm>
#include <stdexcept>

#include "cases/case_error.hpp"
#include "cases/header_builder.hpp"
#include "tools/study/interval.hpp"
#include "tools/study/point_fault.hpp"

namespace pulsewright::tools {

namespace {

using cases::HeaderPart;
using cases::HeaderParts;

constexpr double least_cover = 0.5;  // share of the band at which all designs count

constexpr HeaderParts bit(HeaderPart part) { return static_cast<HeaderParts>(part); }

std::vector<HeaderPart> parts_in(HeaderParts set) {
  std::vector<HeaderPart> parts;
  for (const HeaderPart part : cases::header_parts) {
    if (cases::has_part(set, part)) parts.push_back(part);
  }
  return parts;
}

// A design on the way from `other` to `one`: a header with parts of the other of the two. parts =
// 0: the header as it is.
struct Mixture {
  bool of_one = false;
  HeaderParts parts = 0;
};

// taken: the parts from `one`, of those in which they differ. A design has one spelling, whichever
// header comes first: it belongs to the header whose kind it has, or else to the first of the
// study.
Mixture mixture_of(HeaderParts taken, HeaderParts differing, bool one_is_first) {
  if (taken == 0) return {false, 0};
  if (taken == differing) return {true, 0};
  const bool of_one = cases::has_part(differing, HeaderPart::kind)
                          ? cases::has_part(taken, HeaderPart::kind)
                          : one_is_first;
  return {of_one, of_one ? differing & ~taken : taken};
}

// Sets of parts from `one`, from none to all, in the order of the parts or against it.
std::vector<HeaderParts> way(HeaderParts differing, bool forward) {
  std::vector<HeaderPart> parts = parts_in(differing);
  if (!forward) std::reverse(parts.begin(), parts.end());
  std::vector<HeaderParts> sets{0};
  for (const HeaderPart part : parts) sets.push_back(sets.back() | bit(part));
  return sets;
}

// The designs that the exchange passes, both ways; some twice.
std::vector<Mixture> mixtures(HeaderParts differing, bool one_is_first) {
  std::vector<Mixture> found;
  for (const bool forward : {true, false}) {
    for (const HeaderParts taken : way(differing, forward)) {
      const Mixture mixture = mixture_of(taken, differing, one_is_first);
      if (mixture.parts != 0) found.push_back(mixture);
    }
  }
  return found;
}

// The points of a design; null where there is no such run.
const StoredRun* run_of(const StudyResults& results, std::size_t one, std::size_t other,
                        const Mixture& mixture) {
  const std::size_t own = mixture.of_one ? one : other;
  const std::size_t source = mixture.of_one ? other : one;
  return results.headers()[own].find(
      mixture.parts == 0 ? coarse_grid : with_parts(mixture.parts, static_cast<int>(source) + 1));
}

class Splitter {
 public:
  Splitter(const StudyResults& results, std::size_t one, std::size_t other, HeaderParts differing)
      : plan_(results.plan()),
        figures_(results.headers()[one], &results.headers()[other], false),
        band_{plan_.settings.band_from, plan_.settings.band_to},
        differing_(differing) {
    for (const bool forward : {true, false}) {
      auto& runs = runs_.emplace_back();
      for (const HeaderParts taken : way(differing, forward)) {
        runs.push_back(run_of(results, one, other, mixture_of(taken, differing, one < other)));
      }
    }
  }

  DifferenceSplit split(double difference) const {
    DifferenceSplit found;
    if (std::any_of(runs_.begin(), runs_.end(), [](const auto& runs) {
          return std::find(runs.begin(), runs.end(), nullptr) != runs.end();
        })) {
      found.obstacle = "the runs that split it were not made";
      found.not_run = true;
      return found;
    }
    const std::vector<std::size_t> both = counting(plan_, figures_, {production_grid});
    std::vector<std::size_t> chosen = both;
    std::erase_if(chosen, [&](std::size_t s) { return !all_count(s); });
    const double cover = mean(plan_, both, band_, [&](std::size_t s) {
      return std::find(chosen.begin(), chosen.end(), s) != chosen.end() ? 1.0 : 0.0;
    });
    if (!(cover >= least_cover)) {
      found.obstacle = "too few of the points that split it count";
      return found;
    }
    const std::vector<HeaderPart> parts = parts_in(differing_);
    found.rest = difference;
    for (std::size_t i = 0; i < parts.size(); ++i) {
      PartShare share;
      share.part = parts[i];
      share.forward = mean(plan_, chosen, band_, [&](std::size_t s) { return change(i, true, s); });
      share.backward =
          mean(plan_, chosen, band_, [&](std::size_t s) { return change(i, false, s); });
      share.torque = 0.5 * (share.forward + share.backward);
      found.rest -= share.torque;
      found.shares.push_back(share);
    }
    for (const std::size_t s : chosen) {
      auto& at = found.speeds.emplace_back();
      at.speed = plan_.speeds[s];
      for (std::size_t i = 0; i < parts.size(); ++i) {
        at.torque.push_back(0.5 * (change(i, true, s) + change(i, false, s)));
      }
    }
    return found;
  }

 private:
  bool all_count(std::size_t s) const {
    return std::all_of(runs_.begin(), runs_.end(), [&](const auto& runs) {
      return std::all_of(runs.begin(), runs.end(), [&](const StoredRun* run) {
        return run->points[s].result && !fault_of(run->points[s]);
      });
    });
  }
  // What the exchange of part i (of those that differ) changes.
  double change(std::size_t i, bool forward, std::size_t s) const {
    const auto& runs = runs_[forward ? 0 : 1];
    const std::size_t step = forward ? i : runs.size() - 2 - i;
    return runs[step + 1]->points[s].result->torque - runs[step]->points[s].result->torque;
  }

  const StudyPlan& plan_;
  RunFigures figures_;
  Band band_;
  HeaderParts differing_;
  std::vector<std::vector<const StoredRun*>> runs_;  // forward and backward: along the way
};

// The whole difference belongs to one part, on the production grid.
DifferenceSplit of_one_part(const StudyResults& results, std::size_t one, std::size_t other,
                            HeaderPart part, double difference) {
  DifferenceSplit split;
  split.shares.push_back({part, difference, difference, difference});
  const RunFigures figures(results.headers()[one], &results.headers()[other], false);
  const Figure torque = [](const models::PointResult& p) { return p.torque; };
  for (const std::size_t s : counting(results.plan(), figures, {production_grid})) {
    split.speeds.push_back({results.plan().speeds[s], {figures(production_grid, s, torque)}});
  }
  return split;
}

}  // namespace

double PartShare::low() const { return std::min(forward, backward); }
double PartShare::high() const { return std::max(forward, backward); }

DifferenceSplit DifferenceSplit::reversed() const {
  DifferenceSplit other = *this;
  other.rest = -rest;
  for (PartShare& share : other.shares) {
    share.torque = -share.torque;
    share = {share.part, share.torque, -share.backward, -share.forward};
  }
  for (AtSpeed& at : other.speeds) {
    for (double& torque : at.torque) torque = -torque;
  }
  return other;
}

std::vector<Companion> companions_of(const cases::CaseFile& case_file,
                                     const cases::HeaderDesign& one, std::size_t one_place,
                                     const cases::HeaderDesign& other, std::size_t other_place) {
  std::vector<Companion> found;
  try {
    const HeaderParts differing = cases::differing_parts(one, other);
    for (const Mixture& mixture : mixtures(differing, one_place < other_place)) {
      const cases::HeaderDesign& own = mixture.of_one ? one : other;
      const cases::HeaderDesign& source = mixture.of_one ? other : one;
      cases::mixed_header(case_file, own, source, mixture.parts);
      const Companion companion{own.name, source.name, mixture.parts};
      if (std::find(found.begin(), found.end(), companion) == found.end()) {
        found.push_back(companion);
      }
    }
  } catch (const std::invalid_argument&) {  // split_of() says why
    return {};
  }
  return found;
}

std::vector<Companion> companions_in(const StudyPlan& plan) {
  std::vector<std::string> names;
  for (const HeaderPlan& run : plan.headers) {
    if (run.variant == production_grid) names.push_back(run.name);
  }
  std::vector<Companion> found;
  for (const HeaderPlan& run : plan.headers) {
    const auto source = static_cast<std::size_t>(run.variant.source);
    if (run.variant.kind != VariantKind::mixed_header || source > names.size()) continue;
    found.push_back({run.name, names[source - 1], run.variant.parts});
  }
  return found;
}

DifferenceSplit split_of(const StudyResults& results, const cases::CaseFile& case_file,
                         std::size_t one, std::size_t other, double difference) {
  DifferenceSplit none;
  try {
    const auto design = [&](std::size_t header) -> const cases::HeaderDesign& {
      return cases::find_header(case_file, results.plan_of(results.headers()[header]).name);
    };
    const HeaderParts differing = cases::differing_parts(design(one), design(other));
    const auto parts = parts_in(differing);
    if (parts.empty()) return none;
    if (parts.size() == 1) return of_one_part(results, one, other, parts.front(), difference);
    for (const Mixture& mixture : mixtures(differing, one < other)) {
      cases::mixed_header(case_file, design(mixture.of_one ? one : other),
                          design(mixture.of_one ? other : one), mixture.parts);
    }
    return Splitter(results, one, other, differing).split(difference);
  } catch (const std::invalid_argument& fault) {  // of mixed_header
    none.obstacle = fault.what();
  } catch (const cases::CaseError&) {
    none.obstacle = "the case has no header of that name any more";
  }
  return none;
}

}  // namespace pulsewright::tools
