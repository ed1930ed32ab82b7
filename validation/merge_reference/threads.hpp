// A loop over a range of numbers, shared among threads.
#pragma once

#include <algorithm>
#include <cstddef>
#include <thread>
#include <vector>

namespace pulsewright::validation {

// Calls f(begin, end) on equal parts of [0, count), one for each thread, and waits for all. f must
// not throw and must not write what another part reads or writes.
template <class Function>
void parallel_for(std::size_t count, unsigned threads, const Function& f) {
  const std::size_t parts = std::max<std::size_t>(1, std::min<std::size_t>(threads, count));
  std::vector<std::thread> others;
  for (std::size_t i = 1; i < parts; ++i) {
    others.emplace_back([&f, i, parts, count] { f(count * i / parts, count * (i + 1) / parts); });
  }
  f(std::size_t{0}, count / parts);
  for (std::thread& thread : others) thread.join();
}

}  // namespace pulsewright::validation
