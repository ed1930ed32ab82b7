#include "tools/search/design_evaluator.hpp"

#include <atomic>
#include <exception>
#include <mutex>
#include <new>
#include <set>
#include <stdexcept>
#include <thread>

#include "models/engine/point_batch.hpp"

namespace pulsewright::tools {

namespace {

constexpr double coarse_factor = 3.0;  // of the grid on which the reference starts from rest

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

}  // namespace

DesignEvaluator::DesignEvaluator(const cases::CaseFile& case_file, cases::HeaderDesign reference,
                                 EvaluatorOptions options)
    : case_(case_file),
      reference_(std::move(reference)),
      options_(std::move(options)),
      settings_(case_file.run.settings) {
  if (!case_.has_engine()) {
    throw std::invalid_argument("the case has pipes only, no engine to search a header for");
  }
  if (options_.speeds.empty()) throw std::invalid_argument("a search needs a speed");
  if (options_.cell_size <= 0) options_.cell_size = case_.run.cell_size;
  if (options_.tolerance > 0) settings_.tolerance = options_.tolerance;
  settings_.store_traces = settings_.store_wave_diagram = settings_.second_pattern = false;
  for (const auto& pipe : engine(reference_).pipes) cells_.push_back(pipe.cells());
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

// Runs a list of jobs on all threads, in the order of the list.
bool DesignEvaluator::run_all(const Jobs& jobs, const std::function<bool()>& keep_going) const {
  std::atomic<bool> broken{false};
  std::exception_ptr error;
  std::mutex mutex;
  std::size_t next = 0, done = 0;
  const std::function<bool()> go_on = [&] { return !broken && (!keep_going || keep_going()); };
  const auto complete = [&](std::size_t job, Run run, const std::string& failure, double seconds) {
    const std::scoped_lock lock(mutex);
    ++done;
    jobs.take(job, std::move(run), failure, seconds);
  };
  // The next run that can be made; null where none is left.
  const auto make_next = [&](std::size_t& job) -> Run {
    while (go_on()) {
      {
        const std::scoped_lock lock(mutex);
        if (next == jobs.count) return nullptr;
        job = next++;
      }
      try {
        return jobs.make(job);
      } catch (const std::bad_alloc&) {
        throw;  // says nothing about the design
      } catch (const std::exception& fault) {
        complete(job, nullptr, std::string("cannot be simulated: ") + fault.what(), 0);
      }
    }
    return nullptr;
  };
  const auto work = [&] {
    try {
      std::map<const models::PointSimulation*, std::pair<std::size_t, Run>> runs;
      models::PointBatch batch;
      batch.run(
          [&]() -> models::PointSimulation* {
            std::size_t job = 0;
            Run run = make_next(job);
            models::PointSimulation* const made = run.get();
            if (made) runs.emplace(made, std::pair(job, std::move(run)));
            return made;
          },
          [&](models::PointSimulation& run, const models::PointBatch::End& end) {
            auto ended = runs.extract(&run);
            complete(ended.mapped().first, std::move(ended.mapped().second), end.failure,
                     end.seconds);
          },
          go_on);
    } catch (const models::RunStopped&) {
    } catch (...) {
      const std::scoped_lock lock(mutex);
      if (!error) error = std::current_exception();
      broken = true;
    }
  };
  std::vector<std::jthread> threads;
  for (unsigned j = 1; j < options_.jobs; ++j) threads.emplace_back(work);
  work();
  threads.clear();  // joins
  if (error) std::rethrow_exception(error);
  return done == jobs.count;
}

// The reference at speeds where its state is not known yet.
bool DesignEvaluator::prepare(const std::vector<std::size_t>& speeds,
                              const std::function<bool()>& keep_going) {
  const auto on_grid = engine(reference_);
  cases::BuildOptions build;
  build.cell_size = coarse_factor * options_.cell_size;
  build.law = options_.law;
  const auto coarse = cases::build_engine(case_, reference_, build);
  std::vector<Run> first(speeds.size()), second(speeds.size());
  const auto run_list = [&](const models::EngineSpecification& engine,
                            const std::vector<Run>& starts, std::vector<Run>& ends) {
    Jobs jobs;
    jobs.count = speeds.size();
    jobs.make = [&](std::size_t i) { return make_run(engine, speeds[i], starts[i].get()); };
    jobs.take = [&](std::size_t i, Run run, const std::string& failure, double) {
      if (failure.empty()) ends[i] = std::move(run);
    };
    return run_all(jobs, keep_going);
  };
  if (!run_list(coarse, std::vector<Run>(speeds.size()), first)) return false;
  if (!run_list(on_grid, first, second)) return false;
  for (std::size_t i = 0; i < speeds.size(); ++i) starts_[speeds[i]] = std::move(second[i]);
  return true;
}

bool DesignEvaluator::evaluate(const std::vector<cases::HeaderDesign>& designs,
                               const std::function<bool()>& keep_going, const PointSink& consume,
                               const PointFilter& selected) {
  std::vector<std::pair<std::size_t, std::size_t>> points;  // design, speed
  std::set<std::size_t> unknown;                            // speeds
  // Neighbours in the list are designs at one speed: their time steps are the most alike.
  for (std::size_t s = 0; s < speeds().size(); ++s) {
    for (std::size_t d = 0; d < designs.size(); ++d) {
      if (selected && !selected(d, s)) continue;
      points.emplace_back(d, s);
      if (!starts_.contains(s)) unknown.insert(s);
    }
  }
  if (points.empty()) return true;
  if (!prepare({unknown.begin(), unknown.end()}, keep_going)) return false;
  std::vector<std::optional<models::EngineSpecification>> engines(designs.size());
  std::vector<std::string> refusals(designs.size());
  for (std::size_t d = 0; d < designs.size(); ++d) {
    try {
      engines[d] = engine(designs[d]);
    } catch (const std::invalid_argument& error) {
      refusals[d] = error.what();
    }
  }
  Jobs jobs;
  jobs.count = points.size();
  jobs.make = [&](std::size_t i) {
    const auto [design, speed] = points[i];
    if (!engines[design]) throw std::invalid_argument(refusals[design]);
    return make_run(*engines[design], speed, starts_.at(speed).get());
  };
  jobs.take = [&](std::size_t i, const Run& run, const std::string& failure, double seconds) {
    const auto [design, speed] = points[i];
    DesignPoint point = failure.empty() ? point_of(design, speed, run->result())
                                        : failed_point(design, speed, failure);
    point.seconds = seconds;
    consume(point);
  };
  return run_all(jobs, keep_going);
}

}  // namespace pulsewright::tools
