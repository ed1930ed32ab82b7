#include "tools/live/answer.hpp"

#include <string>

#include "tools/live/live_session.hpp"

// One page or worker has one instance of the module, and with it one session.
extern "C" const char* answer(const char* request) {
  static pulsewright::tools::LiveSession session;
  static std::string kept;
  kept = session.answer(request);
  return kept.c_str();
}
