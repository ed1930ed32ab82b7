#include "tools/live/live_session.hpp"

#include <exception>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "tools/live/case_answers.hpp"
#include "tools/live/figure_answers.hpp"

namespace pulsewright::tools {

using nlohmann::json;

namespace {

json answer_of(LiveRuns& runs, const json& request) {
  const std::string call = request.at("call").get<std::string>();
  json answer = case_answer(call, request);
  if (answer.is_null()) answer = figure_answer(call, request);
  if (answer.is_null()) answer = runs.answer(call, request);
  if (!answer.is_null()) return answer;
  throw std::invalid_argument(fmt::format("there is no call '{}'", call));
}

}  // namespace

std::string LiveSession::answer(std::string_view request) {
  json answer;
  try {
    answer = answer_of(runs_, json::parse(request));
  } catch (const std::exception& error) {
    answer = {{"error", error.what()}};
  }
  // Foreign text of another encoding is shown by a sign that stands for it.
  return answer.dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace pulsewright::tools
