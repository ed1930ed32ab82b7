// Headers proposed for cases, and the case files that hold them.
#include "tools/size/header_proposal.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>

#include "cases/case_reader.hpp"
#include "cases/engine_figures.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"
#include "tools/size/assumed_case.hpp"
#include "tools/size/header_trial.hpp"
#include "tools/size/size_text.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;
using tests::inch;
using tests::near;

namespace {

std::vector<std::string> names_of(const cases::CaseFile& case_file) {
  std::vector<std::string> names;
  for (const auto& header : case_file.headers) names.push_back(header.name);
  return names;
}

HeaderProposal proposal_for(const EngineFacts& facts) {
  return propose_headers(assumed_case(facts, "assumed.toml"), {}, facts.inches);
}

}  // namespace

TEST_CASE("an engine of which only the displacement is known") {
  EngineFacts facts;
  facts.displacement = 5.7e-3;
  facts.band = {5000 / 60.0, 6500 / 60.0};
  const cases::CaseFile case_file = assumed_case(facts, "assumed.toml");
  CHECK(near(cases::engine_figures(case_file).displacement, 5.7e-3, 1e-5, 0));
  CHECK(near(60 * case_file.run.band_from, 5000, 1e-9, 0));
  // What was given is not marked, what was not is.
  CHECK(case_file.text.find("band_from = \"5000 rpm\"\n") != std::string::npos);
  CHECK(case_file.text.find("fuel = \"pump-petrol\"  # assumed\n") != std::string::npos);
  CHECK(case_file.text.find("rod = ") != std::string::npos);
  // A cross-plane V8: banks uneven, made even by crossing.
  const HeaderProposal proposal = propose_headers(case_file, {}, true);
  CHECK(names_of(proposal.case_file) ==
        std::vector<std::string>{"equal-length", "180-degree", "stepped-length", "4-2-1"});
  // Its text is a case file that is read again without remarks.
  const cases::CaseFile again = cases::read_case_text(proposal.case_file.text, "again.toml");
  CHECK(again.remarks.empty());
  CHECK(names_of(again) == names_of(proposal.case_file));
}

TEST_CASE("the shop's lengths: 30.8 in for 5800 rpm down to 24.1 in for 7200 rpm") {
  // Common practice, no source; exhaust valve opens about 50 deg BBDC; allow 0.2 in from the valve.
  EngineFacts facts;
  facts.displacement = 6.2e-3;
  facts.band = {5800 / 60.0, 7200 / 60.0};
  facts.head_flow = cases::parse_quantity("330 cfm", cases::Dimension::volume_flow);
  facts.exhaust_opens_deg = 50;
  facts.inches = true;
  const HeaderProposal proposal = proposal_for(facts);
  CHECK(near(proposal.input.exhaust_opens_deg, 50, 0, 0.06));
  CHECK(near(proposal.sizes.longest, 30.8 * inch, 0, 0.2 * inch));
  CHECK(near(proposal.sizes.shortest, 24.1 * inch, 0, 0.2 * inch));
  // About 680 hp by the flow of the heads: tube of 2 to 2-1/8 in.
  CHECK(near(proposal.input.power / 745.69987158, 680, 0.02, 0));
  const std::string tube(proposal.sizes.primary->outside);
  CHECK((tube == "2 in" || tube == "2-1/8 in"));
  // Stepped lengths: shortest for the leading of the two that fire 90 deg apart, 5 before 7 and 8
  // before 4; longest for the trailing ones; the others in steps of about 2 in between.
  const cases::HeaderDesign& stepped = cases::find_header(proposal.case_file, "stepped-length");
  const auto& length = stepped.primary_length;
  CHECK(length.at(5) == length.at(8));
  CHECK(length.at(7) == length.at(4));
  for (const auto& one : length) {
    CAPTURE(one.first);
    CHECK(one.second >= length.at(5));
    CHECK(one.second <= length.at(7));
  }
  const double step = (length.at(7) - length.at(5)) / 3;
  CHECK(near(step, 2 * inch, 0, 0.5 * inch));
  CHECK(near(length.at(3) - length.at(5), step, 1e-6, 0));
  CHECK(near(length.at(7) - length.at(1), step, 1e-6, 0));
  // From the flange, to a quarter of an inch.
  const double port = proposal.case_file.exhaust.port_length;
  CHECK(near(length.at(5), proposal.sizes.shortest - port, 0, inch / 8 + 1e-9));
}

TEST_CASE("engines in line, and a single") {
  EngineFacts four;
  four.displacement = 2e-3;
  four.cylinders = 4;
  CHECK(names_of(proposal_for(four).case_file) ==
        std::vector<std::string>{"equal-length", "4-2-1"});
  EngineFacts six = four;
  six.cylinders = 6;
  CHECK(names_of(proposal_for(six).case_file) == std::vector<std::string>{"equal-length"});
  EngineFacts single;
  single.bore = 0.1;
  single.stroke = 0.063;
  single.cylinders = 1;
  const HeaderProposal one = proposal_for(single);
  CHECK(one.sizes.collector == nullptr);
  CHECK(one.case_file.headers.front().collector_length == 0);
}

TEST_CASE("figures that contradict each other, and too few of them") {
  EngineFacts facts;
  facts.bore = 0.1;
  facts.stroke = 0.08;
  facts.displacement = 3e-3;
  CHECK_THROWS_AS(assumed_case(facts, "a.toml"), std::invalid_argument);
  EngineFacts seven;
  seven.cylinders = 7;
  CHECK_THROWS_AS(assumed_case(seven, "a.toml"), std::invalid_argument);
  EngineFacts order;
  order.firing_order = "1-3-2";
  order.cylinders = 4;
  CHECK_THROWS_AS(assumed_case(order, "a.toml"), std::invalid_argument);
  // A valve that opens before the charge has burned: not an error of a text that no one wrote.
  EngineFacts early;
  early.exhaust_opens_deg = 149;
  CHECK_THROWS_WITH_AS(assumed_case(early, "a.toml"),
                       "no usual cam opens the exhaust valve 149 deg BBDC", std::invalid_argument);
}

TEST_CASE("shipped cases get headers that can be read, their text is kept") {
  for (const std::string name : {"hillclimb-v8.toml", "flat-six.toml", "inline-four.toml",
                                 "single-cylinder.toml", "dyno-single.toml", "tuned-single.toml"}) {
    CAPTURE(name);
    const cases::CaseFile before = cases::read_case_file(tests::shipped_folder() / name);
    const HeaderProposal proposal = propose_headers(before, {}, false);
    CHECK(!proposal.case_file.headers.empty());
    CHECK(proposal.case_file.title == before.title);
    CHECK(proposal.case_file.run.speeds == before.run.speeds);
    const std::string text = size_text(proposal, {}, UnitSystem::metric);
    CHECK(text.find("Where the rules disagree") != std::string::npos);
    // What names the headers of the case goes with them, and it is said.
    const bool named = name == "dyno-single.toml" || name == "tuned-single.toml";
    CHECK((text.find("[[dyno]] and [tune] of the case are left out") != std::string::npos) ==
          named);
    CHECK(proposal.case_file.dyno.empty());
    CHECK(proposal.case_file.tune.variables.empty());
    CHECK(text.find("common practice, no source") != std::string::npos);
  }
  const cases::CaseFile pipes = cases::read_case_file(tests::shipped_folder() / "pipe-shock.toml");
  CHECK_THROWS_AS(propose_headers(pipes, {}, false), std::invalid_argument);
  // One speed is no band.
  const cases::CaseFile street = cases::read_case_file(tests::shipped_folder() / "street-v8.toml");
  CHECK_THROWS_AS(propose_headers(street, {}, false), std::invalid_argument);
}

TEST_CASE("wishes take the place of what the case implies") {
  const cases::CaseFile case_file =
      cases::read_case_file(tests::shipped_folder() / "hillclimb-v8.toml");
  const HeaderProposal usual = propose_headers(case_file, {}, true);
  SizingWishes wishes;
  wishes.power = 2 * usual.input.power;
  wishes.torque_peak = 7000 / 60.0;
  const HeaderProposal wished = propose_headers(case_file, wishes, true);
  CHECK(wished.sizes.primary->outside_diameter > usual.sizes.primary->outside_diameter);
  CHECK(near(wished.sizes.needed_intake_flow, 2 * usual.sizes.needed_intake_flow, 1e-9, 0));
}

TEST_CASE("lengths as a case file takes them") {
  CHECK(handy_length(30.8 * inch, true) == "30-3/4 in");
  CHECK(handy_length(24 * inch, true) == "24 in");
  CHECK(handy_length(0.5 * inch, true) == "1/2 in");
  CHECK(handy_length(0.7821, false) == "780 mm");
}

TEST_CASE("peaks and means of a trial") {
  // 100 - (n - 80)^2 / 10 at 60, 70, 90 and 100 rev/s: vertex 80, where no point is.
  HeaderTrial trial;
  for (const double n : {60.0, 70.0, 90.0, 100.0}) {
    trial.points.push_back({n, 100 - (n - 80) * (n - 80) / 10, 2 * n, ""});
  }
  REQUIRE(trial.torque_peak().has_value());
  CHECK(near(trial.torque_peak().value_or(0), 80, 1e-9, 0));
  CHECK(!trial.peak_at_end());
  CHECK(trial.highest_power().value_or(0) == 200);
  // Trapezoids of 60, 90, 90, 60 over 10, 20 and 10 rev/s: (750 + 1800 + 750) / 40.
  CHECK(near(trial.band_torque(60, 100).value_or(0), 82.5, 1e-12, 0));
  CHECK(!trial.band_torque(50, 100).has_value());
  trial.points[1].fault = "failed";
  trial.points[0].torque = 200;
  CHECK(trial.torque_peak().value_or(0) == 60);
  CHECK(trial.peak_at_end());
  trial.points[0].fault = trial.points[2].fault = trial.points[3].fault = "failed";
  CHECK(!trial.torque_peak().has_value());
  CHECK(!trial.highest_power().has_value());
}

TEST_CASE("the speeds of a trial hold the band") {
  const auto speeds = trial_speeds(4500 / 60.0, 7000 / 60.0);
  CHECK(speeds.size() == 8);
  CHECK(std::is_sorted(speeds.begin(), speeds.end()));
  CHECK(speeds.front() < 4500 / 60.0);
  CHECK(speeds.back() > 7000 / 60.0);
}
