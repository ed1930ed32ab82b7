// Answers the requests of a page, JSON in and JSON out; README.md states them.
#pragma once

#include <string>
#include <string_view>

#include "tools/live/live_runs.hpp"

namespace pulsewright::tools {

class LiveSession {
 public:
  // request: a JSON object with the call and its arguments. Never throws: what cannot be answered
  // comes back as {"error": ...}.
  std::string answer(std::string_view request);

 private:
  LiveRuns runs_;
};

}  // namespace pulsewright::tools
