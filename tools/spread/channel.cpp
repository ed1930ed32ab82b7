#include "tools/spread/channel.hpp"

#include <cstdint>
#include <cstring>
#include <fmt/format.h>
#include <stdexcept>

#include "tools/spread/point_serialization.hpp"

namespace pulsewright::tools {

std::string bytes_of_points(const WorkUnit& points) {
  std::string bytes;
  for (const auto& [header, speed] : points) {
    const std::uint64_t numbers[2] = {header, speed};
    bytes.append(reinterpret_cast<const char*>(numbers), sizeof numbers);
  }
  return bytes;
}

WorkUnit points_of(const std::string& bytes) {
  std::uint64_t numbers[2] = {};
  if (bytes.empty() || bytes.size() % sizeof numbers != 0) {
    throw std::runtime_error("process_group: a message of wrong size");
  }
  WorkUnit points;
  for (std::size_t at = 0; at < bytes.size(); at += sizeof numbers) {
    std::memcpy(numbers, bytes.data() + at, sizeof numbers);
    points.emplace_back(numbers[0], numbers[1]);
  }
  return points;
}

std::string identity_of(const StudyPlan& plan) {
  std::string text = plan.program_version + '\n' + plan.commit + '\n' + plan.settings_json + '\n' +
                     plan.case_text + '\n';
  for (const double speed : plan.speeds) text += fmt::format("{:a} ", speed);
  for (const HeaderPlan& c : plan.headers) {
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
      const QueueReport report = run_points(
          study, {points_of(order.bytes)}, 1, [&] { return !stop && !line.is_dismissed(); },
          [&](const PointOutcome& outcome) { line.say(Tag::outcome_bytes, bytes_of(outcome)); },
          [&](std::size_t header, std::size_t speed) {
            line.say(Tag::point_finished, bytes_of_points({{header, speed}}));
          });
      if (report.stopped) return;  // others take the points, if they are still wanted
      line.say(Tag::work_unit_finished, "");
    } catch (const std::invalid_argument& error) {
      line.say(Tag::wrong_input, error.what());
    } catch (const std::exception& error) {
      line.say(Tag::broken, error.what());
    }
  }
}

}  // namespace pulsewright::tools
