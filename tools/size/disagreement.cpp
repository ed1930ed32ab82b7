#include "tools/size/disagreement.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "cases/header_figures.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::tools {

namespace {

using models::HandRule;
using models::Wanted;

std::string rpm(double speed) { return fmt::format("{:.0f} rpm", 60 * speed); }

std::string power_text(double watts, UnitSystem units) {
  const DisplayUnit unit = DisplayUnits(units).power;
  return fmt::format("{:.0f} {}", watts * unit.factor, unit.name);
}

// What several rules ask for of one thing, and how far they are apart.
std::string apart(const std::string& what, const std::vector<Wanted>& wanted,
                  const cases::QuantityText& shown) {
  std::string out = what + ":";
  double least = wanted.front().value.least;
  double most = wanted.front().value.most;
  for (const Wanted& one : wanted) {
    out += fmt::format("{} {} by \"{}\"", &one == &wanted.front() ? "" : ",",
                       range_text(one.value, shown), row_of(one.rule).name);
    least = std::min(least, one.value.least);
    most = std::max(most, one.value.most);
  }
  return out + fmt::format("; {} from the smallest to the largest", shown.length(most - least, 2));
}

}  // namespace

std::string range_text(const models::Range& range, const cases::QuantityText& shown) {
  const std::string least = shown.length(range.least, 3);
  const std::string most = shown.length(range.most, 3);
  return least == most ? least : fmt::format("{} to {}", least, most);
}

std::vector<std::string> rule_disagreements(const HeaderProposal& proposal,
                                            const cases::QuantityText& shown, UnitSystem units) {
  const models::EngineSizes& sizes = proposal.sizes;
  const models::SizingInput& input = proposal.input;
  std::vector<std::string> out;
  out.push_back(apart("bore of a primary", sizes.bores, shown));
  const double peak = models::torque_peak_of_area(models::circle_area(sizes.primary->bore()),
                                                  input.cylinder_volume);
  out.push_back(fmt::format(
      "torque peak of {} tube: {} by its size (\"{}\"), {} by a length of {} "
      "(\"{}\"); wanted {}",
      sizes.primary->outside, rpm(peak), row_of(HandRule::mean_velocity).name,
      rpm(models::speed_of_length(sizes.middle, input.exhaust_opens_deg)),
      shown.length(sizes.middle, 3), row_of(HandRule::tuned_length).name, rpm(input.torque_peak)));
  out.push_back(
      fmt::format("length from the valve in the middle of the band: {} by \"{}\", "
                  "{} by \"{}\" with k = 1; a matching factor of {:.2g} brings them "
                  "together",
                  shown.length(sizes.middle, 3), row_of(HandRule::tuned_length).name,
                  shown.length(sizes.period_length, 3), row_of(HandRule::exhaust_period).name,
                  sizes.period_length / sizes.middle));
  for (const cases::HeaderDesign& header : proposal.case_file.headers) {
    if (header.kind != cases::HeaderKind::stepped_length) continue;
    const auto steps = static_cast<double>(header.groups.front().cylinders.size() - 1);
    constexpr double usual_step = 2 * 0.0254;
    out.push_back(
        fmt::format("steps of the stepped lengths: {} from the lower to the upper speed of "
                    "this band, about {} by \"{}\"; a narrower band has smaller steps",
                    shown.length((sizes.longest - sizes.shortest) / steps, 3),
                    shown.length(usual_step, 2), row_of(HandRule::stepped_lengths).name));
  }
  if (sizes.collector) out.push_back(apart("bore of the collector", sizes.collector_bores, shown));
  out.push_back(
      fmt::format("power: {} expected, which asks for {} through each intake port; one passes "
                  "{}, good for {} "
                  "(\"{}\")",
                  power_text(input.power, units), shown.volume_flow(sizes.needed_intake_flow),
                  shown.volume_flow(proposal.intake_flow),
                  power_text(input.cylinders * models::power_of_flow(proposal.intake_flow), units),
                  row_of(HandRule::power_of_flow).name));
  return out;
}

std::vector<std::string> trial_disagreements(const HeaderProposal& proposal,
                                             const std::vector<HeaderTrial>& trials,
                                             UnitSystem units) {
  const models::SizingInput& input = proposal.input;
  std::vector<std::string> out;
  std::optional<double> power;
  for (std::size_t h = 0; h < trials.size(); ++h) {
    const HeaderTrial& trial = trials[h];
    const auto peak = trial.torque_peak();
    if (trial.highest_power()) power = std::max(power.value_or(0), *trial.highest_power());
    const auto rules =
        cases::header_figures(proposal.case_file, proposal.case_file.headers[h]).rules;
    if (!peak || !rules) {
      out.push_back(fmt::format("{}: no speed gave a result", trial.header));
      continue;
    }
    const double low = std::min(rules->longest_speed, rules->shortest_speed);
    const double high = std::max(rules->longest_speed, rules->shortest_speed);
    const std::string tuned =
        rpm(low) == rpm(high) ? rpm(low) : fmt::format("{:.0f} to {}", 60 * low, rpm(high));
    out.push_back(
        fmt::format("{}: torque peaks at {}{} by simulation, at {} by the size of its tubes "
                    "({:+.0f} rpm), at {} "
                    "by their length",
                    trial.header, rpm(*peak), trial.peak_at_end() ? " (an end of the speeds)" : "",
                    rpm(rules->torque_peak), 60 * (rules->torque_peak - *peak), tuned));
  }
  if (power) {
    out.push_back(fmt::format(
        "highest power {} by simulation, {} by the flow of the intake ports, "
        "which the rule has from race engines",
        power_text(*power, units),
        power_text(input.cylinders * models::power_of_flow(proposal.intake_flow), units)));
  }
  return out;
}

}  // namespace pulsewright::tools
