#include "validation/run_cases.hpp"

#include <algorithm>
#include <chrono>
#include <exception>
#include <mutex>
#include <thread>

namespace pulsewright::validation {

namespace {

CaseOutcome run_case(const CaseEntry& entry, Broken broken) {
  CaseOutcome outcome{&entry, {}, {}, 0, true};
  const auto start = std::chrono::steady_clock::now();
  try {
    outcome.report = entry.run(broken);
  } catch (const std::exception& error) {
    outcome.fault = error.what();
  }
  outcome.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  return outcome;
}

}  // namespace

std::vector<CaseOutcome> run_cases(const std::vector<const CaseEntry*>& cases, unsigned jobs,
                                   const std::atomic<bool>& stop, Broken broken,
                                   const std::function<void(const CaseOutcome&)>& done) {
  std::vector<std::size_t> order(cases.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_partition(order.begin(), order.end(),
                        [&](std::size_t i) { return cases[i]->is_long; });
  std::vector<CaseOutcome> outcomes(cases.size());
  for (std::size_t i = 0; i < cases.size(); ++i) outcomes[i].entry = cases[i];
  std::atomic<std::size_t> next{0};
  std::mutex mutex;
  const auto work = [&] {
    while (!stop) {
      const std::size_t i = next++;
      if (i >= order.size()) return;
      CaseOutcome outcome = run_case(*cases[order[i]], broken);
      const std::scoped_lock lock(mutex);
      outcomes[order[i]] = std::move(outcome);
      done(outcomes[order[i]]);
    }
  };
  {
    std::vector<std::jthread> threads;
    for (unsigned j = 1; j < jobs; ++j) threads.emplace_back(work);
    work();
  }
  return outcomes;
}

}  // namespace pulsewright::validation
