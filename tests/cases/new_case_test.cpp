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
    CHECK(question.help.size() <= 76);  // behind "#   " in a file of answers
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
    CHECK(wrong_key({{"units", units}, {"firing_order", "1 2"}, {"intervals", "270-450"}}) == "");
    CHECK(wrong_key({{"units", units}, {"firing_order", "1-3-4-2"}}) == "");
    CHECK(wrong_key({{"units", units}, {"highest_speed", "6000 rpm"}}) == "");
    CHECK(wrong_key({{"units", units},
                     {"firing_order", "1-5-3-6-2-4"},
                     {"headers", "6-3-1, 6-2-1, equal-length"}}) == "");
    CHECK(wrong_key({{"units", units}, {"cam_card", "events"}}) == "");
    CHECK(wrong_key({{"units", units}, {"runners_from", "plenum"}, {"humidity", "60 %"}}) == "");
    for (const char* muffler : {"straight-through", "chambered", "back-pressure"}) {
      CHECK(wrong_key({{"units", units}, {"muffler", muffler}}) == "");
      CHECK(wrong_key({{"units", units}, {"firing_order", "1"}, {"muffler", muffler}}) == "");
    }
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
  asks("bore", "a lot");
  asks("compression_ratio", "11:2");
  asks("compression_ratio", "40");
  asks("firing_order", "one after the other");
  asks("firing_order", "1-1-2");
  asks("left_bank", "odd");
  asks("fuel", "diesel");
  asks("exhaust_lift", "\"]\nbore = \"1 in");
  asks("intake_centerline", "106 deg BBDC");
  asks("primary_tube", "1-7/8 in");
  asks("muffler", "glasspack");
  asks("runners_from", "carburettor");
  asks("humidity", "150 %");
  asks("headers", "tri-y");
  asks("lowest_speed", "3000");
  CHECK_FALSE(is_about(*find_question("bore"), "engine.bore_spacing"));
  CHECK(is_about(*find_question("primary_tube"), "header[3].primary_tube"));
  CHECK(is_about(*find_question("left_bank"), "engine.banks.left"));
}

TEST_CASE("sizes that go with the bore follow it, without a remark") {
  for (const char* bore : {"52 mm", "70 mm", "86 mm", "4.030 in", "4.6 in"}) {
    for (const char* order : {"1", "1-3-4-2", "1-8-4-3-6-5-7-2"}) {
      for (const char* valves : {"1", "2"}) {
        CAPTURE(bore);
        CAPTURE(order);
        CAPTURE(valves);
        const CaseFile c = case_of({{"units", "metric"},
                                    {"bore", bore},
                                    {"firing_order", order},
                                    {"exhaust_valves", valves},
                                    {"intake_valves", valves}});
        for (const Problem& remark : c.remarks) {
          CAPTURE(to_text(remark));
          CHECK(false);
        }
        const double seat = c.exhaust_valve.seat_diameter / c.engine.geometry.bore;
        CHECK(near(seat, *valves == '1' ? 0.382 : 0.31, 0.02));
      }
    }
  }
}

TEST_CASE("a 180-degree header is proposed where it crosses something") {
  const auto headers = [](const char* order, const char* left) {
    return answer_of({{"firing_order", order}, {"left_bank", left}}, *find_question("headers"));
  };
  CHECK(headers("1-8-4-3-6-5-7-2", "1 3 5 7") == "equal-length, 180-degree");
  CHECK(headers("1-5-3-7-4-8-2-6", "1 2 3 4") == "equal-length");  // flat-plane
  CHECK(headers("1-6-5-4-3-2", "1 3 5") == "equal-length");
  CHECK(headers("1-3-4-2", "none") == "equal-length");
}

TEST_CASE("what an answer leaves out is that of the default") {
  const auto completed = [](const char* name, const char* answer, const char* units = "inch") {
    return completed_answer({{"units", units}}, *find_question(name), answer);
  };
  CHECK(completed("bore", "4.125") == "4.125 in");
  CHECK(completed("bore", "104", "metric") == "104 mm");
  CHECK(completed("bore", "4.125 in") == "4.125 in");
  CHECK(completed("bore", "wide") == "wide");
  CHECK(completed("primary_tube", "1-3/4") == "1-3/4 in OD, 16 ga");
  CHECK(completed("primary_tube", "1-3/4 in") == "1-3/4 in OD, 16 ga");
  CHECK(completed("primary_tube", "2 in ID") == "2 in ID");
  CHECK(completed("primary_tube", "1-3/4 in OD, 18 ga") == "1-3/4 in OD, 18 ga");
  CHECK(completed("tail_tube", "3") == "3 in OD, 16 ga");
  CHECK(completed("tail_tube", "none") == "none");
  CHECK(completed("intake_centerline", "106") == "106 deg ATDC");
  CHECK(completed("exhaust_opens", "74") == "74 deg BBDC");
  CHECK(completed("exhaust_opens", "74 deg") == "74 deg BBDC");
  CHECK(completed("intake_opens", "4 deg ATDC") == "4 deg ATDC");
  CHECK(completed("exhaust_advertised", "294") == "294 deg");
  CHECK(completed("exhaust_flow", "230") == "230 cfm");
  CHECK(completed("highest_speed", "7500") == "7500 rpm");
  CHECK(completed("humidity", "60") == "60 %");
  CHECK(completed("compression_ratio", "9.8:1") == "9.8:1");
  CHECK(completed("firing_order", "1") == "1");
  CHECK(completed("title", "350") == "350");
  const CaseFile c = case_of({{"compression_ratio", "9.8:1"}, {"humidity", "60 %"}});
  CHECK(c.engine.geometry.compression_ratio == 9.8);
  CHECK(c.text.find("compression_ratio = 9.8\n") != std::string::npos);
  CHECK(c.combustion.water_vapour > 0);
}

TEST_CASE("problems are told in the words of the questions") {
  const auto said = [](const Answers& answers, const char* name) {
    try {
      case_of(answers);
    } catch (const CaseError& error) {
      const Question& question = *find_question(name);
      for (const Problem& problem : error.problems()) {
        if (!is_about(question, problem.key)) continue;
        const Problem words = in_words(problem, question, answers);
        return words.message + "; " + words.advice;
      }
    }
    return std::string();
  };
  CHECK(said({{"bore", "4.030 cm2"}}, "bore").find("for example: 4.030 in") != std::string::npos);
  const std::string lift =
      said({{"exhaust_lift", "1.9 in"}, {"exhaust_flow_lift", "1.9 in"}}, "exhaust_lift");
  CHECK(lift.find("seat_diameter") == std::string::npos);
  CHECK(lift.find("exhaust valve seat") != std::string::npos);
  // Asked once for both valves.
  CHECK(is_about(*find_question("checking_lift"), "intake_valve.cam.checking_lift"));
  CHECK(is_about(*find_question("checking_lift"), "exhaust_valve.cam.timing_lift"));
  CHECK_FALSE(is_about(*find_question("exhaust_lift"), "intake_valve.cam.lift"));
}

TEST_CASE("the card's events, the plenum and the muffler stand in the case") {
  const CaseFile events = case_of({{"cam_card", "events"}, {"exhaust_opens", "60 deg BBDC"}});
  REQUIRE(events.exhaust_lobe.has_value());
  CHECK(near(timing_of_lobe(*events.exhaust_lobe, 0.050 * 0.0254 * 1.6)->opens_deg, 120, 1e-9));
  const CaseFile plenum = case_of({{"runners_from", "plenum"}});
  CHECK(plenum.intake.source == IntakeSource::plenum);
  // 355 in3 at 7500 rpm: 355 x 7500 / 3456 = 770 cfm, to the next 10.
  CHECK(near(plenum.intake.throttle_flow, 780 * 0.3048 * 0.3048 * 0.3048 / 60, 1e-9));
  const CaseFile muffled = case_of({{"muffler", "straight-through"}});
  REQUIRE(muffled.headers.front().parts.size() == 2);
  CHECK(muffled.headers.front().parts[0].kind == PartKind::straight_through);
  CHECK(near(muffled.headers.front().parts[0].length, 14 * 0.0254, 1e-12));
}
