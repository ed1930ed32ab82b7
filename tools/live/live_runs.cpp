#include "tools/live/live_runs.hpp"

#include <chrono>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "cases/parameters.hpp"
#include "models/boundary/crank_angle.hpp"
#include "tools/study/figure_rows.hpp"
#include "tools/study/point_text.hpp"

namespace pulsewright::tools {

using nlohmann::json;

namespace {

constexpr double usual_seconds = 0.05;   // of one call of advance
constexpr int steps_between_looks = 16;  // at the clock

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point begin) {
  return std::chrono::duration<double>(Clock::now() - begin).count();
}

// In whole steps: digits beyond them would only be carried along.
json whole_steps(const std::vector<float>& values, double step) {
  json list = json::array();
  for (const float value : values) list.push_back(std::round(value / step) * step);
  return list;
}

// Steps of traces: what a page can show.
double step_of(std::string_view unit) {
  if (unit == "Pa") return 1;
  return unit == "K" ? 0.1 : 1e-6;
}

// An argument that may be left out, or null.
template <class Value>
Value optional_of(const json& request, const char* key, Value otherwise) {
  const auto found = request.find(key);
  return found == request.end() || found->is_null() ? otherwise : found->get<Value>();
}

// A value of the request that a case file could have at this key of [run], in SI.
double checked(double value, const char* key) {
  const cases::Range range = cases::allowed_range("run", key);
  if (value >= range.least && value <= range.greatest) return value;
  throw std::invalid_argument(fmt::format("{:.6g} is not allowed: {}", value,
                                          cases::allowed_text(*cases::find_parameter("run", key))));
}

json traces_json(const models::PointResult& result) {
  json cylinders = json::array();
  std::size_t points = 0;
  for (std::size_t i = 0; i < result.traces.size(); ++i) {
    json& one = cylinders.emplace_back(json{{"number", result.cylinders[i].number}});
    models::for_each_cylinder_trace([&](const auto& trace) {
      const std::vector<float>& values = result.traces[i].*trace.member;
      one[trace.key] = whole_steps(values, step_of(trace.unit));
      points = values.size();
    });
  }
  return {{"angle", models::even_angles(points)}, {"cylinders", cylinders}};
}

json state_of(LiveRun& run) {
  json j{{"done", run.done},
         {"cycles", run.cycles},
         {"most_cycles", run.most_cycles},
         {"started_from", run.started_from > 0 ? json(run.started_from) : json(nullptr)}};
  if (!run.done) return j;
  if (run.failure.empty()) {
    j["point"] = point_json(run.point.result());
    j["faults"] = point_faults(run.point.result(), run.most_cycles);
  } else {
    j["point"] = nullptr;
    j["faults"] = json::array({run.failure});
  }
  return j;
}

void advance(LiveRun& run, double seconds) {
  const auto begin = Clock::now();
  const auto count_cycle = [&run] {
    ++run.cycles;
    return true;
  };
  try {
    for (int steps = 0; !run.done; ++steps) {
      if (steps % steps_between_looks == 0 && seconds_since(begin) >= seconds) break;
      if (const auto step = run.point.begin_step(count_cycle)) {
        models::step_alone(run.stepper, *step);
      } else {
        run.done = true;
      }
    }
  } catch (const solver::Fault& fault) {
    run.failure = run.point.fault(fault).what();
    run.done = true;
  }
  if (run.done) run.stepper.clear();
}

}  // namespace

const cases::CaseFile& LiveRuns::case_of(const std::string& text) {
  if (text != case_.text || case_.headers.empty()) case_ = cases::read_case_text(text, "case");
  return case_;
}

int LiveRuns::begin(const json& request) {
  const cases::CaseFile& case_file = case_of(request.at("text").get<std::string>());
  if (!case_file.has_engine()) {
    throw std::invalid_argument("the case has pipes only, no engine");
  }
  cases::BuildOptions build;
  const double cell_size = optional_of(request, "cell_size", 0.0);
  if (cell_size != 0) build.cell_size = checked(cell_size, "cell_size");
  const double speed = checked(request.at("speed_rpm").get<double>() / 60, "from");
  const auto& header = cases::find_header(case_file, request.at("header").get<std::string>());
  models::RunSettings settings = case_file.run.settings;
  settings.second_pattern = optional_of(request, "second_pattern", settings.second_pattern);
  auto run =
      std::make_unique<LiveRun>(cases::build_engine(case_file, header, build), speed, settings);
  const auto start = runs_.find(optional_of(request, "start", 0));
  if (start != runs_.end() && start->second->done && start->second->failure.empty()) {
    try {
      run->point.start_from(start->second->point);
      run->started_from = start->first;
    } catch (const std::invalid_argument&) {  // of another engine: from rest
    }
  }
  run->point.start();
  run->stepper.assign(0, run->point.network(), &run->point);
  runs_[++last_] = std::move(run);
  return last_;
}

LiveRun& LiveRuns::run_of(const json& request) {
  const int number = request.at("run").get<int>();
  const auto found = runs_.find(number);
  if (found == runs_.end()) throw std::invalid_argument(fmt::format("there is no run {}", number));
  return *found->second;
}

json LiveRuns::answer(const std::string& call, const json& request) {
  if (call == "begin") return {{"run", begin(request)}};
  if (call == "point") {
    const int number = begin(request);
    LiveRun& run = *runs_.at(number);
    advance(run, std::numeric_limits<double>::infinity());
    json j = state_of(run);
    j["run"] = number;
    return j;
  }
  if (call == "advance") {
    LiveRun& run = run_of(request);
    advance(run, optional_of(request, "seconds", usual_seconds));
    return state_of(run);
  }
  if (call == "traces") {
    LiveRun& run = run_of(request);
    if (!run.done || !run.failure.empty()) {
      throw std::invalid_argument("the run has no traces: it is not done, or it failed");
    }
    return traces_json(run.point.result());
  }
  if (call == "runs") {
    json numbers = json::array();
    for (const auto& [number, run] : runs_) numbers.push_back(number);
    return {{"runs", numbers}};
  }
  if (call == "forget") {
    run_of(request);
    runs_.erase(request.at("run").get<int>());
    return json::object();
  }
  return nullptr;
}

}  // namespace pulsewright::tools
