#include "models/figures/whole_engine.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "models/boundary/crank_angle.hpp"
#include "models/figures/cycle_record.hpp"
#include "models/figures/figure_table.hpp"
#include "models/figures/merge_figures.hpp"

namespace pulsewright::models {

namespace {

// Builds one result; `from` is that of what was computed.
class WholeEngine {
 public:
  WholeEngine(const EngineSpecification& engine, const RepeatedParts& parts,
              const PointResult& from)
      : engine_(engine), parts_(parts), from_(from), result_(from) {}

  PointResult result() {
    set_sums();
    set_cylinders();
    set_pipes();
    set_merges();
    set_tails();
    for (std::size_t i = 0; i < from_.probes.size(); ++i) {
      const auto pipe = static_cast<std::size_t>(engine_.probes[i].pipe);
      for_each_probe_trace([&](const auto& trace) {
        result_.probes[i].*trace.member =
            shifted_trace(from_.probes[i].*trace.member, parts_.pipes[pipe].shift);
      });
    }
    return std::move(result_);
  }

 private:
  void set_sums() {
    const auto copies = static_cast<double>(parts_.copies);
    // The second torque is not known yet: PointSimulation multiplies it.
    for (double* sum :
         {&result_.torque, &result_.power, &result_.fuel_flow, &result_.cycle_noise_torque}) {
      *sum *= copies;
    }
    result_.cells *= static_cast<int>(parts_.copies);
    result_.clipped *= static_cast<long>(parts_.copies);
    Ledger& ledger = result_.ledger;
    for (LedgerLine* line : {&ledger.mass, &ledger.burnt, &ledger.energy}) {
      for (double* sum : {&line->in, &line->source, &line->out, &line->lost, &line->stored}) {
        *sum *= copies;
      }
    }
  }

  void set_cylinders() {
    result_.cylinders.clear();
    result_.traces.clear();
    for (std::size_t i = 0; i < engine_.cylinders.size(); ++i) {
      const std::size_t source = parts_.cylinders[i].source;
      result_.cylinders.push_back(from_.cylinders[source]);
      result_.cylinders.back().number = engine_.cylinders[i].number;
      if (!from_.traces.empty()) result_.traces.push_back(from_.traces[source]);
    }
  }

  void set_pipes() {
    if (from_.pipes.empty()) return;
    result_.pipes.clear();
    bool found = false;
    for (std::size_t i = 0; i < engine_.pipes.size(); ++i) {
      const RepeatedParts::Image& image = parts_.pipes[i];
      PipeFigures& pipe = result_.pipes.emplace_back(from_.pipes[image.source]);
      pipe.name = engine_.pipes[i].name;
      pipe.peak_mach_angle = fold(pipe.peak_mach_angle + image.shift);
      if (!found && static_cast<int>(image.source) == from_.exhaust_peak_mach_pipe) {
        result_.exhaust_peak_mach_pipe = static_cast<int>(i);
        found = true;
      }
    }
  }

  // Index of the engine's pipe in `computed`, as a pipe end names it.
  int source_of(const PipeEnd& end) const {
    return static_cast<int>(parts_.pipes[static_cast<std::size_t>(end.pipe)].source);
  }

  void set_merges() {
    if (from_.merges.empty()) return;
    result_.merges.clear();
    const std::vector<std::size_t> sources = merges_of(parts_.computed);
    for (const std::size_t j : merges_of(engine_)) {
      const PipeEnd end = engine_.junctions[j].branches.front().end;
      const auto at = std::find_if(sources.begin(), sources.end(), [&](std::size_t source) {
        const auto& branches = parts_.computed.junctions[source].branches;
        return std::any_of(branches.begin(), branches.end(), [&](const Branch& branch) {
          return branch.end.pipe == source_of(end) && branch.end.side == end.side;
        });
      });
      const MergeFigures& from = from_.merges[static_cast<std::size_t>(at - sources.begin())];
      result_.merges.push_back(
          shifted_merge(from, engine_.junctions[j].name, static_cast<std::size_t>(end.pipe)));
    }
  }

  MergeFigures shifted_merge(const MergeFigures& from, const std::string& name,
                             std::size_t pipe) const {
    MergeFigures merge;
    merge.name = name;
    merge.wave_speed = from.wave_speed;
    merge.degrees_per_metre = from.degrees_per_metre;
    std::vector<std::pair<double, int>> arrivals;
    for (std::size_t k = 0; k < from.arrival.size(); ++k) {
      const auto& cylinders = parts_.computed.cylinders;
      const auto at = std::find_if(cylinders.begin(), cylinders.end(), [&](const auto& cylinder) {
        return cylinder.number == from.cylinders[k];
      });
      const std::size_t cylinder =
          parts_.cylinder_beside(static_cast<std::size_t>(at - cylinders.begin()), pipe);
      arrivals.emplace_back(from.arrival[k] + parts_.pipes[pipe].shift,
                            engine_.cylinders[cylinder].number);
    }
    if (arrivals.size() >= 2) space_pulses(merge, std::move(arrivals));
    return merge;
  }

  void set_tails() {
    if (from_.tails.empty()) return;
    result_.tails.clear();
    const std::vector<std::size_t> sources = tail_ends(parts_.computed);
    for (const std::size_t i : tail_ends(engine_)) {
      const PipeEnd end = engine_.open_ends[i].end;
      const auto at = std::find_if(sources.begin(), sources.end(), [&](std::size_t source) {
        const PipeEnd& own = parts_.computed.open_ends[source].end;
        return own.pipe == source_of(end) && own.side == end.side;
      });
      const TailTrace& from = from_.tails[static_cast<std::size_t>(at - sources.begin())];
      const auto pipe = static_cast<std::size_t>(end.pipe);
      TailTrace& tail = result_.tails.emplace_back(from);
      tail.name = engine_.pipes[pipe].name;
      for_each_tail_trace([&](const auto& trace) {
        tail.*trace.member = shifted_trace(from.*trace.member, parts_.pipes[pipe].shift);
      });
    }
  }

  const EngineSpecification& engine_;
  const RepeatedParts& parts_;
  const PointResult& from_;
  PointResult result_;
};

}  // namespace

PointResult whole_engine(const EngineSpecification& engine, const RepeatedParts& parts,
                         const PointResult& computed) {
  return WholeEngine(engine, parts, computed).result();
}

std::vector<float> shifted_trace(const std::vector<float>& trace, double shift) {
  const std::size_t n = trace.size();
  if (n == 0) return trace;
  const double points = shift * static_cast<double>(n) / cycle_angle;
  const double nearest = std::round(points);
  // Whole numbers of points are shifted exactly.
  const double whole = std::abs(points - nearest) < 1e-9 ? nearest : std::ceil(points);
  const double weight = std::abs(points - nearest) < 1e-9 ? 0.0 : whole - points;
  const auto back = static_cast<std::size_t>(whole) % n;
  std::vector<float> shifted(n);
  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t before = (k + n - back) % n;
    const double value = (1.0 - weight) * trace[before] + weight * trace[(before + 1) % n];
    shifted[k] = static_cast<float>(value);
  }
  return shifted;
}

}  // namespace pulsewright::models
