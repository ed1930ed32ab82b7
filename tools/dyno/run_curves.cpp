#include "tools/dyno/run_curves.hpp"

#include <exception>
#include <fmt/format.h>
#include <map>
#include <mutex>
#include <new>
#include <thread>
#include <utility>

#include "models/engine/point_batch.hpp"
#include "tools/study/point_text.hpp"

namespace pulsewright::tools {

namespace {

// Points whose pipes have the same numbers of cells and whose gas is one are stepped together.
std::vector<std::vector<std::size_t>> groups_of(std::span<const CurvePoint> points) {
  std::vector<std::vector<std::size_t>> groups;
  std::map<std::vector<double>, std::size_t> known;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const models::CombustionSpecification& burning = points[i].engine->combustion;
    std::vector<double> kind{burning.hydrogen_to_carbon, burning.oxygen_to_carbon};
    for (const auto& pipe : points[i].engine->pipes) {
      kind.push_back(static_cast<double>(pipe.cells()));
    }
    const auto [at, added] = known.emplace(std::move(kind), groups.size());
    if (added) groups.emplace_back();
    groups[at->second].push_back(i);
  }
  return groups;
}

class CurvePool {
 public:
  CurvePool(std::span<const CurvePoint> points, const std::function<bool()>& keep_going,
            const std::function<void()>& point_done)
      : points_(points),
        keep_going_(keep_going),
        point_done_(point_done),
        groups_(groups_of(points)),
        next_(groups_.size(), 0),
        outcomes_(points.size()) {}

  // What one thread does.
  void work() {
    models::PointBatch batch;
    for (std::size_t group = 0; group < groups_.size(); ++group) {
      std::map<const models::PointSimulation*, std::size_t> numbers;
      batch.run([&] { return next(group, numbers); },
                [&](models::PointSimulation& run, const models::PointBatch::End& end) {
                  complete(numbers.at(&run), end);
                },
                [&] { return go_on(); });
    }
  }

  void fail(std::exception_ptr error) {
    const std::scoped_lock lock(mutex_);
    if (!error_) error_ = std::move(error);
    broken_ = true;
  }

  std::vector<CurveOutcome> outcomes() {
    if (error_) std::rethrow_exception(error_);
    return std::move(outcomes_);
  }

 private:
  bool go_on() {
    const std::scoped_lock lock(mutex_);
    return !broken_ && (!keep_going_ || keep_going_());
  }

  models::PointSimulation* next(std::size_t group,
                                std::map<const models::PointSimulation*, std::size_t>& numbers) {
    while (true) {
      std::size_t i = 0;
      {
        const std::scoped_lock lock(mutex_);
        if (next_[group] == groups_[group].size()) return nullptr;
        i = groups_[group][next_[group]++];
      }
      try {
        auto run = std::make_unique<models::PointSimulation>(*points_[i].engine, points_[i].speed,
                                                             points_[i].settings);
        if (points_[i].start) run->start_from(*points_[i].start);
        numbers[run.get()] = i;
        const std::scoped_lock lock(mutex_);
        outcomes_[i].run = std::move(run);
        return outcomes_[i].run.get();
      } catch (const std::bad_alloc&) {
        throw;  // says nothing about the point
      } catch (const std::exception& error) {
        const std::scoped_lock lock(mutex_);
        outcomes_[i].fault = fmt::format("cannot be simulated: {}", error.what());
        if (point_done_) point_done_();
      }
    }
  }

  void complete(std::size_t i, const models::PointBatch::End& end) {
    const std::scoped_lock lock(mutex_);
    CurveOutcome& outcome = outcomes_[i];
    if (!end.failure.empty()) {
      outcome.fault = end.failure;
      outcome.run.reset();
    } else {
      const auto faults = point_faults(outcome.result(), points_[i].settings.most_cycles);
      if (!faults.empty()) outcome.fault = faults.front();
    }
    if (point_done_) point_done_();
  }

  std::span<const CurvePoint> points_;
  const std::function<bool()>& keep_going_;
  const std::function<void()>& point_done_;
  std::vector<std::vector<std::size_t>> groups_;
  std::vector<std::size_t> next_;  // by group
  std::vector<CurveOutcome> outcomes_;
  std::mutex mutex_;
  std::exception_ptr error_;
  bool broken_ = false;
};

}  // namespace

std::vector<CurveOutcome> run_curves(std::span<const CurvePoint> points, unsigned jobs,
                                     const std::function<bool()>& keep_going,
                                     const std::function<void()>& point_done) {
  CurvePool pool(points, keep_going, point_done);
  const auto work = [&] {
    try {
      pool.work();
    } catch (...) {
      pool.fail(std::current_exception());
    }
  };
  {
    std::vector<std::jthread> threads;
    for (unsigned i = 1; i < jobs; ++i) threads.emplace_back(work);
    work();
  }
  return pool.outcomes();
}

models::RunSettings figure_settings(const models::RunSettings& of_case) {
  models::RunSettings settings = of_case;
  settings.second_pattern = false;
  settings.store_traces = false;
  settings.store_wave_diagram = false;
  return settings;
}

}  // namespace pulsewright::tools
