// The questions for a new case file, and what is made of the answers.
#include "cases/new_case.hpp"

#include <doctest/doctest.h>
#include <numbers>
#include <set>
#include <string>

#include "cases/case_error.hpp"
#include "cases/case_reader.hpp"
#include "cases/engine_figures.hpp"
#include "cases/parameters.hpp"
#include "tests/near.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::near;

namespace {

CaseFile case_of(const Answers& answers) { return read_case_text(case_text_of(answers), "new"); }

// The key of the first problem, or "" if the answers make a case.
std::string wrong_key(const Answers& answers) {
  try {
    case_of(answers);
    return "";
  } catch (const CaseError& error) {
    return error.problems().front().key;
  }
}

}  // namespace

TEST_CASE("every question has a name of its own, a line of help and a key that the reader knows") {
  std::set<std::string_view> names;
  for (const Question& question : questions()) {
    CAPTURE(question.name);
    CHECK(names.insert(question.name).second);
    CHECK(question.help.size() > 5);
    CHECK(question.help.size() < 100);
    CHECK(find_question(question.name) == &question);
    if (question.key.empty()) continue;
    const auto dot = question.key.rfind('.');
    const bool at_top = dot == std::string_view::npos;
    std::string section(at_top ? "" : question.key.substr(0, dot));
    // Both valves have one section of the table.
    const auto valve = section.find("_valve");
    if (valve != std::string::npos) section = section.substr(valve + 1);
    CHECK(find_parameter(section, at_top ? question.key : question.key.substr(dot + 1)) != nullptr);
  }
  CHECK(find_question("no such question") == nullptr);
}

TEST_CASE("what is usual makes a case, in both units and with every kind") {
  for (const char* units : {"inch", "metric"}) {
    CAPTURE(units);
    CHECK(wrong_key({{"units", units}}) == "");
    CHECK(wrong_key({{"units", units}, {"followers", "solid"}}) == "");
    CHECK(wrong_key({{"units", units}, {"firing_order", "1"}}) == "");
    CHECK(wrong_key({{"units", units}, {"firing_order", "1 2"}, {"intervals", "270, 450"}}) == "");
    CHECK(wrong_key({{"units", units}, {"firing_order", "1-3-4-2"}}) == "");
    CHECK(wrong_key({{"units", units}, {"highest_speed", "6000 rpm"}}) == "");
    CHECK(wrong_key({{"units", units},
                     {"firing_order", "1-5-3-6-2-4"},
                     {"headers", "6-3-1, 6-2-1, equal-length"}}) == "");
    CHECK(wrong_key({{"units", units},
                     {"headers", "divided-collector"},
                     {"exhaust_advertised", "300 deg"},
                     {"intake_advertised", "296 deg"},
                     {"advertised_lift", "0.006 in"}}) == "");
    CHECK(wrong_key({{"units", units},
                     {"headers", "equal-length, 180-degree, stepped-length, 4-2-1"},
                     {"tail_tube", "3 in OD, 16 ga"}}) == "");
  }
}

TEST_CASE("the answers stand in the case") {
  // 4.030 in by 3.48 in, eight cylinders: 355 cubic inches, as engine builders call it.
  const CaseFile usual = case_of({});
  const double cubic_inch = 0.0254 * 0.0254 * 0.0254;
  CHECK(near(engine_figures(usual).displacement / cubic_inch,
             8 * std::numbers::pi / 4 * 4.030 * 4.030 * 3.48, 1e-12));
  CHECK(near(engine_figures(usual).displacement / cubic_inch, 355, 0.002));
  REQUIRE(usual.headers.size() == 2);
  CHECK(usual.headers[1].name == "180-degree");

  // The curves end at the speed that was asked for: 3000 to 7200 rpm in steps of 240 rpm do
  // not fit, of 210 rpm do.
  const CaseFile fast = case_of({{"highest_speed", "7200 rpm"}});
  CHECK(near(60 * fast.run.speeds.back(), 7200, 1e-9));
  CHECK(fast.run.speeds.size() == 21);

  const CaseFile four = case_of({{"firing_order", "1, 3, 4, 2"},
                                 {"bore", "86 mm"},
                                 {"title", "Four \"and\" more \\ x"},
                                 {"primary_length", "31-1/2 in"}});
  CHECK(four.title == "Four \"and\" more \\ x");
  CHECK(four.engine.firing_order == std::vector<int>{1, 3, 4, 2});
  CHECK(near(four.engine.geometry.bore, 0.086, 1e-12));
  REQUIRE(four.headers.size() == 1);
  CHECK(near(four.headers[0].primary_length.at(3), 31.5 * 0.0254, 1e-12));
}

TEST_CASE("a wrong answer is a problem of its question") {
  const auto asks = [](const char* name, const char* answer) {
    const std::string key = wrong_key({{name, answer}});
    CAPTURE(name);
    CAPTURE(key);
    CHECK(is_about(*find_question(name), key));
  };
  asks("bore", "4.030");
  asks("bore", "a lot");
  asks("compression_ratio", "11:1");
  asks("compression_ratio", "40");
  asks("firing_order", "one after the other");
  asks("firing_order", "1-1-2");
  asks("left_bank", "odd");
  asks("fuel", "diesel");
  asks("exhaust_lift", "\"]\nbore = \"1 in");
  asks("intake_centerline", "106 deg");
  asks("primary_tube", "1-7/8 in");
  asks("headers", "tri-y");
  asks("lowest_speed", "3000");
  CHECK_FALSE(is_about(*find_question("bore"), "engine.bore_spacing"));
  CHECK(is_about(*find_question("primary_tube"), "header[3].primary_tube"));
  CHECK(is_about(*find_question("left_bank"), "engine.banks.left"));
}
