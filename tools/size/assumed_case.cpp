#include "tools/size/assumed_case.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <stdexcept>

#include "cases/case_error.hpp"
#include "cases/case_reader.hpp"
#include "cases/engine_figures.hpp"
#include "cases/new_case.hpp"
#include "models/sizing/circle.hpp"
#include "models/sizing/hand_rules.hpp"

namespace pulsewright::tools {

namespace {

using cases::Answers;
using cases::Dimension;

// Even firing orders that most engines of that many cylinders in line have; of eight, the default
// of `new` (common practice, no source).
const std::map<int, std::string>& usual_orders() {
  static const std::map<int, std::string> orders{
      {1, "1"},         {2, "1-2"},         {3, "1-3-2"}, {4, "1-3-4-2"},
      {5, "1-2-4-5-3"}, {6, "1-5-3-6-2-4"}, {8, ""}};
  return orders;
}

class AnswersFromFacts {
 public:
  explicit AnswersFromFacts(const EngineFacts& facts) : facts_(facts) {
    answers_["units"] = facts.inches ? "inch" : "metric";
    add_order();
    add_cylinder();
    add_heads();
    add_speeds();
  }

  Answers& answers() { return answers_; }

  // What was neither given nor follows from what was.
  cases::AnswerNames assumed() const {
    cases::AnswerNames names;
    for (const cases::Question& question : cases::questions()) {
      if (!given_.contains(question.name)) names.emplace(question.name);
    }
    return names;
  }

 private:
  void give(const std::string& name, std::string answer) {
    given_.insert(name);
    answers_[name] = std::move(answer);
  }

  // Of the engine that the questions have in mind, whatever bore was answered: what follows from
  // the facts is scaled here.
  double usual(std::string_view name, Dimension dimension) const {
    const Answers none{{"units", answers_.at("units")}};
    return cases::parse_quantity(cases::answer_of(none, *cases::find_question(name)), dimension);
  }

  std::string length(double metres) const {
    return facts_.inches ? fmt::format("{:.3f} in", metres / 0.0254)
                         : fmt::format("{:.1f} mm", metres * 1e3);
  }

  void scale(const std::string& name, double by) {
    answers_[name] = length(by * usual(name, Dimension::length));
  }

  void add_order() {
    if (facts_.firing_order) {
      give("firing_order", *facts_.firing_order);
    } else if (facts_.cylinders) {
      const auto found = usual_orders().find(*facts_.cylinders);
      if (found == usual_orders().end()) {
        throw std::invalid_argument(fmt::format(
            "engines of {} cylinders have no usual firing order; give it, too", *facts_.cylinders));
      }
      if (!found->second.empty()) answers_["firing_order"] = found->second;
    }
    if (facts_.left_bank) give("left_bank", *facts_.left_bank);
    const std::string order = cases::answer_of(answers_, *cases::find_question("firing_order"));
    count_ = 1 + static_cast<int>(std::count(order.begin(), order.end(), '-'));
    if (facts_.cylinders && *facts_.cylinders != count_) {
      throw std::invalid_argument(fmt::format("the firing order {} has {} cylinders, not {}", order,
                                              count_, *facts_.cylinders));
    }
  }

  void add_cylinder() {
    usual_bore_ = usual("bore", Dimension::length);
    const double usual_stroke = usual("stroke", Dimension::length);
    double bore = facts_.bore.value_or(usual_bore_);
    double stroke = facts_.stroke.value_or(usual_stroke * bore / usual_bore_);
    if (facts_.displacement) {
      const double volume = *facts_.displacement / count_;
      if (facts_.bore && facts_.stroke) {
        const double swept = models::circle_area(bore) * stroke;
        if (std::abs(swept / volume - 1) > 0.01) {
          throw std::invalid_argument(fmt::format(
              "bore and stroke sweep {:.0f} cm3, the displacement is {:.0f} cm3; leave one out",
              swept * count_ * 1e6, *facts_.displacement * 1e6));
        }
      } else if (facts_.bore) {
        stroke = volume / models::circle_area(bore);
      } else if (facts_.stroke) {
        bore = models::circle_diameter(volume / stroke);
      } else {
        bore = std::cbrt(volume / (models::circle_area(1) * usual_stroke / usual_bore_));
        stroke = bore * usual_stroke / usual_bore_;
      }
    }
    const double rod = usual("rod", Dimension::length) * stroke / usual_stroke;
    // More digits than a length needs, so that the displacement is the one that was given.
    const auto exact = [&](double metres) {
      return facts_.inches ? fmt::format("{:.5f} in", metres / 0.0254)
                           : fmt::format("{:.4f} mm", metres * 1e3);
    };
    answers_["bore"] = exact(bore);
    answers_["stroke"] = exact(stroke);
    answers_["rod"] = length(rod);
    if (facts_.bore) given_.insert("bore");
    if (facts_.stroke) given_.insert("stroke");
    if (facts_.displacement && (facts_.bore || facts_.stroke)) {
      given_.insert("bore");  // the other one follows
      given_.insert("stroke");
    }
    bore_ = bore;
  }

  void add_heads() {
    const double scaled = bore_ / usual_bore_;
    const double usual_flow = usual("intake_flow", Dimension::volume_flow);
    const double exhaust_share = usual("exhaust_flow", Dimension::volume_flow) / usual_flow;
    double flow = usual_flow * scaled * scaled;
    if (facts_.head_flow) {
      flow = *facts_.head_flow;
      given_.insert("intake_flow");
    } else if (facts_.power) {
      flow = models::flow_of_power(*facts_.power / count_);
    }
    const double valves = std::max(scaled, std::sqrt(flow / usual_flow));
    for (const char* name : {"exhaust_seat", "intake_seat", "port_diameter", "runner_diameter"}) {
      scale(name, valves);
    }
    for (const char* name :
         {"exhaust_lift", "intake_lift", "exhaust_flow_lift", "intake_flow_lift"}) {
      scale(name, valves);
    }
    answers_["intake_flow"] = fmt::format("{:.1f} cfm", cases::in_unit(flow, "cfm"));
    answers_["exhaust_flow"] =
        fmt::format("{:.1f} cfm", cases::in_unit(exhaust_share * flow, "cfm"));
  }

  void add_speeds() {
    if (!facts_.band) return;
    const auto rpm = [](double speed) { return fmt::format("{:.0f} rpm", 60 * speed); };
    constexpr double step = 250;
    const double lowest = step * std::floor((60 * facts_.band->first - 1000) / step);
    const double highest = step * std::ceil((60 * facts_.band->second + 500) / step);
    answers_["lowest_speed"] = rpm(std::max(lowest, 2 * step) / 60);
    answers_["highest_speed"] = rpm(highest / 60);
    give("band_from", rpm(facts_.band->first));
    give("band_to", rpm(facts_.band->second));
  }

  const EngineFacts& facts_;
  Answers answers_;
  cases::AnswerNames given_;
  int count_ = 0;
  double usual_bore_ = 0, bore_ = 0;
};

}  // namespace

cases::CaseFile assumed_case(const EngineFacts& facts, const std::string& file_name) {
  AnswersFromFacts from(facts);
  Answers& answers = from.answers();
  answers["title"] = "My engine";
  const auto read = [&] {
    return cases::read_case_text(
        cases::case_text_of(answers, from.assumed()), file_name,
        facts.inches ? cases::MessageUnits::inch : cases::MessageUnits::metric);
  };
  cases::CaseFile case_file = read();
  if (!facts.exhaust_opens_deg) return case_file;
  const auto no_usual_cam = [&] {
    return std::invalid_argument(fmt::format("no usual cam opens the exhaust valve {:.4g} deg BBDC",
                                             *facts.exhaust_opens_deg));
  };
  // The duration at the checking lift with which the valve opens there: the centerline stays, so
  // that the opening moves by half of what the duration does, and the ramps hardly change.
  constexpr int most_tries = 5;
  for (int i = 0;; ++i) {
    const double opens = 180 - cases::engine_figures(case_file).exhaust.advertised.opens_deg;
    const double missing = *facts.exhaust_opens_deg - opens;
    if (std::abs(missing) < 0.05) return case_file;
    if (i == most_tries) throw no_usual_cam();
    const double duration =
        cases::parse_quantity(cases::answer_of(answers, *cases::find_question("exhaust_duration")),
                              Dimension::angle) +
        2 * missing;
    answers["exhaust_duration"] = fmt::format("{:.2f} deg", duration);
    try {
      case_file = read();
    } catch (const cases::CaseError&) {
      throw no_usual_cam();
    }
  }
}

}  // namespace pulsewright::tools
