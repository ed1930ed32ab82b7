// Progress with an estimate of the time left, on stderr, and only where that is a terminal.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>

namespace pulsewright::tools {

class Progress {
 public:
  // total_work: sum of the work of all parts, any unit. Silent when `quiet` or no terminal.
  Progress(std::size_t parts, double total_work, bool quiet);
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  // One part of the given work is done.
  void part_done(double work);

 private:
  void show();

  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
  std::size_t parts_;
  std::size_t done_ = 0;
  double total_;
  double work_ = 0;
  bool shown_;
};

// "1:05", "2:03:04"; seconds rounded.
std::string duration_text(double seconds);

}  // namespace pulsewright::tools
