#include "models/figures/merge_figures.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "models/boundary/crank_angle.hpp"

namespace pulsewright::models {

namespace {

// Where the path of a cylinder meets a junction: number of the pipe in the path, or -1.
int part_at(const EngineSpecification& engine, const ExhaustPath& path, std::size_t junction) {
  for (const auto& branch : engine.junctions[junction].branches) {
    for (std::size_t part = 0; part < path.pipes.size(); ++part) {
      if (path.pipes[part] == branch.end.pipe && branch.end.side == Side::right) {
        return static_cast<int>(part);
      }
    }
  }
  return -1;
}

}  // namespace

std::vector<std::size_t> merges_of(const EngineSpecification& engine) {
  std::vector<std::size_t> found;
  for (std::size_t j = 0; j < engine.junctions.size(); ++j) {
    std::set<int> entering;
    for (const auto& path : engine.exhaust_paths) {
      const int part = part_at(engine, path, j);
      if (part >= 0) entering.insert(path.pipes[static_cast<std::size_t>(part)]);
    }
    if (entering.size() >= 2) found.push_back(j);
  }
  return found;
}

double evenness_of(const std::vector<double>& gaps) {
  const auto n = static_cast<double>(gaps.size());
  if (gaps.size() < 2) return 1;
  double deviation = 0;
  for (const double gap : gaps) deviation += std::abs(gap - cycle_angle / n);
  return 1.0 - deviation / (2.0 * cycle_angle * (1.0 - 1.0 / n));
}

void space_pulses(MergeFigures& merge, std::vector<std::pair<double, int>> arrivals) {
  for (auto& [angle, number] : arrivals) angle = fold(angle);
  std::sort(arrivals.begin(), arrivals.end());
  const std::size_t n = arrivals.size();
  const double even = cycle_angle / static_cast<double>(n);
  double latest = -1e9;
  for (std::size_t i = 0; i < n; ++i) {
    merge.arrival.push_back(arrivals[i].first);
    merge.cylinders.push_back(arrivals[i].second);
    const double next = i + 1 < n ? arrivals[i + 1].first : arrivals[0].first + cycle_angle;
    merge.gap.push_back(next - arrivals[i].first);
    latest = std::max(latest, arrivals[i].first - static_cast<double>(i) * even);
  }
  merge.evenness = evenness_of(merge.gap);
  for (std::size_t i = 0; i < n; ++i) {
    // Every pulse is delayed to the even rhythm of the one that is latest against it.
    const double delay = latest + static_cast<double>(i) * even - arrivals[i].first;
    merge.added_length.push_back(delay / merge.degrees_per_metre);
    merge.length_to_even = std::max(merge.length_to_even, merge.added_length.back());
  }
}

std::vector<MergeFigures> merge_figures(const EngineSpecification& engine,
                                        const PulseTracer& tracer,
                                        const std::vector<solver::Pipe>& pipes,
                                        const std::vector<double>& pulse_angle, double speed) {
  std::vector<MergeFigures> result;
  for (const std::size_t j : merges_of(engine)) {
    MergeFigures merge;
    merge.name = engine.junctions[j].name;
    std::vector<std::pair<double, int>> arrivals;
    double distance = 0;
    double time = 0;
    for (std::size_t c = 0; c < engine.exhaust_paths.size(); ++c) {
      const ExhaustPath& path = engine.exhaust_paths[c];
      const int part = part_at(engine, path, j);
      PulseArrival arrival;
      if (part < 0 || !tracer.arrival(c, static_cast<std::size_t>(part), pulse_angle[c], arrival)) {
        continue;
      }
      const auto& cylinder = engine.cylinders[static_cast<std::size_t>(path.cylinder)];
      arrivals.emplace_back(cylinder.firing_angle_deg + pulse_angle[c] + arrival.angle,
                            cylinder.number);
      time += arrival.time;
      for (int k = 0; k <= part; ++k) {
        const auto pipe = static_cast<std::size_t>(path.pipes[static_cast<std::size_t>(k)]);
        distance += pipes[pipe].length();
      }
    }
    if (arrivals.size() >= 2) {
      merge.wave_speed = distance / time;
      merge.degrees_per_metre = 360.0 * speed / merge.wave_speed;
      space_pulses(merge, std::move(arrivals));
    }
    result.push_back(std::move(merge));
  }
  return result;
}

std::vector<std::string> merge_names(const EngineSpecification& engine) {
  std::vector<std::string> names;
  for (const std::size_t j : merges_of(engine)) names.push_back(engine.junctions[j].name);
  return names;
}

}  // namespace pulsewright::models
