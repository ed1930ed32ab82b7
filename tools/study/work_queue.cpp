#include "tools/study/work_queue.hpp"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <map>
#include <mutex>
#include <set>
#include <thread>

#include "models/engine_lanes.hpp"

namespace pulsewright::tools {

namespace {

// So many points of one header are begun before those that were begun are done: enough to fill the
// seats of several threads, few enough that a study that is stopped has finished points.
constexpr std::size_t points_begun = 3 * models::EngineLanes::seats;

// What is left to do, shared by all threads. Runs of one bundle whose pipes have the same numbers
// of cells form a group, which one thread at a time or several work on.
class OpenRuns {
 public:
  struct Group {
    std::size_t bundle = 0;
    std::vector<std::size_t> cells;                       // of its pipes
    std::set<std::pair<std::size_t, std::size_t>> ready;  // point within the bundle, variant
  };
  // A run that a thread has taken.
  struct Job {
    std::size_t bundle = 0, point = 0, variant = 0;
    std::unique_ptr<models::EngineRun> run;
  };

  OpenRuns(const Study& study, const std::vector<std::vector<StudyPoint>>& bundles,
           const OutcomeSink& consume, const PointDone& point_done)
      : study_(study), consume_(consume), point_done_(point_done) {
    for (std::size_t b = 0; b < bundles.size(); ++b) {
      Bundle bundle;
      for (const StudyPoint& point : bundles[b]) {
        bundle.points.push_back({point, nullptr, study.variants().size()});
      }
      for (std::size_t v = 0; v < study.variants().size(); ++v) {
        bundle.groups.push_back(group_of(b, study.cells_of_pipes(bundles[b].front().first, v)));
      }
      undone_ += bundle.points.size();
      for (std::size_t p = 0; p < bundle.points.size(); ++p) {
        groups_[bundle.groups[Study::first_variant]].ready.emplace(p, Study::first_variant);
      }
      bundles_.push_back(std::move(bundle));
    }
  }

  const QueueReport& report() const { return report_; }

  // Waits for a group with a run that is ready to go; null when nothing is left to do. last: what
  // the thread worked on before.
  Group* choose(const Group* last, const std::function<bool()>& keep_going) {
    std::unique_lock lock(mutex_);
    while (undone_ > 0 && keep_going()) {
      Group* best = nullptr;
      for (Group& group : groups_) {
        if (group.ready.empty()) continue;
        // What was begun first, else what is largest.
        const auto worth = [&](const Group& g) {
          return std::pair(last && g.bundle == last->bundle, g.ready.size());
        };
        if (!best || worth(group) > worth(*best)) best = &group;
      }
      if (best) return best;
      changed_.wait_for(lock, std::chrono::milliseconds(50));
    }
    return nullptr;
  }

  // The next run of a group; null when none is ready.
  std::unique_ptr<Job> take(Group& group) {
    auto job = std::make_unique<Job>();
    StudyPoint point;
    const models::EngineRun* start = nullptr;
    {
      const std::scoped_lock lock(mutex_);
      if (group.ready.empty()) return nullptr;
      const auto first = *group.ready.begin();
      group.ready.erase(group.ready.begin());
      job->bundle = group.bundle;
      job->point = first.first;
      job->variant = first.second;
      const Point& taken = bundles_[group.bundle].points[job->point];
      point = taken.place;
      start = taken.start.get();  // stays until all variants are done
    }
    job->run = study_.make_run(point.first, point.second, job->variant, start);
    return job;
  }

  // A run has ended.
  void give_back(Job& job, const models::EngineLanes::End& end) {
    const std::scoped_lock lock(mutex_);
    Bundle& bundle = bundles_[job.bundle];
    Point& point = bundle.points[job.point];
    PointOutcome outcome;
    outcome.concept_index = study_.plan_index(point.place.first, job.variant);
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
      for (std::size_t v = 0; v < bundle.groups.size(); ++v) {
        if (v != Study::first_variant) groups_[bundle.groups[v]].ready.emplace(job.point, v);
      }
      if (end.failure.empty()) point.start = std::move(job.run);
    }
    if (--point.runs_left == 0) {
      point.start.reset();
      --undone_;
      ++report_.computed;
      point_done_(point.place.first, point.place.second);
    }
    changed_.notify_all();
  }

 private:
  struct Point {
    StudyPoint place;
    std::unique_ptr<models::EngineRun> start;  // its finished first variant
    std::size_t runs_left = 0;
  };
  struct Bundle {
    std::vector<Point> points;
    std::vector<std::size_t> groups;  // by variant
  };

  std::size_t group_of(std::size_t bundle, std::vector<std::size_t> cells) {
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      if (groups_[g].bundle == bundle && groups_[g].cells == cells) return g;
    }
    groups_.push_back({bundle, std::move(cells), {}});
    return groups_.size() - 1;
  }

  const Study& study_;
  const OutcomeSink& consume_;
  const PointDone& point_done_;
  std::vector<Bundle> bundles_;
  std::vector<Group> groups_;
  std::size_t undone_ = 0;  // points
  QueueReport report_;
  std::mutex mutex_;
  std::condition_variable changed_;
};

// What one thread does.
void work_on(OpenRuns& open, const std::function<bool()>& keep_going) {
  models::EngineLanes lanes;
  std::map<const models::EngineRun*, std::unique_ptr<OpenRuns::Job>> jobs;
  OpenRuns::Group* group = nullptr;
  while ((group = open.choose(group, keep_going))) {
    lanes.run(
        [&]() -> models::EngineRun* {
          auto job = open.take(*group);
          if (!job) return nullptr;
          models::EngineRun* const run = job->run.get();
          jobs.emplace(run, std::move(job));
          return run;
        },
        [&](models::EngineRun& run, const models::EngineLanes::End& end) {
          const auto job = jobs.extract(&run);
          open.give_back(*job.mapped(), end);
        },
        keep_going);
  }
}

}  // namespace

std::vector<std::vector<StudyPoint>> bundles_of(const Study& study, const WantedPoint& wanted,
                                                std::size_t most) {
  std::vector<std::vector<StudyPoint>> bundles;
  for (std::size_t header = 0; header < study.concepts(); ++header) {
    // Low speeds take the most time steps per cycle: they go first, so that all end together.
    std::vector<StudyPoint> points;
    for (std::size_t speed = 0; speed < study.speeds(); ++speed) {
      if (wanted(header, speed)) points.emplace_back(header, speed);
    }
    const std::size_t parts = (points.size() + most - 1) / most;
    for (std::size_t part = 0; part < parts; ++part) {
      const auto place = [&](std::size_t i) {
        return points.begin() + static_cast<std::ptrdiff_t>(i * points.size() / parts);
      };
      bundles.emplace_back(place(part), place(part + 1));
    }
  }
  return bundles;
}

QueueReport run_points(const Study& study, const std::vector<std::vector<StudyPoint>>& bundles,
                       unsigned jobs, const std::function<bool()>& keep_going,
                       const OutcomeSink& consume, const PointDone& point_done) {
  OpenRuns open(study, bundles, consume, point_done);
  std::size_t points = 0;
  for (const auto& bundle : bundles) points += bundle.size();
  std::atomic<bool> broken{false};
  std::exception_ptr error;
  std::mutex mutex;
  const std::function<bool()> go_on = [&] { return !broken && keep_going(); };
  const auto work = [&] {
    try {
      work_on(open, go_on);
    } catch (const models::RunStopped&) {
    } catch (...) {
      const std::scoped_lock lock(mutex);
      if (!error) error = std::current_exception();
      broken = true;
    }
  };
  std::vector<std::jthread> threads;
  for (unsigned j = 1; j < jobs; ++j) threads.emplace_back(work);
  work();
  threads.clear();  // joins
  if (error) std::rethrow_exception(error);
  QueueReport report = open.report();
  report.stopped = report.computed < points;
  return report;
}

QueueReport run_study(const Study& study, unsigned jobs, const std::atomic<bool>& stop,
                      const WantedPoint& wanted, const OutcomeSink& consume,
                      const PointDone& point_done) {
  return run_points(
      study, bundles_of(study, wanted, points_begun), jobs, [&] { return !stop; }, consume,
      point_done);
}

}  // namespace pulsewright::tools
