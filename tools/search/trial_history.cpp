#include "tools/search/trial_history.hpp"

#include <algorithm>

#include "tools/search/search_file.hpp"

namespace pulsewright::tools {

namespace {

constexpr std::chrono::seconds between_saves{10};  // so much is lost at most when it is killed

void store_point(const DesignPoint& point, Trial& trial) {
  trial.faults[point.speed] = point.fault;
  if (point.fault == PointFault::failed) {
    const auto lowest = std::find(trial.faults.begin(), trial.faults.end(), point.fault);
    const auto speed = static_cast<std::size_t>(lowest - trial.faults.begin());
    if (speed == point.speed) trial.failure = point.failure;  // whichever ends first
    return;
  }
  trial.torque[point.speed] = point.torque;
  trial.power[point.speed] = point.power;
}

}  // namespace

TrialHistory::TrialHistory(SearchRecord record, TrialSource& source, std::string path,
                           const std::atomic<bool>& stop, Progress progress)
    : plan_(std::move(record.plan)),
      date_(std::move(record.date)),
      source_(source),
      path_(std::move(path)),
      stop_(stop),
      progress_(std::move(progress)),
      saved_(std::chrono::steady_clock::now()) {
  for (Trial& trial : record.trials) {
    earlier_.push_back(trial.key);
    known_.emplace(trial.key, std::move(trial));
  }
}

std::vector<const Trial*> TrialHistory::trials(const std::vector<TrialKey>& keys) {
  std::vector<TrialKey> missing;
  std::size_t points = 0;
  for (const TrialKey& key : keys) {
    const bool added = is_asked_.emplace(key, true).second;
    if (added) order_.push_back(key);
    const auto known = known_.find(key);
    Trial& trial = known != known_.end()
                       ? known->second
                       : known_.emplace(key, missing_trial(key, plan_.speeds.size())).first->second;
    if (!added || trial.complete()) continue;
    missing.push_back(key);
    points += static_cast<std::size_t>(
        std::count(trial.faults.begin(), trial.faults.end(), TrialFault(PointFault::missing)));
  }
  if (!missing.empty()) {
    std::size_t done = 0;
    const auto is_missing = [&](std::size_t key, std::size_t speed) {
      return known_.at(missing[key]).faults[speed] == PointFault::missing;
    };
    const bool complete = source_.compute(
        missing, is_missing, [&] { return !stop_; },
        [&](const DesignPoint& point) {
          store_point(point, known_.at(missing[point.design]));
          if (progress_) progress_(++done, points);
          if (std::chrono::steady_clock::now() - saved_ < between_saves) return;
          save();
          saved_ = std::chrono::steady_clock::now();
        });
    save();
    if (!complete) throw SearchStopped();
  }
  std::vector<const Trial*> found;
  for (const TrialKey& key : keys) found.push_back(&known_.at(key));
  return found;
}

SearchRecord TrialHistory::record() const {
  SearchRecord record;
  record.plan = plan_;
  record.date = date_;
  record.findings = findings_;
  for (const TrialKey& key : order_) record.trials.push_back(known_.at(key));
  for (const TrialKey& key : earlier_) {
    if (!is_asked_.contains(key)) record.trials.push_back(known_.at(key));
  }
  return record;
}

void TrialHistory::finish(const std::string& findings) {
  findings_ = findings;
  save();
}

void TrialHistory::save() const {
  if (!path_.empty()) write_search(path_, record());
}

}  // namespace pulsewright::tools
