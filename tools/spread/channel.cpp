#include "tools/spread/channel.hpp"

#include <cstdint>
#include <cstring>
#include <fmt/format.h>
#include <stdexcept>

#include "tools/results/plan_attributes.hpp"
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
    throw std::runtime_error("a message of wrong size between processes");
  }
  WorkUnit points;
  for (std::size_t at = 0; at < bytes.size(); at += sizeof numbers) {
    std::memcpy(numbers, bytes.data() + at, sizeof numbers);
    points.emplace_back(numbers[0], numbers[1]);
  }
  return points;
}

std::string identity_of(const StudyPlan& plan) {
  std::string text = plan.program_version + '\n' + plan.commit + '\n' +
                     settings_text(plan.settings) + '\n' + plan.case_text + '\n';
  for (const double speed : plan.speeds) text += fmt::format("{:a} ", speed);
  for (const HeaderPlan& run : plan.headers) {
    text += fmt::format("\n{} {} {:a}", run_group_name(run), cases::law_name(run.junction_law),
                        run.cell_size);
  }
  return text;
}

void compute_points(const Study& study, const std::atomic<bool>& stop, Channel& channel) {
  const std::string identity = identity_of(study.plan());
  while (true) {
    channel.send(Tag::ready, identity);
    const Message reply = channel.receive();
    if (reply.tag == Tag::shut_down) return;
    if (reply.bytes.empty()) {
      // Another worker has sent the last point of the work unit, and not yet that it is done.
      channel.send(Tag::work_unit_finished, "");
      continue;
    }
    try {
      const QueueReport report = run_points(
          study, {points_of(reply.bytes)}, 1, [&] { return !stop && !channel.is_shut_down(); },
          [&](const PointOutcome& outcome) { channel.send(Tag::outcome, bytes_of(outcome)); },
          [&](std::size_t header, std::size_t speed) {
            channel.send(Tag::point_finished, bytes_of_points({{header, speed}}));
          });
      if (report.stopped) return;  // others take the points, if they are still to be computed
      channel.send(Tag::work_unit_finished, "");
    } catch (const std::invalid_argument& error) {
      channel.send(Tag::wrong_input, error.what());
    } catch (const std::exception& error) {
      channel.send(Tag::broken, error.what());
    }
  }
}

}  // namespace pulsewright::tools
