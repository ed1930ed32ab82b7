#include "tools/spread/line.hpp"

#include <cstdint>
#include <cstring>
#include <fmt/format.h>
#include <stdexcept>

#include "models/run_fault.hpp"
#include "tools/spread/point_bytes.hpp"

namespace pulsewright::tools {

std::string bytes_of_point(Point point) {
  const std::uint64_t numbers[2] = {point.first, point.second};
  return {reinterpret_cast<const char*>(numbers), sizeof numbers};
}

Point point_of(const std::string& bytes) {
  std::uint64_t numbers[2] = {};
  if (bytes.size() != sizeof numbers) throw std::runtime_error("crew: a message of wrong size");
  std::memcpy(numbers, bytes.data(), sizeof numbers);
  return {numbers[0], numbers[1]};
}

std::string identity_of(const StudyPlan& plan) {
  std::string text = plan.program_version + '\n' + plan.commit + '\n' + plan.settings_json + '\n' +
                     plan.case_text + '\n';
  for (const double speed : plan.speeds) text += fmt::format("{:a} ", speed);
  for (const ConceptPlan& c : plan.concepts) {
    text += fmt::format("\n{} {} {:a}", c.group, c.junction_law, c.cell_size);
  }
  return text;
}

void compute_points(const Study& study, const std::atomic<bool>& stop, Line& line) {
  const std::string identity = identity_of(study.plan());
  while (true) {
    line.say(Tag::ready, identity);
    const Message order = line.hear();
    if (order.tag == Tag::no_more) return;
    try {
      const auto [header, speed] = point_of(order.bytes);
      study.run_point(
          header, speed,
          [&](const PointOutcome& outcome) { line.say(Tag::outcome_bytes, bytes_of(outcome)); },
          [&] { return !stop && !line.is_dismissed(); });
      line.say(Tag::point_finished, "");
    } catch (const models::RunStopped&) {
      return;  // another one takes the point, if it is still wanted
    } catch (const std::invalid_argument& error) {
      line.say(Tag::wrong_input, error.what());
    } catch (const std::exception& error) {
      line.say(Tag::broken, error.what());
    }
  }
}

}  // namespace pulsewright::tools
