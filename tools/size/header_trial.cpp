#include "tools/size/header_trial.hpp"

#include <algorithm>
#include <cmath>
#include <exception>
#include <memory>
#include <mutex>
#include <thread>

#include "cases/header_builder.hpp"
#include "models/engine/point_batch.hpp"
#include "tools/study/point_text.hpp"

namespace pulsewright::tools {

namespace {

constexpr std::size_t speeds_of_trial = 8;
constexpr double below_band = 0.85, above_band = 1.08;

struct Task {
  std::size_t header = 0, point = 0;
};

class Trial {
 public:
  Trial(const cases::CaseFile& case_file, double cell_size, const std::atomic<bool>& stop,
        const std::function<void()>& done)
      : stop_(stop), done_(done), settings_(case_file.run.settings) {
    settings_.second_pattern = false;
    settings_.store_traces = false;
    cases::BuildOptions build;
    build.cell_size = cell_size;
    const auto speeds = trial_speeds(case_file.run.band_from, case_file.run.band_to);
    for (const cases::HeaderDesign& header : case_file.headers) {
      engines_.push_back(cases::build_engine(case_file, header, build));
      HeaderTrial trial;
      trial.header = header.name;
      for (const double speed : speeds) trial.points.push_back({speed, 0, 0, "was not run"});
      trials_.push_back(std::move(trial));
    }
    for (std::size_t h = 0; h < engines_.size(); ++h) {
      for (std::size_t p = 0; p < speeds.size(); ++p) tasks_.push_back({h, p});
    }
  }

  // Points one after the other, until none is left.
  void work() {
    std::vector<std::pair<std::unique_ptr<models::PointSimulation>, Task>> running;
    const auto next = [&]() -> models::PointSimulation* {
      const std::size_t i = next_++;
      if (i >= tasks_.size() || failed_) return nullptr;
      const Task task = tasks_[i];
      running.emplace_back(
          std::make_unique<models::PointSimulation>(
              engines_[task.header], trials_[task.header].points[task.point].speed, settings_),
          task);
      return running.back().first.get();
    };
    const auto ended = [&](models::PointSimulation& run, const models::PointBatch::End& end) {
      const auto found = std::find_if(running.begin(), running.end(),
                                      [&](const auto& one) { return one.first.get() == &run; });
      keep(found->second, run, end);
      running.erase(found);
    };
    try {
      models::PointBatch().run(next, ended, [&] { return !stop_ && !failed_; });
    } catch (...) {
      const std::scoped_lock lock(mutex_);
      if (!failed_) error_ = std::current_exception();
      failed_ = true;
    }
  }

  std::vector<HeaderTrial> result() {
    if (error_) std::rethrow_exception(error_);
    return std::move(trials_);
  }

 private:
  void keep(const Task& task, models::PointSimulation& run, const models::PointBatch::End& end) {
    const std::scoped_lock lock(mutex_);
    TrialPoint& point = trials_[task.header].points[task.point];
    point.fault = end.failure;
    if (end.failure.empty()) {
      point.torque = run.result().torque;
      point.power = run.result().power;
      const auto faults = point_faults(run.result(), settings_.most_cycles);
      if (!faults.empty()) point.fault = faults.front();
    }
    done_();
  }

  const std::atomic<bool>& stop_;
  const std::function<void()>& done_;
  models::RunSettings settings_;
  std::vector<models::EngineSpecification> engines_;
  std::vector<HeaderTrial> trials_;
  std::vector<Task> tasks_;
  std::atomic<std::size_t> next_{0};
  std::atomic<bool> failed_{false};
  std::mutex mutex_;
  std::exception_ptr error_;
};

std::vector<TrialPoint> results_of(const HeaderTrial& trial) {
  std::vector<TrialPoint> points;
  for (const TrialPoint& point : trial.points) {
    if (point.fault.empty()) points.push_back(point);
  }
  return points;
}

std::size_t highest(const std::vector<TrialPoint>& points) {
  const auto found =
      std::max_element(points.begin(), points.end(),
                       [](const auto& a, const auto& b) { return a.torque < b.torque; });
  return static_cast<std::size_t>(found - points.begin());
}

}  // namespace

std::vector<double> trial_speeds(double band_from, double band_to) {
  std::vector<double> speeds;
  const double from = below_band * band_from;
  const double to = above_band * band_to;
  for (std::size_t i = 0; i < speeds_of_trial; ++i) {
    const double share = static_cast<double>(i) / (speeds_of_trial - 1);
    speeds.push_back(std::round(60 * (from + share * (to - from)) / 50) * 50 / 60);
  }
  speeds.erase(std::unique(speeds.begin(), speeds.end()), speeds.end());
  return speeds;
}

std::optional<double> HeaderTrial::torque_peak() const {
  const auto results = results_of(*this);
  if (results.empty()) return std::nullopt;
  const std::size_t top = highest(results);
  if (top == 0 || top + 1 == results.size()) return results[top].speed;
  // Newton's form of the parabola through three points.
  const TrialPoint& a = results[top - 1];
  const TrialPoint& b = results[top];
  const TrialPoint& c = results[top + 1];
  const double first = (b.torque - a.torque) / (b.speed - a.speed);
  const double second = ((c.torque - b.torque) / (c.speed - b.speed) - first) / (c.speed - a.speed);
  return second < 0 ? (a.speed + b.speed) / 2 - first / (2 * second) : b.speed;
}

bool HeaderTrial::peak_at_end() const {
  const auto results = results_of(*this);
  if (results.empty()) return false;
  const std::size_t top = highest(results);
  return top == 0 || top + 1 == results.size();
}

std::optional<double> HeaderTrial::highest_power() const {
  std::optional<double> power;
  for (const TrialPoint& point : results_of(*this)) {
    if (!power || point.power > *power) power = point.power;
  }
  return power;
}

std::optional<double> HeaderTrial::band_torque(double from, double to) const {
  const auto results = results_of(*this);
  // All of the band must lie between results.
  if (results.size() < 2 || results.front().speed > from || results.back().speed < to) {
    return std::nullopt;
  }
  double sum = 0;
  for (std::size_t i = 0; i + 1 < results.size(); ++i) {
    const TrialPoint& a = results[i];
    const TrialPoint& b = results[i + 1];
    const double low = std::max(a.speed, from);
    const double high = std::min(b.speed, to);
    if (!(high > low)) continue;
    const auto at = [&](double speed) {
      return a.torque + (speed - a.speed) / (b.speed - a.speed) * (b.torque - a.torque);
    };
    sum += (high - low) * (at(low) + at(high)) / 2;
  }
  return sum / (to - from);
}

std::vector<HeaderTrial> try_headers(const cases::CaseFile& case_file, double cell_size,
                                     unsigned threads, const std::atomic<bool>& stop,
                                     const std::function<void()>& done) {
  Trial trial(case_file, cell_size, stop, done);
  {
    std::vector<std::jthread> others;
    for (unsigned i = 1; i < threads; ++i) others.emplace_back([&] { trial.work(); });
    trial.work();
  }
  return trial.result();
}

}  // namespace pulsewright::tools
