// What the benches share: how cell updates are counted, and the demo case.
#pragma once

#include <benchmark/benchmark.h>

#include "cases/case_reader.hpp"

namespace pulsewright::bench {

// Cell updates per second of a bench that did `updates` of them in all.
inline void count_cells(benchmark::State& state, double updates) {
  state.counters["cell_updates"] =
      benchmark::Counter(updates, benchmark::Counter::kIsRate, benchmark::Counter::kIs1000);
}

inline const cases::CaseFile& demo() {
  static const cases::CaseFile case_file =
      cases::read_case_file(PULSEWRIGHT_SOURCE_DIR "/cases/hillclimb-v8.toml");
  return case_file;
}

}  // namespace pulsewright::bench
