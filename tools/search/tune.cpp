#include "tools/search/tune.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>
#include <stdexcept>

#include "cases/design_variable.hpp"
#include "tools/search/optimizer.hpp"
#include "tools/search/value_text.hpp"

namespace pulsewright::tools {

namespace {

constexpr double length_step = 1e-4;        // m: lengths of the search are whole tenths of a mm
constexpr double sixteenth = 0.0254 / 16;   // m
constexpr double at_limit = 0.01;           // of a variable's range: so near to it is at it
constexpr double unscored_objective = 1e6;  // N m, of what has no score

class Tuning {
 public:
  Tuning(const SearchTask& task, const TuneAims& aims, TrialHistory& history)
      : task_(task), aims_(aims), history_(history) {}

  // Scores designs; keeps them in the order in which they are first asked for.
  std::vector<Candidate> score(const std::vector<std::vector<double>>& list) {
    std::vector<TrialKey> keys;
    for (const auto& values : list) {
      for (const int sample : samples()) keys.push_back({values, sample});
    }
    const auto trials = history_.trials(keys);
    std::vector<Candidate> candidates;
    const std::size_t each = samples().size();
    for (std::size_t i = 0; i < list.size(); ++i) {
      const auto first = trials.begin() + static_cast<std::ptrdiff_t>(i * each);
      candidates.push_back(
          candidate_of(list[i], {first, first + static_cast<std::ptrdiff_t>(each)}));
      if (known_.insert(list[i]).second) all_.push_back(candidates.back());
    }
    return candidates;
  }

  // How many designs a list would still need to compute.
  std::size_t cost(const std::vector<std::vector<double>>& list) const {
    std::set<std::vector<double>> unknown;
    for (const auto& values : list) {
      if (!known_.contains(values)) unknown.insert(values);
    }
    return unknown.size() * samples().size();
  }

  std::vector<int> samples() const {
    return task_.space().build_tolerance > 0 ? std::vector<int>{1, 2} : std::vector<int>{0};
  }
  const std::vector<Candidate>& all() const { return all_; }

 private:
  Candidate candidate_of(const std::vector<double>& values,
                         const std::vector<const Trial*>& trials) const {
    Candidate candidate;
    candidate.values = values;
    candidate.scored = candidate.counts = true;
    for (const Trial* trial : trials) {
      candidate.scored = candidate.scored && trial->has_figures();
      candidate.counts = candidate.counts && trial->counts();
    }
    if (!candidate.scored) return candidate;
    for (const Trial* trial : trials) {
      const Aims one =
          aims_of(task_.speeds(), trial->torque, task_.band(), aims_.weights.shift_speed);
      for (const auto member : aim_members) {
        candidate.aims.*member += one.*member / static_cast<double>(trials.size());
      }
    }
    candidate.score = score_of(candidate.aims, aims_.weights);
    return candidate;
  }

  const SearchTask& task_;
  const TuneAims& aims_;
  TrialHistory& history_;
  std::set<std::vector<double>> known_;
  std::vector<Candidate> all_;
};

// Between the unit cube of the optimiser and values of the variables. A choice has an equal part of
// its edge.
double value_at_part(const cases::DesignVariable& variable, double part) {
  if (!variable.is_length()) {
    const double count = variable.greatest() + 1;
    return std::clamp(std::floor(part * count), 0.0, count - 1);
  }
  const double value = variable.from + part * (variable.to - variable.from);
  return std::clamp(std::round(value / length_step) * length_step, variable.from, variable.to);
}
double part_at_value(const cases::DesignVariable& variable, double value) {
  const double part = variable.is_length() ? (value - variable.from) / (variable.to - variable.from)
                                           : (value + 0.5) / (variable.greatest() + 1);
  return std::clamp(part, 0.0, 1.0);
}

std::vector<double> values_at(const SearchSpace& space, const std::vector<double>& point) {
  std::vector<double> values;
  for (std::size_t i = 0; i < point.size(); ++i) {
    values.push_back(value_at_part(space.variables[i], point[i]));
  }
  if (space.fits_may_move) values.resize(values.size() + space.fits.size(), 0.0);
  return values;
}

// Of the objectives that are to be minimised.
std::vector<double> objectives_of(const Candidate& candidate, const TuneAims& aims) {
  const std::size_t count = std::max<std::size_t>(1, aims.front.size());
  if (!candidate.scored) return std::vector<double>(count, unscored_objective);
  if (aims.front.empty()) return {-candidate.score};
  std::vector<double> objectives;
  for (const std::size_t aim : aims.front) {
    const double value = candidate.aims.*aim_members[aim];
    objectives.push_back(aim == dip_aim ? value : -value);
  }
  return objectives;
}

// The start, moved to where the variables may be.
std::vector<double> start_point(const SearchSpace& space) {
  std::vector<double> point;
  const std::vector<double> values = space.reference_values();
  for (std::size_t i = 0; i < space.variables.size(); ++i) {
    point.push_back(part_at_value(space.variables[i], values[i]));
  }
  return point;
}

void search(const SearchTask& task, const TuneAims& aims, Tuning& tuning) {
  const SearchSpace& space = task.space();
  std::size_t spent = 0;
  OptimizerTask optimizer;
  optimizer.dimensions = space.variables.size();
  optimizer.objectives = std::max<std::size_t>(1, aims.front.size());
  optimizer.start = start_point(space);
  optimizer.points = aims.designs / tuning.samples().size();
  optimizer.seed = space.seed;
  optimizer.evaluate = [&](const std::vector<std::vector<double>>& points) {
    std::vector<std::vector<double>> list, objectives;
    for (const auto& point : points) list.push_back(values_at(space, point));
    spent += tuning.cost(list);
    if (spent > aims.designs) throw BudgetSpent();
    for (const Candidate& candidate : tuning.score(list)) {
      objectives.push_back(objectives_of(candidate, aims));
    }
    return objectives;
  };
  optimize(optimizer);
}

std::optional<Candidate> best_of(const std::vector<Candidate>& candidates) {
  std::optional<Candidate> best;
  for (const Candidate& candidate : candidates) {
    if (!candidate.scored || !candidate.counts) continue;
    if (!best || candidate.score > best->score) best = candidate;
  }
  return best;
}

double whole(const cases::DesignVariable& variable, double value, double step) {
  if (!variable.is_length()) return value;
  double rounded = std::round(value / step) * step;
  if (rounded > variable.to) rounded -= step;
  if (rounded < variable.from) rounded += step;
  return rounded;
}

// The best with whole lengths, and with all of its varied primaries alike.
std::vector<std::vector<double>> easier_designs(const SearchSpace& space,
                                                const std::vector<double>& best) {
  std::vector<std::vector<double>> designs;
  for (const double step : {half_inch, 2 * half_inch}) {
    std::vector<double> rounded = best, alike = best;
    double sum = 0;
    int primaries = 0;
    for (std::size_t i = 0; i < space.variables.size(); ++i) {
      const auto& variable = space.variables[i];
      rounded[i] = whole(variable, best[i], step);
      alike[i] = rounded[i];
      if (variable.part != cases::VariedPart::primary_length) continue;
      sum += best[i];
      ++primaries;
    }
    designs.push_back(rounded);
    if (primaries < 2) continue;
    for (std::size_t i = 0; i < space.variables.size(); ++i) {
      const auto& variable = space.variables[i];
      if (variable.part != cases::VariedPart::primary_length) continue;
      alike[i] = std::clamp(whole(variable, sum / primaries, step), variable.from, variable.to);
    }
    designs.push_back(alike);
  }
  return designs;
}

// Limits that the best lies at, with the same design beyond them.
struct Beyond {
  LimitCost cost;
  std::vector<double> values;
};
std::vector<Beyond> beyond_limits(const SearchSpace& space, const std::vector<double>& best) {
  std::vector<Beyond> list;
  for (std::size_t i = 0; i < space.variables.size(); ++i) {
    const auto& variable = space.variables[i];
    if (!variable.is_length()) continue;
    const double near = at_limit * (variable.to - variable.from);
    const bool low = best[i] <= variable.from + near;
    if (!low && best[i] < variable.to - near) continue;
    std::vector<double> values = best;
    values[i] = low ? variable.from - half_inch : variable.to + half_inch;
    if (!(values[i] > 0)) continue;
    list.push_back(
        {{fmt::format("{}, {}", cases::variable_name(variable), low ? "smallest" : "largest"),
          values[i], 0},
         values});
  }
  const cases::HeaderDesign drawn = space.drawn(best);
  for (std::size_t i = 0; i < space.fits.size(); ++i) {
    const cases::TubeFit& fit = space.fits[i];
    for (const int cylinder : fit.cylinders) {
      const double length = drawn.primary_length.at(cylinder);
      if (length > fit.shortest && length < fit.longest) continue;
      std::vector<double> values = best;
      values[space.variables.size() + i] = half_inch;
      const bool low = length <= fit.shortest;
      list.push_back(
          {{fmt::format("what fits cylinder {}, {}", cylinder, low ? "shortest" : "longest"),
            low ? fit.shortest - half_inch : fit.longest + half_inch, 0},
           values});
      break;
    }
  }
  return list;
}

void find_limits(const SearchSpace& space, Tuning& tuning, TuneResult& result) {
  const auto beyond = beyond_limits(space, result.best->values);
  std::vector<std::vector<double>> designs;
  for (const auto& one : beyond) designs.push_back(one.values);
  const auto scored = tuning.score(designs);
  for (std::size_t i = 0; i < beyond.size(); ++i) {
    if (!scored[i].scored) continue;
    result.limits.push_back(beyond[i].cost);
    result.limits.back().gain = scored[i].score - result.best->score;
  }
  std::stable_sort(result.limits.begin(), result.limits.end(),
                   [](const auto& one, const auto& other) { return one.gain > other.gain; });
}

void find_easier(const SearchSpace& space, Tuning& tuning, TuneResult& result) {
  const Ease of_best = ease_of(space, result.best->values);
  for (const Candidate& candidate : tuning.score(easier_designs(space, result.best->values))) {
    if (!candidate.scored || !candidate.counts) continue;
    if (!(ease_of(space, candidate.values) < of_best)) continue;
    if (!result.easier || candidate.score > result.easier->score) result.easier = candidate;
  }
}

std::vector<Candidate> front_candidates(const std::vector<Candidate>& all, const TuneAims& aims) {
  std::vector<Candidate> counting;
  std::vector<std::vector<double>> objectives;
  for (const Candidate& candidate : all) {
    if (!candidate.scored || !candidate.counts) continue;
    counting.push_back(candidate);
    objectives.push_back(objectives_of(candidate, aims));
  }
  std::vector<Candidate> front;
  for (const std::size_t i : front_of(objectives)) front.push_back(counting[i]);
  std::stable_sort(front.begin(), front.end(), [&](const auto& one, const auto& other) {
    return objectives_of(one, aims).front() < objectives_of(other, aims).front();
  });
  return front;
}

}  // namespace

Ease ease_of(const SearchSpace& space, const std::vector<double>& values) {
  Ease ease;
  std::set<long> lengths;
  for (const auto& [cylinder, length] : space.drawn(values).primary_length) {
    lengths.insert(std::lround(length / sixteenth));
  }
  ease.lengths = lengths.size();
  for (std::size_t i = 0; i < space.variables.size(); ++i) {
    if (!space.variables[i].is_length()) continue;
    const double halves = values[i] / half_inch;
    if (std::abs(halves - std::round(halves)) > 1e-6) ++ease.odd;
  }
  return ease;
}

TuneResult tune(const SearchTask& task, const TuneAims& aims, TrialHistory& history) {
  const SearchSpace& space = task.space();
  if (space.variables.empty()) throw std::invalid_argument("tune: nothing may change");
  Tuning tuning(task, aims, history);
  TuneResult result;
  const std::vector<double> start = space.reference_values();
  result.start = tuning.score({start}).front();
  search(task, aims, tuning);
  result.history = tuning.all();
  if (!aims.front.empty()) result.front = front_candidates(tuning.all(), aims);
  result.best = best_of(aims.front.empty() ? result.history : result.front);
  std::vector<TrialKey> drawn{{start, 0}};
  if (result.best) {
    find_easier(space, tuning, result);
    find_limits(space, tuning, result);
    drawn.push_back({result.best->values, 0});
    if (result.easier) drawn.push_back({result.easier->values, 0});
  }
  const auto trials = history.trials(drawn);
  result.start_drawn = trials[0];
  if (result.best) result.best_drawn = trials[1];
  if (result.easier) result.easier_drawn = trials[2];
  return result;
}

}  // namespace pulsewright::tools
