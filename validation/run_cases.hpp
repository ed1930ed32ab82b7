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
  bool computed = false;  // false when the run was stopped before it

  bool passed() const { return computed && fault.empty() && report.passed(); }
};

// Computes the cases, long ones first, on `jobs` threads, and returns the outcomes in the order of
// the cases, with the given part of the program broken. `done` is called by one thread at a time
// after each. Cases that have not begun when `stop` is set are left out. The entries must outlive
// the outcomes.
std::vector<CaseOutcome> run_cases(const std::vector<const CaseEntry*>& cases, unsigned jobs,
                                   const std::atomic<bool>& stop, Broken broken,
                                   const std::function<void(const CaseOutcome&)>& done);

}  // namespace pulsewright::validation
