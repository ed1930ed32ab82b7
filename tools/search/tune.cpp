#include "tools/search/tune.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>
#include <stdexcept>
#include <utility>

#include "cases/design_variable.hpp"
#include "tools/search/optimizer.hpp"

namespace pulsewright::tools {

namespace {

constexpr double length_step = 1e-4;        // m: lengths of the search are whole tenths of a mm
constexpr double unscored_objective = 1e6;  // N m, of what has no score
constexpr double start_distance = 0.03;     // m: designs farther off get a start of their own

// The largest difference of two lengths, m.
double largest_change(const cases::HeaderDesign& one, const cases::HeaderDesign& other) {
  double most = 0;
  const auto add = [&](double a, double b) { most = std::max(most, std::abs(a - b)); };
  for (const auto& [cylinder, length] : one.primary_length) {
    add(length, other.primary_length.at(cylinder));
  }
  add(one.secondary_length, other.secondary_length);
  add(one.collector_length, other.collector_length);
  add(one.tail_length, other.tail_length);
  return most;
}

class Tuning {
 public:
  Tuning(const SearchTask& task, const TuneAims& aims, TrialHistory& history)
      : task_(task), aims_(aims), history_(history), starts_{task.space().reference} {}

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
      if (!known_.insert(list[i]).second) continue;
      all_.push_back(candidates.back());
      if (is_better(all_.back(), best_)) best_ = all_.back();
    }
    return candidates;
  }

  // The designs that follow may start from the best one, where that is far from the starts so far.
  void start_from_best() {
    if (!best_) return;
    const cases::HeaderDesign drawn = task_.space().drawn(best_->values);
    const bool is_near = std::any_of(starts_.begin(), starts_.end(), [&](const auto& start) {
      return largest_change(drawn, start) < start_distance;
    });
    if (is_near) return;
    history_.add_start({best_->values, 0});
    starts_.push_back(drawn);
  }

  // Whether a design may be the best, and has a higher score than the other one, if there is one.
  bool is_better(const Candidate& candidate, const std::optional<Candidate>& other) const {
    return candidate.counts && within_limits(task_.space(), candidate.values) &&
           (!other || candidate.score > other->score);
  }

  // How many designs a list would still need to compute.
  std::size_t cost(const std::vector<std::vector<double>>& list) const {
    std::set<std::vector<double>> unknown;
    for (const auto& values : list) {
      if (!known_.contains(values)) unknown.insert(values);
    }
    return unknown.size() * samples().size();
  }
  // The beginning of a list that does not cost more than so many designs.
  std::vector<std::vector<double>> affordable(std::vector<std::vector<double>> list,
                                              std::size_t designs) const {
    while (cost(list) > designs) list.pop_back();
    return list;
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
    const std::size_t shift_aim = std::size(aim_members) - 1;
    const double shift_speed = is_aim(aims_, shift_aim) ? aims_.weights.shift_speed : 0;
    candidate.scored = candidate.counts = true;
    for (const Trial* trial : trials) {
      candidate.scored =
          candidate.scored && has_figures_in(task_.speeds(), *trial, task_.band(), shift_speed);
      candidate.counts = candidate.counts && candidate.scored &&
                         counts_in(task_.speeds(), *trial, task_.band(), shift_speed);
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
  std::optional<Candidate> best_;            // of the score
  std::vector<cases::HeaderDesign> starts_;  // of the designs, the reference first
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
  values.resize(values.size() + space.fits.size(), 0.0);
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
    list = tuning.affordable(std::move(list), aims.designs - spent);
    spent += tuning.cost(list);
    for (const Candidate& candidate : tuning.score(list)) {
      objectives.push_back(objectives_of(candidate, aims));
    }
    if (list.size() < points.size()) throw BudgetSpent();
    tuning.start_from_best();
    return objectives;
  };
  optimize(optimizer);
}

std::optional<Candidate> best_of(const Tuning& tuning, const std::vector<Candidate>& candidates) {
  std::optional<Candidate> best;
  for (const Candidate& candidate : candidates) {
    if (tuning.is_better(candidate, best)) best = candidate;
  }
  return best;
}

void find_limits(const SearchSpace& space, Tuning& tuning, TuneResult& result) {
  const auto beyond = beyond_limits(space, result.best->values);
  std::vector<std::vector<double>> designs;
  for (const auto& one : beyond) designs.push_back(one.values);
  const auto scored = tuning.score(designs);
  for (std::size_t i = 0; i < beyond.size(); ++i) {
    if (!scored[i].scored) continue;
    const double gain = scored[i].score - result.best->score;
    result.limits.push_back({beyond[i].what, beyond[i].beyond, gain});
  }
  std::stable_sort(result.limits.begin(), result.limits.end(),
                   [](const auto& one, const auto& other) { return one.gain > other.gain; });
}

void find_easier(const SearchSpace& space, Tuning& tuning, TuneResult& result) {
  const Ease of_best = ease_of(space, result.best->values);
  for (const Candidate& candidate : tuning.score(easier_designs(space, result.best->values))) {
    if (!tuning.is_better(candidate, result.easier)) continue;
    if (ease_of(space, candidate.values) < of_best) result.easier = candidate;
  }
}

std::vector<Candidate> front_candidates(const Tuning& tuning, const TuneAims& aims) {
  std::vector<Candidate> counting;
  std::vector<std::vector<double>> objectives;
  for (const Candidate& candidate : tuning.all()) {
    if (!tuning.is_better(candidate, std::nullopt)) continue;
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

bool is_aim(const TuneAims& aims, std::size_t i) {
  return aims.weights.*weight_members[i] > 0 ||
         std::find(aims.front.begin(), aims.front.end(), i) != aims.front.end();
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
  if (!aims.front.empty()) result.front = front_candidates(tuning, aims);
  result.best = best_of(tuning, aims.front.empty() ? result.history : result.front);
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
