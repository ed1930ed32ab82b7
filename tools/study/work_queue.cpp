#include "tools/study/work_queue.hpp"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <map>
#include <mutex>
#include <new>
#include <set>

#include "models/engine/point_batch.hpp"
#include "tools/study/run_list.hpp"

namespace pulsewright::tools {

namespace {

// So many points of one header are begun before those that were begun are done: enough to fill the
// slots of several threads, few enough that a study that is stopped has finished points.
constexpr std::size_t points_begun = 3 * models::PointBatch::slots;

// The runs that are left to do, shared by all threads. Runs of one work unit whose pipes have the
// same numbers of cells form a group, which one thread at a time or several work on.
class RunPool {
 public:
  struct Group {
    std::size_t work_unit = 0;
    std::vector<std::size_t> cells;                       // of its pipes
    std::set<std::pair<std::size_t, std::size_t>> ready;  // point within the work unit, variant
  };
  // A run that is assigned to a thread.
  struct Job {
    std::size_t work_unit = 0, point = 0, variant = 0;
    std::unique_ptr<models::PointSimulation> run;
  };

  RunPool(const Study& study, const std::vector<WorkUnit>& work_units, const OutcomeSink& consume,
          const PointDone& point_done, const RunFilter& wanted)
      : study_(study), consume_(consume), point_done_(point_done) {
    for (std::size_t b = 0; b < work_units.size(); ++b) {
      const std::size_t header = work_units[b].front().first;
      UnitState work_unit;
      for (const StudyPoint& point : work_units[b]) {
        work_unit.points.push_back({point, nullptr, later_runs(point, wanted), 0});
        work_unit.points.back().runs_left = 1 + work_unit.points.back().later.size();
      }
      for (std::size_t v = 0; v < study.variants(header).size(); ++v) {
        work_unit.groups.push_back(group_of(b, study.cells_of_pipes(header, v)));
      }
      remaining_ += work_unit.points.size();
      for (std::size_t p = 0; p < work_unit.points.size(); ++p) {
        groups_[work_unit.groups[Study::first_variant]].ready.emplace(p, Study::first_variant);
      }
      work_units_.push_back(std::move(work_unit));
    }
  }

  const QueueReport& report() const { return report_; }

  // Waits for a group with a run that is ready to go; null when nothing is left to do. last: what
  // the thread worked on before.
  Group* choose(const Group* last, const std::function<bool()>& keep_going) {
    std::unique_lock lock(mutex_);
    while (remaining_ > 0 && keep_going()) {
      Group* best = nullptr;
      for (Group& group : groups_) {
        if (group.ready.empty()) continue;
        // What was begun first, else what is largest.
        const auto worth = [&](const Group& g) {
          return std::pair(last && g.work_unit == last->work_unit, g.ready.size());
        };
        if (!best || worth(group) > worth(*best)) best = &group;
      }
      if (best) return best;
      changed_.wait_for(lock, std::chrono::milliseconds(50));
    }
    return nullptr;
  }

  // The next run of a group; null when none is ready. One that cannot be made has failed.
  std::unique_ptr<Job> assign(Group& group) {
    while (true) {
      auto job = std::make_unique<Job>();
      StudyPoint point;
      const models::PointSimulation* start = nullptr;
      {
        const std::scoped_lock lock(mutex_);
        if (group.ready.empty()) return nullptr;
        const auto first = *group.ready.begin();
        group.ready.erase(group.ready.begin());
        job->work_unit = group.work_unit;
        job->point = first.first;
        job->variant = first.second;
        const Point& assigned = work_units_[group.work_unit].points[job->point];
        point = assigned.place;
        start = assigned.start.get();  // stays until all variants are done
      }
      try {
        job->run = study_.make_run(point.first, point.second, job->variant, start);
        return job;
      } catch (const std::bad_alloc&) {
        throw;  // says nothing about the point
      } catch (const std::exception& error) {
        complete(*job, {std::string("cannot be simulated: ") + error.what(), 0});
      }
    }
  }

  // A run has ended.
  void complete(Job& job, const models::PointBatch::End& end) {
    const std::scoped_lock lock(mutex_);
    UnitState& work_unit = work_units_[job.work_unit];
    Point& point = work_unit.points[job.point];
    PointOutcome outcome;
    outcome.header_index = study_.plan_index(point.place.first, job.variant);
    outcome.speed_index = point.place.second;
    outcome.failure = end.failure;
    outcome.seconds = end.seconds;
    if (end.failure.empty()) {
      outcome.result = &job.run->result();
    } else {
      ++report_.failed;
    }
    consume_(outcome);
    if (job.variant == Study::first_variant) {
      for (const std::size_t v : point.later) {
        groups_[work_unit.groups[v]].ready.emplace(job.point, v);
      }
      if (end.failure.empty()) point.start = std::move(job.run);
    }
    if (--point.runs_left == 0) {
      point.start.reset();
      --remaining_;
      ++report_.computed;
      point_done_(point.place.first, point.place.second);
    }
    changed_.notify_all();
  }

 private:
  struct Point {
    StudyPoint place;
    std::unique_ptr<models::PointSimulation> start;  // its finished first variant
    std::vector<std::size_t> later;                  // variants that start from it
    std::size_t runs_left = 0;
  };
  struct UnitState {
    std::vector<Point> points;
    std::vector<std::size_t> groups;  // by variant
  };

  std::vector<std::size_t> later_runs(const StudyPoint& point, const RunFilter& wanted) const {
    std::vector<std::size_t> later;
    for (std::size_t v = 0; v < study_.variants(point.first).size(); ++v) {
      if (v == Study::first_variant || !study_.has_run(point.first, point.second, v)) continue;
      if (!wanted || wanted(point.first, point.second, v)) later.push_back(v);
    }
    return later;
  }

  std::size_t group_of(std::size_t work_unit, std::vector<std::size_t> cells) {
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      if (groups_[g].work_unit == work_unit && groups_[g].cells == cells) return g;
    }
    groups_.push_back({work_unit, std::move(cells), {}});
    return groups_.size() - 1;
  }

  const Study& study_;
  const OutcomeSink& consume_;
  const PointDone& point_done_;
  std::vector<UnitState> work_units_;
  std::vector<Group> groups_;
  std::size_t remaining_ = 0;  // points
  QueueReport report_;
  std::mutex mutex_;
  std::condition_variable changed_;
};

// What one thread does.
void work_on(RunPool& pool, const std::function<bool()>& keep_going) {
  models::PointBatch batch;
  std::map<const models::PointSimulation*, std::unique_ptr<RunPool::Job>> jobs;
  RunPool::Group* group = nullptr;
  while ((group = pool.choose(group, keep_going))) {
    batch.run(
        [&]() -> models::PointSimulation* {
          auto job = pool.assign(*group);
          if (!job) return nullptr;
          models::PointSimulation* const run = job->run.get();
          jobs.emplace(run, std::move(job));
          return run;
        },
        [&](models::PointSimulation& run, const models::PointBatch::End& end) {
          const auto job = jobs.extract(&run);
          pool.complete(*job.mapped(), end);
        },
        keep_going);
  }
}

}  // namespace

std::vector<WorkUnit> work_units_of(const Study& study, const PointFilter& selected,
                                    std::size_t most) {
  std::vector<WorkUnit> work_units;
  for (std::size_t header = 0; header < study.headers(); ++header) {
    // Low speeds take the most time steps per cycle: they go first, so that all end together.
    WorkUnit points;
    for (std::size_t speed = 0; speed < study.speeds(); ++speed) {
      if (selected(header, speed)) points.emplace_back(header, speed);
    }
    const std::size_t parts = (points.size() + most - 1) / most;
    for (std::size_t part = 0; part < parts; ++part) {
      const auto place = [&](std::size_t i) {
        return points.begin() + static_cast<std::ptrdiff_t>(i * points.size() / parts);
      };
      work_units.emplace_back(place(part), place(part + 1));
    }
  }
  return work_units;
}

QueueReport run_points(const Study& study, const std::vector<WorkUnit>& work_units, unsigned jobs,
                       const std::function<bool()>& keep_going, const OutcomeSink& consume,
                       const PointDone& point_done, const RunFilter& wanted) {
  RunPool pool(study, work_units, consume, point_done, wanted);
  std::size_t points = 0;
  for (const auto& work_unit : work_units) points += work_unit.size();
  on_threads(jobs, keep_going, [&](const std::function<bool()>& go_on) { work_on(pool, go_on); });
  QueueReport report = pool.report();
  report.stopped = report.computed < points;
  return report;
}

QueueReport run_study(const Study& study, unsigned jobs, const std::atomic<bool>& stop,
                      const PointFilter& selected, const OutcomeSink& consume,
                      const PointDone& point_done, const RunFilter& wanted) {
  return run_points(
      study, work_units_of(study, selected, points_begun), jobs, [&] { return !stop; }, consume,
      point_done, wanted);
}

}  // namespace pulsewright::tools
