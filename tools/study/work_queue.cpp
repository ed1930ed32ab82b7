#include "tools/study/work_queue.hpp"

#include <exception>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

#include "models/run_fault.hpp"

namespace pulsewright::tools {

std::vector<std::pair<std::size_t, std::size_t>> points_of(const Study& study,
                                                           const WantedPoint& wanted) {
  // Low speeds take the most time steps per cycle: they go first, so that all end together.
  std::vector<std::pair<std::size_t, std::size_t>> points;
  for (std::size_t speed = 0; speed < study.speeds(); ++speed) {
    for (std::size_t header = 0; header < study.concepts(); ++header) {
      if (wanted(header, speed)) points.emplace_back(header, speed);
    }
  }
  return points;
}

QueueReport run_study(const Study& study, unsigned jobs, const std::atomic<bool>& stop,
                      const WantedPoint& wanted, const OutcomeSink& consume,
                      const PointDone& point_done) {
  const auto points = points_of(study, wanted);
  QueueReport report;
  std::atomic<std::size_t> next{0};
  std::atomic<bool> broken{false};
  std::exception_ptr error;
  std::mutex mutex;
  const auto keep_going = [&] { return !stop && !broken; };
  const auto work = [&] {
    while (keep_going()) {
      const std::size_t i = next++;
      if (i >= points.size()) return;
      const auto [header, speed] = points[i];
      try {
        study.run_point(
            header, speed,
            [&](const PointOutcome& outcome) {
              const std::scoped_lock lock(mutex);
              if (outcome.result == nullptr) ++report.failed;
              consume(outcome);
            },
            keep_going);
        const std::scoped_lock lock(mutex);
        ++report.computed;
        point_done(header, speed);
      } catch (const models::RunStopped&) {
        return;
      } catch (...) {
        const std::scoped_lock lock(mutex);
        if (!error) error = std::current_exception();
        broken = true;
        return;
      }
    }
  };
  std::vector<std::jthread> threads;
  for (unsigned j = 1; j < jobs; ++j) threads.emplace_back(work);
  work();
  threads.clear();  // joins
  if (error) std::rethrow_exception(error);
  report.stopped = report.computed < points.size();
  return report;
}

}  // namespace pulsewright::tools
