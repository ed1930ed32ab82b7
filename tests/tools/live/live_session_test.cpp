// Requests of a page and their answers. Points are those of the shipped single cylinder on a grid
// so coarse that one takes a few hundredths of a second.
#include "tools/live/live_session.hpp"

#include <cmath>
#include <cstddef>
#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cases/case_reader.hpp"
#include "cases/case_text.hpp"
#include "cases/header_builder.hpp"
#include "models/engine/point_simulation.hpp"
#include "tests/near.hpp"
#include "tools/study/point_text.hpp"

using namespace pulsewright;
using namespace pulsewright::tests;
using namespace pulsewright::tools;
using nlohmann::json;

namespace {

constexpr double cell_length = 0.09;  // m
constexpr double speed = 5000;        // rev/min

std::string case_text(const std::string& name = "single-cylinder") {
  return cases::read_text_file(std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/" + name + ".toml");
}

json answer_to(LiveSession& session, const std::string& call, json request = json::object()) {
  request["call"] = call;
  return json::parse(session.answer(request.dump()));
}

json point_request(const std::string& header, double rpm = speed) {
  return {
      {"text", case_text()}, {"header", header}, {"speed_rpm", rpm}, {"cell_size", cell_length}};
}

std::string error_of(const json& answer) { return answer.value("error", ""); }

}  // namespace

TEST_CASE("live session: what is no request comes back as an error") {
  LiveSession session;
  CHECK(json::parse(session.answer("{")).contains("error"));
  CHECK(json::parse(session.answer("[]")).contains("error"));
  CHECK(error_of(answer_to(session, "no such")) == "there is no call 'no such'");
  CHECK(error_of(answer_to(session, "point")).find("text") != std::string::npos);
  CHECK(error_of(answer_to(session, "advance", {{"run", 7}})) == "there is no run 7");
  json wrong = point_request("1.2 m");
  wrong["text"] = "title = 1";
  CHECK(error_of(answer_to(session, "point", wrong)).find("case:1: title") != std::string::npos);
  CHECK(error_of(answer_to(session, "point", point_request("1.3 m"))).find("1.3 m") !=
        std::string::npos);
  json fine = point_request("1.2 m");
  fine["cell_size"] = 1e-9;
  CHECK(error_of(answer_to(session, "begin", fine)).find("a length with its unit from") !=
        std::string::npos);
  CHECK(error_of(answer_to(session, "begin", point_request("1.2 m", -1))) != "");
  json pipes = {{"text", case_text("pipe-shock")}, {"header", "tube"}, {"speed_rpm", speed}};
  CHECK(error_of(answer_to(session, "begin", pipes)) == "the case has pipes only, no engine");
}

TEST_CASE("live session: a point is that of the program, in one piece and in slices") {
  const cases::CaseFile case_file = cases::read_case_text(case_text(), "case");
  cases::BuildOptions build;
  build.cell_size = cell_length;
  const auto engine = cases::build_engine(case_file, cases::find_header(case_file, "1.2 m"), build);
  const json expected = json::parse(
      point_json(models::PointSimulation(engine, speed / 60, case_file.run.settings).run()).dump());

  LiveSession session;
  const json whole = answer_to(session, "point", point_request("1.2 m"));
  CHECK(whole["point"] == expected);
  CHECK(whole["done"] == true);
  CHECK(whole["started_from"].is_null());
  CHECK(whole["faults"].empty());

  json run = answer_to(session, "begin", point_request("1.2 m"));
  run["seconds"] = 1e-3;
  json state;
  int slices = 0, cycles = 0;
  do {
    state = answer_to(session, "advance", run);
    REQUIRE(error_of(state) == "");
    CHECK(state["cycles"] >= cycles);
    cycles = state["cycles"];
    ++slices;
  } while (state["done"] == false);
  CHECK(slices > 2);
  CHECK(state["point"] == expected);

  const json traces = answer_to(session, "traces", run);
  REQUIRE(traces["angle"].size() == 720);
  CHECK(traces["angle"][90] == 90);
  REQUIRE(traces["cylinders"].size() == 1);
  CHECK(traces["cylinders"][0]["number"] == 1);
  // At the angle of the depression, the least of the exhaust stroke, the trace has it, within what
  // the pressure changes in a degree beside it.
  const auto pressure = traces["cylinders"][0]["exhaust_pressure"].get<std::vector<double>>();
  REQUIRE(pressure.size() == 720);
  const auto at = static_cast<std::size_t>(
      std::lround(expected["cylinders"][0]["depression_angle"].get<double>()));
  const double depression = pressure[at % 720] - case_file.ambient.pressure;
  CHECK(near(depression, expected["cylinders"][0]["depression"], 0.01));
}

TEST_CASE("live session: a point that does not repeat has its figures and the fault") {
  LiveSession session;
  json request = point_request("1.2 m");
  request["text"] =
      case_text() + "\nleast_cycles = 2\nmost_cycles = 3\n";  // [run] is its last table
  const json state = answer_to(session, "point", request);
  REQUIRE(error_of(state) == "");
  CHECK(state["done"] == true);
  CHECK(state["cycles"] == 3);
  CHECK(state["most_cycles"] == 3);
  CHECK(state["point"]["converged"] == false);
  REQUIRE(state["faults"].size() == 1);
  CHECK(state["faults"][0].get<std::string>().find("does not repeat within 3 cycles") !=
        std::string::npos);
}

TEST_CASE("live session: a run starts from one that is done, and is forgotten") {
  LiveSession session;
  const json first = answer_to(session, "point", point_request("0.8 m"));
  const json rest = answer_to(session, "point", point_request("1.2 m"));
  json request = point_request("1.2 m");
  request["start"] = first["run"];
  const json started = answer_to(session, "point", request);
  CHECK(started["started_from"] == first["run"]);
  CHECK(started["cycles"] <= rest["cycles"]);
  // Both repeat within the tolerance of the case from cycle to cycle.
  CHECK(near(started["point"]["torque"], rest["point"]["torque"], 3e-3));

  request["speed_rpm"] = speed + 500;  // of another speed: from rest
  CHECK(answer_to(session, "point", request)["started_from"].is_null());
  CHECK(answer_to(session, "runs")["runs"] == json({1, 2, 3, 4}));
  CHECK(answer_to(session, "forget", {{"run", first["run"]}}) == json::object());
  CHECK(answer_to(session, "runs")["runs"] == json({2, 3, 4}));
  CHECK(error_of(answer_to(session, "traces", {{"run", first["run"]}})) != "");
  request["speed_rpm"] = speed;
  CHECK(answer_to(session, "begin", request).contains("run"));  // from rest, since it is gone
  request["start"] = nullptr;
  CHECK(answer_to(session, "begin", request).contains("run"));
}

TEST_CASE("live session: the mean over a band and the number that a text means") {
  LiveSession session;
  // The integral of straight lines: 2000 to 3000 at 100 to 200, 3000 to 4000 at 200.
  const json band = answer_to(session, "band",
                              {{"speeds_rpm", {1000, 2000, 3000, 4000}},
                               {"values", {0, 100, 200, 200}},
                               {"from_rpm", 2000},
                               {"to_rpm", 5000}});
  CHECK(near(band["mean"], 175, 1e-12));
  CHECK(near(band["to_rpm"], 4000, 1e-12));
  CHECK(band["error"] > 0);
  CHECK(error_of(answer_to(session, "band",
                           {{"speeds_rpm", json::array()},
                            {"values", json::array()},
                            {"from_rpm", 1},
                            {"to_rpm", 2}})) != "");

  const auto value = [&](const char* section, const char* key, const char* text) {
    return answer_to(session, "value",
                     {{"section", section}, {"key", key}, {"text", text}, {"unit", "mm"}});
  };
  CHECK(near(value("engine", "bore", "4 in")["in_unit"], 101.6, 1e-12));
  CHECK(near(value("header", "primary_tube", "2 in ID")["si"], 0.0508, 1e-12));
  for (const char* wrong : {"4", "4 furlong", "0x10 mm", "1e400 mm", "nan mm", "mm", ""}) {
    CAPTURE(wrong);
    CHECK(error_of(value("engine", "bore", wrong)) != "");
  }
  CHECK(error_of(value("engine", "boar", "4 in")) != "");
}

TEST_CASE("live session: figures have key, unit and meaning") {
  LiveSession session;
  const json figures = answer_to(session, "figures");
  for (const char* part : {"point", "cylinder", "merge", "pipe", "trace"}) {
    CAPTURE(part);
    REQUIRE(!figures[part].empty());
    for (const json& row : figures[part]) CHECK(!row["text"].get<std::string>().empty());
  }
}
