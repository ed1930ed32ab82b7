#include "tools/cli/progress.hpp"

#include <cmath>
#include <fmt/format.h>
#include <unistd.h>

#include "cases/counted.hpp"
#include "tools/cli/messages.hpp"

namespace pulsewright::tools {

Progress::Progress(std::size_t parts, double total_work, bool quiet)
    : parts_(parts), total_(total_work), shown_(!quiet && isatty(STDERR_FILENO) == 1) {
  if (shown_) show();
}

Progress::~Progress() {
  if (shown_) print_progress(fmt::format("\r{:60}\r", ""));
}

void Progress::part_done(double work) {
  ++done_;
  work_ += work;
  if (shown_) show();
}

void Progress::show() {
  const double elapsed =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
  std::string left = "";
  if (work_ > 0) left = ", " + duration_text(elapsed * (total_ - work_) / work_) + " left";
  print_progress(fmt::format(
      "\r{:60}", fmt::format("{} of {} done{}", done_, cases::counted(parts_, "point"), left)));
}

std::string duration_text(double seconds) {
  const long s = std::lround(std::max(0.0, seconds));
  if (s >= 3600) return fmt::format("{}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60);
  return fmt::format("{}:{:02}", s / 60, s % 60);
}

}  // namespace pulsewright::tools
