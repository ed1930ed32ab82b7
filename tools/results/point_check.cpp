#include "tools/results/point_check.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <stdexcept>
#include <string>
#include <vector>

#include "models/boundary/crank_angle.hpp"
#include "models/figures/figure_table.hpp"
#include "tools/results/coordinates.hpp"

namespace pulsewright::tools {

using models::PointResult;

namespace {

void require(bool fits, const std::string& what) {
  if (!fits) throw std::invalid_argument("point does not fit the results file: " + what);
}

template <class Part>
void require_names(const std::vector<Part>& parts, const std::vector<std::string>& names,
                   const std::string& what) {
  require(parts.size() == names.size(),
          fmt::format("{} {}, planned {}", parts.size(), what, names.size()));
  for (std::size_t i = 0; i < parts.size(); ++i) {
    require(parts[i].name == names[i], fmt::format("number {} of the {} is '{}', planned '{}'",
                                                   i + 1, what, parts[i].name, names[i]));
  }
}

void require_near(const std::vector<double>& values, const std::vector<double>& planned,
                  const std::string& what) {
  require(values.size() == planned.size(),
          fmt::format("{} {}, planned {}", values.size(), what, planned.size()));
  for (std::size_t i = 0; i < values.size(); ++i) {
    // Only round-off may lie between them: the file keeps the planned value.
    require(
        std::abs(values[i] - planned[i]) <= 1e-9 * std::max(1.0, std::abs(planned[i])),
        fmt::format("number {} of the {} is {}, planned {}", i + 1, what, values[i], planned[i]));
  }
}

void check_cylinders(const HeaderPlan& header_plan, const PointResult& point) {
  require(point.cylinders.size() == header_plan.cylinder_numbers.size(),
          fmt::format("{} cylinders, planned {}", point.cylinders.size(),
                      header_plan.cylinder_numbers.size()));
  for (std::size_t i = 0; i < point.cylinders.size(); ++i) {
    require(point.cylinders[i].number == header_plan.cylinder_numbers[i],
            fmt::format("cylinder {} stands where cylinder {} was planned",
                        point.cylinders[i].number, header_plan.cylinder_numbers[i]));
  }
}

void check_merges(const HeaderPlan& header_plan, const PointResult& point) {
  require_names(point.merges, header_plan.merges, "merges");
  for (const auto& merge : point.merges) {
    const auto count = merge.cylinders.size();
    require(count <= header_plan.merge_slots,
            fmt::format("merge '{}' has {} pulses, planned are at most {}", merge.name, count,
                        header_plan.merge_slots));
    models::for_each_merge_figure([&](const auto& figure) {
      if constexpr (requires { (merge.*figure.member).size(); }) {
        const auto values = (merge.*figure.member).size();
        require(values == count, fmt::format("merge '{}' has unequal numbers of pulses: {} values "
                                             "of {}, {} cylinders",
                                             merge.name, values, figure.name, count));
      }
    });
    require(std::find(merge.cylinders.begin(), merge.cylinders.end(), -1) == merge.cylinders.end(),
            fmt::format("merge '{}' names cylinder -1, which means none", merge.name));
  }
}

void check_traces(const StudyPlan& plan, const HeaderPlan& header_plan, const PointResult& point) {
  if (stored_trace_points(plan, header_plan) == 0) return;  // nothing of them is kept
  if (!point.traces.empty()) {
    require(point.traces.size() == header_plan.cylinder_numbers.size(),
            fmt::format("traces of {} cylinders, planned {}", point.traces.size(),
                        header_plan.cylinder_numbers.size()));
  }
  const auto require_points = [&](std::size_t values, const std::string& what) {
    require(values == plan.trace_points,
            fmt::format("{} has {} values, planned {}", what, values, plan.trace_points));
  };
  models::for_each_cylinder_trace([&](const auto& figure) {
    for (const auto& trace : point.traces) {
      require_points((trace.*figure.member).size(), fmt::format("trace_{}", figure.name));
    }
  });
  if (!point.tails.empty()) require_names(point.tails, header_plan.tails, "tails");
  models::for_each_tail_trace([&](const auto& figure) {
    for (const auto& tail : point.tails) {
      require_points((tail.*figure.member).size(),
                     fmt::format("tail_{} of tail '{}'", figure.name, tail.name));
    }
  });
  if (!point.probes.empty()) require_names(point.probes, header_plan.probes, "probes");
  models::for_each_probe_trace([&](const auto& figure) {
    for (const auto& probe : point.probes) {
      require_points((probe.*figure.member).size(),
                     fmt::format("probe_{} of probe '{}'", figure.name, probe.name));
    }
  });
}

void check_wave(const StudyPlan& plan, const HeaderPlan& header_plan, const PointResult& point) {
  const auto& wave = point.wave;
  if (!has_wave_diagram(plan, header_plan) || wave.pressure.empty()) return;
  require_near(wave.angle, models::even_angles(plan.wave_angles),
               "crank angles of the wave diagram");
  require_near(wave.distance, header_plan.wave_distance, "distances of the wave diagram");
  require_near(wave.pipe_start, header_plan.wave_pipe_start, "pipe starts of the wave diagram");
  require(wave.pipe_name == header_plan.wave_pipe_names,
          "the wave diagram names other pipes than planned");
  const auto count = wave.angle.size() * wave.distance.size();
  models::for_each_diagram_array([&](const auto& figure) {
    const auto values = (wave.*figure.member).size();
    require(values == count,
            fmt::format("diagram_{} has {} values, planned {}", figure.name, values, count));
  });
}

}  // namespace

void check_point(const StudyPlan& plan, const HeaderPlan& header_plan, std::size_t speed,
                 const PointResult& point) {
  require_near({point.speed}, {plan.speeds[speed]}, "speeds in rev/s");
  check_cylinders(header_plan, point);
  check_merges(header_plan, point);
  require_names(point.pipes, header_plan.pipes, "pipes");
  check_traces(plan, header_plan, point);
  check_wave(plan, header_plan, point);
}

}  // namespace pulsewright::tools
