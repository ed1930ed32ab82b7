// Runs validation cases on several threads.
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "validation/case.hpp"

namespace pulsewright::validation {

struct CaseOutcome {
  const CaseEntry* entry = nullptr;
  CaseReport report;
  std::string fault;  // why the case could not be computed, or empty
  double seconds = 0;
  bool was_run = false;  // false when the run was stopped before this case

  bool passed() const { return was_run && fault.empty() && report.passed(); }
};

// Runs the cases, long ones first, on `jobs` threads, with the given broken variant, and returns
// the outcomes in the order of the cases. `done` is called after each case, by one thread at a
// time. Cases that have not started when `stop` is set are skipped. The entries must outlive the
// outcomes.
std::vector<CaseOutcome> run_cases(const std::vector<const CaseEntry*>& cases, unsigned jobs,
                                   const std::atomic<bool>& stop, Broken broken,
                                   const std::function<void(const CaseOutcome&)>& done);

}  // namespace pulsewright::validation
