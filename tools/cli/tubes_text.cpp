#include "tools/cli/tubes_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "cases/wrapped_text.hpp"
#include "models/sizing/circle.hpp"
#include "tools/study/tube_text.hpp"

namespace pulsewright::tools {

using cases::QuantityText;

namespace {

// As ordered, and what the gas sees of it; the inside alone where no wall is known.
std::string size_text(const cases::Tube& tube, const QuantityText& shown) {
  const double bore = tube.inside_diameter;
  const std::string ordered = tube_text(tube);
  return fmt::format("{}{}{} ID, {}", ordered, ordered.empty() ? "" : "; ", shown.length(bore),
                     shown.area(models::circle_area(bore)));
}

bool same_tubes(const cases::Primary& a, const cases::Primary& b, const QuantityText& shown) {
  return primary_text(a, shown) == primary_text(b, shown);
}

// The step from the port to the tubes, where it is a sudden one.
std::string flange_text(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                        const QuantityText& shown) {
  const cases::Exhaust& exhaust = case_file.exhaust;
  const double tube = header.primary_tube.inside_diameter;
  if (header.primaries.empty() || !(exhaust.port_length > 0) || header.port_transition > 0) {
    return {};
  }
  return entry("flange", fmt::format("a sudden step from {} to {}, {:.3g} times the area",
                                     shown.length(exhaust.port_diameter), shown.length(tube),
                                     std::pow(tube / exhaust.port_diameter, 2)));
}

std::string neck_text(const cases::HeaderDesign& header, const QuantityText& shown) {
  if (!(header.merge_diameter > 0)) return {};
  const bool narrow = header.merge_diameter < header.collector_tube.inside_diameter;
  std::string text = size_text({header.merge_diameter, 0}, shown);
  if (header.merge_inlet_length > 0) {
    text += fmt::format(", behind an inlet of {} from the area of all tubes",
                        shown.length(header.merge_inlet_length));
  }
  if (header.merge_neck_length > 0) {
    text += fmt::format(", straight for {}", shown.length(header.merge_neck_length));
  }
  const double radii = 0.5 * (header.collector_tube.inside_diameter - header.merge_diameter);
  text +=
      fmt::format(", then a cone of {} that {}, half angle {:.3g} deg",
                  shown.length(header.merge_cone_length), narrow ? "opens" : "narrows",
                  std::atan2(std::abs(radii), header.merge_cone_length) * 180 / std::numbers::pi);
  return entry(narrow ? "neck" : "entry", text);
}

std::string balance_text(const cases::HeaderDesign& header, const QuantityText& shown) {
  std::string out;
  for (const cases::BalancePipe& pipe : header.balance) {
    const std::string place =
        fmt::format("{} {} the end of the collectors", shown.length(std::abs(pipe.at)),
                    pipe.at < 0 ? "before" : "behind");
    out += entry("balance",
                 pipe.kind == cases::BalanceKind::bar
                     ? fmt::format("H, {}: {}, {} long", place, size_text(pipe.tube, shown),
                                   shown.length(pipe.length))
                     : fmt::format("X, {}, half angle {:.3g} deg", place, pipe.half_angle_deg));
  }
  return out;
}

}  // namespace

std::string entry(const std::string& name, const std::string& text) {
  constexpr std::size_t column = 16;
  std::string out = "  " + name;
  out.resize(std::max(column, out.size() + 2), ' ');
  return out + cases::wrapped(text, column, out.size()) + "\n";
}

std::string primary_text(const cases::Primary& primary, const QuantityText& shown) {
  std::string text = size_text(primary.tube, shown);
  for (const cases::TubeStep& step : primary.steps) {
    text += fmt::format(", from {} on {}", shown.length(step.at), size_text(step.tube, shown));
    if (step.cone_length > 0) {
      text += fmt::format(" behind a cone of {}", shown.length(step.cone_length));
    }
  }
  return text;
}

bool have_same_tubes(const cases::HeaderDesign& header, const QuantityText& shown) {
  const auto& all = header.primaries;
  return std::all_of(all.begin(), all.end(), [&](const auto& one) {
    return same_tubes(one.second, all.begin()->second, shown);
  });
}

std::string tubes_text(const cases::CaseFile& case_file, const cases::HeaderDesign& header,
                       const QuantityText& shown) {
  std::string out = flange_text(case_file, header, shown);
  const auto add = [&](const char* name, const cases::Tube& tube, double length) {
    if (tube.inside_diameter == 0) return;
    std::string text = size_text(tube, shown);
    if (length > 0) text += ", " + shown.length(length) + " long";
    out += entry(name, text);
  };
  if (!header.primaries.empty() && have_same_tubes(header, shown)) {
    out += entry("primaries", primary_text(header.primaries.begin()->second, shown));
  } else {
    add("primaries", header.primary_tube, 0);
  }
  add("secondaries", header.secondary_tube, header.secondary_length);
  out += neck_text(header, shown);
  add("collector", header.collector_tube, header.collector_length);
  add(header.shared_tail ? "tail, shared" : "tail", header.tail_tube, header.tail_length);
  out += balance_text(header, shown);
  for (const cases::NetworkPipe& of_network : header.pipes) {
    const models::PipeSpecification& pipe = of_network.pipe;
    const double first = pipe.profile.front().diameter;
    const double last = pipe.profile.back().diameter;
    const std::string size =
        pipe.profile.size() == 2 && first == last
            ? size_text({first, pipe.wall.thickness}, shown)
            : fmt::format("{} to {} ID", shown.length(first), shown.length(last));
    out += entry(pipe.name, size + ", " + shown.length(pipe.length) + " long");
  }
  return out;
}

}  // namespace pulsewright::tools
