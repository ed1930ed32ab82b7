#include "tools/search/design_evaluator.hpp"

#include <algorithm>
#include <limits>
#include <numbers>
#include <stdexcept>
#include <tuple>

#include "models/network/repeated_parts.hpp"
#include "models/network/symmetry.hpp"

namespace pulsewright::tools {

namespace {

// Of each pipe the length, and the diameters of its profile.
std::vector<double> sizes_of(const models::EngineSpecification& engine) {
  std::vector<double> sizes;
  for (const auto& pipe : engine.pipes) {
    sizes.push_back(pipe.length);
    for (const auto& point : pipe.profile) sizes.push_back(point.diameter);
  }
  return sizes;
}

// Whether two parts are the same without a turn of the crank, pipe by pipe.
bool are_one(const models::EngineSpecification& one, const models::EngineSpecification& other) {
  const auto images = models::images_of(one, other);
  if (!images || images->turn != 0) return false;
  const auto in_order = [](const std::vector<std::size_t>& list) {
    for (std::size_t i = 0; i < list.size(); ++i) {
      if (list[i] != i) return false;
    }
    return true;
  };
  return in_order(images->cylinders) && in_order(images->pipes);
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
  settings_.accelerate = true;
  settings_.least_cycles = least_cycles_after_start(settings_.least_cycles);
  const models::EngineSpecification of_reference = engine(reference_);
  for (const auto& pipe : of_reference.pipes) cells_.push_back(pipe.cells());
  starts_.push_back({parts_of(of_reference), {}});
}

void DesignEvaluator::add_start(const cases::HeaderDesign& design) {
  try {
    starts_.push_back({parts_of(engine(design)), {}});
  } catch (const std::invalid_argument&) {  // nothing can start from it
  }
}

std::vector<models::EngineSpecification> DesignEvaluator::parts_of(
    const models::EngineSpecification& engine) const {
  if (settings_.same_parts == models::SameParts::each) return {engine};
  return models::independent_parts_of(engine);
}

std::size_t DesignEvaluator::nearest_start(const models::EngineSpecification& part,
                                           std::size_t number, std::size_t known) const {
  std::size_t nearest = 0;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t s = 0; s < known; ++s) {
    if (number >= starts_[s].parts.size()) continue;
    const double away = distance(part, starts_[s].parts[number]);
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

bool DesignEvaluator::prepare(std::size_t start, std::size_t number,
                              const std::set<std::size_t>& speeds,
                              const std::function<bool()>& keep_going) {
  if (number >= starts_[start].parts.size()) return true;  // parts of another network: from rest
  std::vector<std::size_t> unknown;
  for (const std::size_t speed : speeds) {
    if (!starts_[start].runs.contains({number, speed})) unknown.push_back(speed);
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
    const auto parts = parts_of(cases::build_engine(case_, reference_, build));
    if (!run_starts(parts[number], coarse)) return false;
    for (std::size_t i = 0; i < unknown.size(); ++i) before[i] = coarse[i].get();
  } else {
    const std::size_t other = nearest_start(starts_[start].parts[number], number, start);
    if (!prepare(other, number, speeds, keep_going)) return false;
    for (std::size_t i = 0; i < unknown.size(); ++i) {
      before[i] = state_of_start(other, number, unknown[i]);
    }
  }
  if (!run_starts(starts_[start].parts[number], ended)) return false;
  for (std::size_t i = 0; i < unknown.size(); ++i) {
    starts_[start].runs[{number, unknown[i]}] = std::move(ended[i]);
  }
  return true;
}

const models::PointSimulation* DesignEvaluator::state_of_start(std::size_t start,
                                                               std::size_t number,
                                                               std::size_t speed) const {
  const auto& runs = starts_[start].runs;
  const auto found = runs.find({number, speed});
  return found == runs.end() ? nullptr : found->second.get();
}

bool DesignEvaluator::evaluate(const std::vector<cases::HeaderDesign>& designs,
                               const std::function<bool()>& keep_going, const PointSink& consume,
                               const PointFilter& selected) {
  std::vector<DesignToRun> list(designs.size());
  // By design and speed: parts that are yet to be computed. By job: who waits for it.
  std::map<std::pair<std::size_t, std::size_t>, std::size_t> missing;
  std::map<Job, std::vector<std::pair<std::size_t, std::size_t>>> waiting;
  std::vector<std::pair<std::size_t, std::size_t>> complete;
  for (std::size_t d = 0; d < designs.size(); ++d) {
    bool known = false;
    for (std::size_t s = 0; s < speeds().size(); ++s) {
      if (selected && !selected(d, s)) continue;
      if (!known) list[d] = design_to_run(designs[d]);
      known = true;
      std::size_t count = 0;
      for (const auto& [part, copies] : list[d].parts) {
        if (parts_[part].at_speed.contains(s)) continue;
        waiting[{part, s}].emplace_back(d, s);
        ++count;
      }
      if (count == 0) complete.emplace_back(d, s);
      missing[{d, s}] = count;
    }
  }
  if (keep_going && !complete.empty() && !keep_going()) return false;
  for (const auto& [d, s] : complete) consume(point_of(list[d], d, s));
  if (waiting.empty()) return true;
  std::vector<Job> jobs;
  for (const auto& [job, points] : waiting) jobs.push_back(job);
  return compute(jobs, keep_going, [&](const Job& job) {
    for (const auto& [d, s] : waiting.at(job)) {
      if (--missing.at({d, s}) == 0) consume(point_of(list[d], d, s));
    }
  });
}

bool DesignEvaluator::compute(const std::vector<Job>& asked,
                              const std::function<bool()>& keep_going,
                              const std::function<void(const Job&)>& done) {
  // Neighbours in the list are parts of one network at one speed: they are stepped together, and
  // their time steps are the most alike.
  std::vector<Job> jobs = asked;
  std::sort(jobs.begin(), jobs.end(), [&](const Job& one, const Job& other) {
    return std::tuple(parts_[one.first].number, one.second, one.first) <
           std::tuple(parts_[other.first].number, other.second, other.first);
  });
  std::map<std::pair<std::size_t, std::size_t>, std::set<std::size_t>> needed;  // start, number
  for (const auto& [part, speed] : jobs) {
    needed[{parts_[part].start, parts_[part].number}].insert(speed);
  }
  for (const auto& [start, at] : needed) {
    if (!prepare(start.first, start.second, at, keep_going)) return false;
  }
  RunList runs;
  runs.count = jobs.size();
  runs.make = [&](std::size_t i) {
    const Part& part = parts_[jobs[i].first];
    return make_run(part.engine, jobs[i].second,
                    state_of_start(part.start, part.number, jobs[i].second));
  };
  runs.take = [&](std::size_t i, const Run& run, const std::string& failure, double seconds) {
    PartFigures figures{0, PointFault::failed, failure, seconds};
    if (failure.empty()) {
      StoredPoint stored;
      stored.status = run->result().converged ? PointStatus::converged : PointStatus::not_converged;
      stored.result = run->result();
      figures.torque = run->result().torque;
      figures.fault = fault_of(stored);
    }
    parts_[jobs[i].first].at_speed[jobs[i].second] = std::move(figures);
    done(jobs[i]);
  };
  return run_list(runs, options_.jobs, keep_going);
}

DesignPoint DesignEvaluator::point_of(const DesignToRun& run, std::size_t design,
                                      std::size_t speed) const {
  DesignPoint point;
  point.design = design;
  point.speed = speed;
  point.failure = run.refusal;
  for (const auto& [part, copies] : run.parts) {
    const PartFigures& figures = parts_[part].at_speed.at(speed);
    point.torque += static_cast<double>(copies) * figures.torque;
    point.seconds += figures.seconds;
    if (!point.fault) point.fault = figures.fault;
    if (point.failure.empty()) point.failure = figures.failure;
  }
  if (!point.failure.empty()) {
    point.fault = PointFault::failed;
    point.torque = 0;
  }
  point.power = 2.0 * std::numbers::pi * speeds()[speed] * point.torque;
  return point;
}

std::size_t DesignEvaluator::part_index(models::EngineSpecification engine, std::size_t number) {
  const std::size_t start = nearest_start(engine, number, starts_.size());
  std::vector<std::size_t>& alike = parts_of_sizes_[sizes_of(engine)];
  for (const std::size_t i : alike) {
    const Part& known = parts_[i];
    if (known.number == number && known.start == start && are_one(known.engine, engine)) return i;
  }
  alike.push_back(parts_.size());
  parts_.push_back({std::move(engine), number, start, {}});
  return alike.back();
}

DesignEvaluator::DesignToRun DesignEvaluator::design_to_run(const cases::HeaderDesign& design) {
  DesignToRun run;
  std::vector<models::EngineSpecification> parts;
  try {
    parts = parts_of(engine(design));
  } catch (const std::invalid_argument& error) {
    run.refusal = std::string("cannot be simulated: ") + error.what();
    return run;
  }
  std::vector<std::size_t> firsts;  // numbers of those that are no copies of an earlier one
  for (std::size_t number = 0; number < parts.size(); ++number) {
    std::size_t k = 0;
    while (k < firsts.size() && !models::images_of(parts[firsts[k]], parts[number])) ++k;
    if (k < firsts.size()) {
      ++run.parts[k].second;
    } else {
      firsts.push_back(number);
      run.parts.emplace_back(part_index(parts[number], number), 1);
    }
  }
  return run;
}

}  // namespace pulsewright::tools
