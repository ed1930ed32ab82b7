#include "tools/search/design_evaluator.hpp"

#include <limits>
#include <set>
#include <stdexcept>

#include "models/network/repeated_parts.hpp"

namespace pulsewright::tools {

namespace {

DesignPoint failed_point(std::size_t design, std::size_t speed, const std::string& failure) {
  DesignPoint point;
  point.design = design;
  point.speed = speed;
  point.fault = PointFault::failed;
  point.failure = failure;
  return point;
}

DesignPoint point_of(std::size_t design, std::size_t speed, const models::PointResult& result) {
  DesignPoint point;
  point.design = design;
  point.speed = speed;
  point.torque = result.torque;
  point.power = result.power;
  StoredPoint stored;
  stored.status = result.converged ? PointStatus::converged : PointStatus::not_converged;
  stored.result = result;
  point.fault = fault_of(stored);
  return point;
}

// How far the pipes of two engines are from each other: the sum of the squares of what their
// lengths and first diameters differ by, relative; infinite for engines with other pipes.
double distance(const models::EngineSpecification& a, const models::EngineSpecification& b) {
  if (a.pipes.size() != b.pipes.size()) return std::numeric_limits<double>::infinity();
  double sum = 0;
  const auto add = [&](double x, double y) {
    const double relative = (x - y) / (x + y);
    sum += relative * relative;
  };
  for (std::size_t i = 0; i < a.pipes.size(); ++i) {
    add(a.pipes[i].length, b.pipes[i].length);
    add(a.pipes[i].profile.front().diameter, b.pipes[i].profile.front().diameter);
  }
  return sum;
}

}  // namespace

DesignEvaluator::DesignEvaluator(const cases::CaseFile& case_file, cases::HeaderDesign reference,
                                 EvaluatorOptions options)
    : case_(case_file),
      reference_(std::move(reference)),
      options_(std::move(options)),
      settings_(figure_settings(case_file.run.settings)) {
  if (!case_.has_engine()) {
    throw std::invalid_argument("the case has pipes only, no engine to search a header for");
  }
  if (options_.speeds.empty()) throw std::invalid_argument("a search needs a speed");
  if (options_.cell_size <= 0) options_.cell_size = case_.run.cell_size;
  if (options_.tolerance > 0) settings_.tolerance = options_.tolerance;
  settings_.record = false;
  for (const auto& pipe : engine(reference_).pipes) cells_.push_back(pipe.cells());
  starts_.push_back({engine(reference_), {}});
}

void DesignEvaluator::add_start(const cases::HeaderDesign& design) {
  try {
    starts_.push_back({engine(design), {}});
  } catch (const std::invalid_argument&) {  // nothing can start from it
  }
}

std::size_t DesignEvaluator::nearest_start(const models::EngineSpecification& engine,
                                           std::size_t known) const {
  std::size_t nearest = 0;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t s = 0; s < known; ++s) {
    const double away = distance(engine, starts_[s].engine);
    if (away < least) {
      nearest = s;
      least = away;
    }
  }
  return nearest;
}

models::EngineSpecification DesignEvaluator::engine(const cases::HeaderDesign& design) const {
  cases::BuildOptions build;
  build.cell_size = options_.cell_size;
  build.law = options_.law;
  models::EngineSpecification engine = cases::build_engine(case_, design, build);
  if (engine.pipes.size() != cells_.size()) return engine;
  for (std::size_t i = 0; i < cells_.size(); ++i) {
    engine.pipes[i].cell_size = engine.pipes[i].length / static_cast<double>(cells_[i]);
  }
  return engine;
}

DesignEvaluator::Run DesignEvaluator::make_run(const models::EngineSpecification& engine,
                                               std::size_t speed,
                                               const models::PointSimulation* start) const {
  auto run = std::make_unique<models::PointSimulation>(engine, options_.speeds[speed], settings_);
  if (!start) return run;
  try {
    run->start_from(*start);
  } catch (const std::invalid_argument&) {  // other pipes; it starts from rest
  }
  return run;
}

bool DesignEvaluator::prepare(std::size_t start, const std::vector<std::size_t>& speeds,
                              const std::function<bool()>& keep_going) {
  std::vector<std::size_t> unknown;
  for (const std::size_t speed : speeds) {
    if (!starts_[start].runs.contains(speed)) unknown.push_back(speed);
  }
  if (unknown.empty()) return true;
  // The start before it, or of the reference its run on a coarser grid.
  std::vector<Run> coarse(unknown.size()), ended(unknown.size());
  std::vector<const models::PointSimulation*> before(unknown.size(), nullptr);
  const auto run_starts = [&](const models::EngineSpecification& engine, std::vector<Run>& ends) {
    RunList jobs;
    jobs.count = unknown.size();
    jobs.make = [&](std::size_t i) { return make_run(engine, unknown[i], before[i]); };
    jobs.take = [&](std::size_t i, Run run, const std::string& failure, double) {
      if (failure.empty()) ends[i] = std::move(run);
    };
    return run_list(jobs, options_.jobs, keep_going);
  };
  if (start == 0) {
    cases::BuildOptions build;
    build.cell_size = coarse_grid_ratio * options_.cell_size;
    build.law = options_.law;
    if (!run_starts(cases::build_engine(case_, reference_, build), coarse)) return false;
    for (std::size_t i = 0; i < unknown.size(); ++i) before[i] = coarse[i].get();
  } else {
    const std::size_t other = nearest_start(starts_[start].engine, start);
    if (!prepare(other, unknown, keep_going)) return false;
    for (std::size_t i = 0; i < unknown.size(); ++i) {
      before[i] = starts_[other].runs.at(unknown[i]).get();
    }
  }
  if (!run_starts(starts_[start].engine, ended)) return false;
  for (std::size_t i = 0; i < unknown.size(); ++i) {
    starts_[start].runs[unknown[i]] = std::move(ended[i]);
  }
  return true;
}

bool DesignEvaluator::evaluate(const std::vector<cases::HeaderDesign>& designs,
                               const std::function<bool()>& keep_going, const PointSink& consume,
                               const PointFilter& selected) {
  std::vector<DesignToRun> list(designs.size());
  std::vector<std::pair<std::size_t, std::size_t>> points;  // design, speed
  std::map<std::size_t, std::set<std::size_t>> needed;      // start, speeds
  const auto is_selected = [&](std::size_t d, std::size_t s) {
    return !selected || selected(d, s);
  };
  for (std::size_t d = 0; d < designs.size(); ++d) {
    std::size_t s = 0;
    while (s < speeds().size() && !is_selected(d, s)) ++s;
    if (s < speeds().size()) list[d] = design_to_run(designs[d]);
  }
  // Neighbours in the list are designs of one network at one speed: they are stepped together, and
  // their time steps are the most alike.
  for (const bool divided : {true, false}) {
    for (std::size_t s = 0; s < speeds().size(); ++s) {
      for (std::size_t d = 0; d < designs.size(); ++d) {
        if (list[d].divided != divided || !is_selected(d, s)) continue;
        points.emplace_back(d, s);
        if (list[d].engine) needed[list[d].start].insert(s);
      }
    }
  }
  for (const auto& [start, at] : needed) {
    if (!prepare(start, {at.begin(), at.end()}, keep_going)) return false;
  }
  RunList jobs;
  jobs.count = points.size();
  jobs.make = [&](std::size_t i) {
    const auto [design, speed] = points[i];
    const DesignToRun& run = list[design];
    if (!run.engine) throw std::invalid_argument(run.refusal);
    return make_run(*run.engine, speed, starts_[run.start].runs.at(speed).get());
  };
  jobs.take = [&](std::size_t i, const Run& run, const std::string& failure, double seconds) {
    const auto [design, speed] = points[i];
    DesignPoint point = failure.empty() ? point_of(design, speed, run->result())
                                        : failed_point(design, speed, failure);
    point.seconds = seconds;
    consume(point);
  };
  return run_list(jobs, options_.jobs, keep_going);
}

DesignEvaluator::DesignToRun DesignEvaluator::design_to_run(
    const cases::HeaderDesign& design) const {
  DesignToRun run;
  try {
    run.engine = engine(design);
    run.start = nearest_start(*run.engine, starts_.size());
    run.divided = models::parts_to_compute(*run.engine, settings_).copies > 1;
  } catch (const std::invalid_argument& error) {
    run.engine.reset();
    run.refusal = error.what();
  }
  return run;
}

}  // namespace pulsewright::tools
