#include "tools/size/size_text.hpp"

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/collector_order.hpp"
#include "cases/counted.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/size/disagreement.hpp"
#include "tools/study/csv_table.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

using cases::QuantityText;

QuantityText quantity_text(UnitSystem units) {
  return QuantityText(units == UnitSystem::inch ? cases::MessageUnits::inch
                                                : cases::MessageUnits::metric);
}

std::string bullet(const std::string& text) { return cases::wrapped("  " + text, 4) + "\n"; }

double gas_speed_in(double metres_per_second, UnitSystem units) {
  return units == UnitSystem::inch ? metres_per_second / 0.3048 : metres_per_second;
}
const char* gas_speed_unit(UnitSystem units) { return units == UnitSystem::inch ? "ft/s" : "m/s"; }

std::string input_text(const HeaderProposal& proposal, UnitSystem units) {
  const models::SizingInput& input = proposal.input;
  const QuantityText shown = quantity_text(units);
  const DisplayUnit power = DisplayUnits(units).power;
  return cases::wrapped(
             fmt::format("{} of {}, band {:.0f} to {:.0f} rpm, torque peak wanted at {:.0f} rpm, "
                         "exhaust valve opens {:.4g} deg BBDC as advertised, {:.0f} {}",
                         cases::counted(static_cast<std::size_t>(input.cylinders), "cylinder"),
                         shown.volume(input.cylinder_volume), 60 * input.band_from,
                         60 * input.band_to, 60 * input.torque_peak, input.exhaust_opens_deg,
                         input.power * power.factor, power.name),
             2) +
         "\n";
}

std::string stock_table(const HeaderProposal& proposal, UnitSystem units) {
  const DisplayUnit length = DisplayUnits(units).length;
  TextTable table;
  table.row({"primary tube", "bore", "gas speed", "torque peak", ""});
  table.row({"16 gauge", std::string(length.name), gas_speed_unit(units), "rpm", ""});
  table.rule();
  for (const models::StockRow& row : proposal.sizes.stock) {
    table.row(
        {std::string(row.tube->outside) + " OD",
         fmt::format("{:.{}f}", row.tube->bore() * length.factor,
                     units == UnitSystem::inch ? 3 : 1),
         fmt::format("{:.0f}{}", gas_speed_in(row.gas_speed, units), row.in_range ? "*" : " "),
         fmt::format("{:.0f}", 60 * row.torque_peak),
         row.tube == proposal.sizes.primary ? "taken" : ""});
  }
  return table.text() +
         cases::wrapped(fmt::format(
             "gas speed: mean over the exhaust stroke at {:.0f} rpm; * within the {:.0f} "
             "to {:.0f} {} of the rule \"mean velocity\", by which torque peaks at the speed "
             "shown",
             60 * proposal.input.torque_peak,
             gas_speed_in(models::gas_speed_at_torque_peak.least, units),
             gas_speed_in(models::gas_speed_at_torque_peak.most, units), gas_speed_unit(units))) +
         "\n";
}

std::string lengths_table(const HeaderProposal& proposal, const QuantityText& shown) {
  const models::EngineSizes& sizes = proposal.sizes;
  const double port = proposal.case_file.exhaust.port_length;
  const models::SizingInput& input = proposal.input;
  TextTable table;
  table.row({"primary length", "rpm", "from the valve", "from the flange"});
  table.rule();
  const auto row = [&](const char* name, double speed, double length) {
    table.row({name, fmt::format("{:.0f}", 60 * speed), shown.length(length),
               shown.length(length - port)});
  };
  row("upper speed of the band", input.band_to, sizes.shortest);
  row("middle", (input.band_from + input.band_to) / 2, sizes.middle);
  row("lower speed of the band", input.band_from, sizes.longest);
  return table.text();
}

std::string group_text_of(const cases::HeaderDesign& header, const cases::CollectorGroup& group,
                          const QuantityText& shown) {
  std::vector<std::string> lengths;
  for (const int cylinder : group.cylinders) {
    lengths.push_back(
        fmt::format("{}: {}", cylinder, shown.length(header.primary_length.at(cylinder))));
  }
  std::string text = fmt::format("  {}", fmt::join(lengths, ", "));
  if (group.cylinders.size() > 1) {
    std::vector<std::string> gaps;
    for (const double gap : group.interval_deg) gaps.push_back(fmt::format("{:.0f}", gap));
    text = fmt::format("  collector {}, in firing order {}; {} deg apart", group.name,
                       fmt::join(lengths, ", "), fmt::join(gaps, "/"));
    if (group.subgroups.empty()) {
      text += fmt::format("; round it {}", fmt::join(cases::order_round(group), "-"));
    }
  }
  for (const std::vector<int>& pair : group.subgroups) {
    text += fmt::format("; {} share a secondary", fmt::join(pair, " and "));
  }
  return cases::wrapped(text, 4) + "\n";
}

std::string header_text_of(const cases::HeaderDesign& header, const HeaderProposal& proposal,
                           const QuantityText& shown) {
  const models::EngineSizes& sizes = proposal.sizes;
  std::string out = fmt::format("{}: primaries {} OD, 16 ga", header.name, sizes.primary->outside);
  if (header.secondary_length > 0) {
    out += fmt::format("; secondaries {} OD, {}", sizes.secondary->outside,
                       shown.length(header.secondary_length));
  }
  if (sizes.collector && header.collector_length > 0) {
    out += fmt::format("; collector {} OD, {}", sizes.collector->outside,
                       shown.length(header.collector_length));
  }
  out = cases::wrapped(out, 2) + "\n";
  for (const cases::CollectorGroup& group : header.groups) {
    out += group_text_of(header, group, shown);
  }
  return out;
}

std::string trials_table(const HeaderProposal& proposal, const std::vector<HeaderTrial>& trials,
                         UnitSystem units) {
  const DisplayUnits display(units);
  TextTable table;
  const auto torque = [&](std::optional<double> value) {
    return value ? fmt::format("{:.1f}", *value * display.torque.factor) : std::string("-");
  };
  std::vector<std::string> head{fmt::format("torque, {}", display.torque.name)};
  for (const HeaderTrial& trial : trials) head.push_back(trial.header);
  table.row(head);
  table.rule();
  for (std::size_t p = 0; p < trials.front().points.size(); ++p) {
    std::vector<std::string> cells{fmt::format("{:.0f} rpm", 60 * trials.front().points[p].speed)};
    for (const HeaderTrial& trial : trials) {
      const TrialPoint& point = trial.points[p];
      cells.push_back(point.fault.empty() ? torque(point.torque) : "-");
    }
    table.row(cells);
  }
  std::vector<std::string> means{"band, mean"};
  for (const HeaderTrial& trial : trials) {
    means.push_back(torque(trial.band_torque(proposal.input.band_from, proposal.input.band_to)));
  }
  table.row(means);
  std::string out = table.text();
  for (const HeaderTrial& trial : trials) {
    for (const TrialPoint& point : trial.points) {
      if (point.fault.empty()) continue;
      out += cases::wrapped(
                 fmt::format("! {} at {:.0f} rpm: {}", trial.header, 60 * point.speed, point.fault),
                 2) +
             "\n";
    }
  }
  return out;
}

std::string rules_list() {
  std::string out = "The rules\n";
  for (const models::HandRuleRow& row : models::hand_rules()) {
    out += bullet(
        fmt::format("{}: {}. Source: {}. Range: {}", row.name, row.formula, row.source, row.range));
  }
  return out;
}

nlohmann::json range_json(const models::Range& range) {
  return {{"least", range.least}, {"most", range.most}};
}

nlohmann::json wanted_json(const std::vector<models::Wanted>& wanted) {
  auto list = nlohmann::json::array();
  for (const models::Wanted& one : wanted) {
    list.push_back({{"rule", row_of(one.rule).name},
                    {"least", one.value.least},
                    {"most", one.value.most},
                    {"used", one.used}});
  }
  return list;
}

nlohmann::json tube_json(const models::StockTube* tube) {
  if (!tube) return nullptr;
  return {{"outside", tube->outside},
          {"outside_diameter", tube->outside_diameter},
          {"bore", tube->bore()}};
}

nlohmann::json rules_json() {
  auto list = nlohmann::json::array();
  for (const models::HandRuleRow& row : models::hand_rules()) {
    list.push_back({{"name", row.name},
                    {"formula", row.formula},
                    {"source", row.source},
                    {"basis", name_of(row.basis)},
                    {"range", row.range}});
  }
  return list;
}

nlohmann::json headers_json(const cases::CaseFile& case_file) {
  auto list = nlohmann::json::array();
  for (const cases::HeaderDesign& header : case_file.headers) {
    auto groups = nlohmann::json::array();
    for (const cases::CollectorGroup& group : header.groups) {
      auto cylinders = nlohmann::json::array();
      for (std::size_t i = 0; i < group.cylinders.size(); ++i) {
        cylinders.push_back({{"cylinder", group.cylinders[i]},
                             {"length", header.primary_length.at(group.cylinders[i])},
                             {"position", group.collector_position[i]},
                             {"interval", group.interval_deg[i]}});
      }
      groups.push_back({{"collector", group.name}, {"cylinders", cylinders}});
    }
    list.push_back({{"name", header.name},
                    {"kind", cases::kind_name(header.kind)},
                    {"secondary_length", header.secondary_length},
                    {"collector_length", header.collector_length},
                    {"groups", groups}});
  }
  return list;
}

nlohmann::json trials_json(const HeaderProposal& proposal, const std::vector<HeaderTrial>& trials) {
  const auto or_null = [](std::optional<double> value, double factor) {
    return value ? nlohmann::json(*value * factor) : nlohmann::json();
  };
  auto list = nlohmann::json::array();
  for (const HeaderTrial& trial : trials) {
    auto points = nlohmann::json::array();
    for (const TrialPoint& point : trial.points) {
      const bool result = point.fault.empty();
      points.push_back({{"speed_rpm", 60 * point.speed},
                        {"torque", result ? nlohmann::json(point.torque) : nlohmann::json()},
                        {"power", result ? nlohmann::json(point.power) : nlohmann::json()},
                        {"fault", result ? nlohmann::json() : nlohmann::json(point.fault)}});
    }
    list.push_back(
        {{"header", trial.header},
         {"torque_peak_rpm", or_null(trial.torque_peak(), 60)},
         {"torque_peak_at_end", trial.peak_at_end()},
         {"band_torque",
          or_null(trial.band_torque(proposal.input.band_from, proposal.input.band_to), 1)},
         {"highest_power", or_null(trial.highest_power(), 1)},
         {"points", points}});
  }
  return list;
}

}  // namespace

std::string size_text(const HeaderProposal& proposal, const std::vector<HeaderTrial>& trials,
                      UnitSystem units) {
  const QuantityText shown = quantity_text(units);
  std::string out = proposal.case_file.title + "\n" + input_text(proposal, units) + "\n";
  out += stock_table(proposal, units) + "\n" + lengths_table(proposal, shown) + "\n";
  if (proposal.sizes.collector) {
    out += cases::wrapped(fmt::format("collector {} OD, 16 ga, or with a neck of {} inside",
                                      proposal.sizes.collector->outside,
                                      range_text(proposal.sizes.merge_neck, shown)),
                          2) +
           "\n\n";
  }
  out += "Headers\n";
  for (const cases::HeaderDesign& header : proposal.case_file.headers) {
    out += header_text_of(header, proposal, shown);
  }
  out += cases::wrapped(
             "Lengths are along the centreline from the flange to where the tubes first meet. The "
             "last part of every primary before the collector is to be straight.") +
         "\n";
  if (proposal.without_parts) {
    out += cases::wrapped("The parts behind the collectors of the case are left out.") + "\n";
  }
  if (proposal.without_named) {
    out += cases::wrapped("[[dyno]] and [tune] of the case are left out: they name its headers.") +
           "\n";
  }
  out += "\nWhere the rules disagree\n";
  for (const std::string& text : rule_disagreements(proposal, shown, units)) out += bullet(text);
  if (!trials.empty()) {
    out += "\nOne simulation of each header, on coarse cells: no verdict\n" +
           trials_table(proposal, trials, units);
    for (const std::string& text : trial_disagreements(proposal, trials, units))
      out += bullet(text);
  }
  return out + "\n" + rules_list();
}

nlohmann::json size_json(const HeaderProposal& proposal, const std::vector<HeaderTrial>& trials) {
  const models::SizingInput& input = proposal.input;
  const models::EngineSizes& sizes = proposal.sizes;
  auto stock = nlohmann::json::array();
  for (const models::StockRow& row : sizes.stock) {
    auto tube = tube_json(row.tube);
    tube["gas_speed"] = row.gas_speed;
    tube["torque_peak_rpm"] = 60 * row.torque_peak;
    tube["in_range"] = row.in_range;
    tube["taken"] = row.tube == sizes.primary;
    stock.push_back(tube);
  }
  return {{"title", proposal.case_file.title},
          {"input",
           {{"cylinders", input.cylinders},
            {"cylinder_volume", input.cylinder_volume},
            {"band_from_rpm", 60 * input.band_from},
            {"band_to_rpm", 60 * input.band_to},
            {"torque_peak_rpm", 60 * input.torque_peak},
            {"exhaust_opens", input.exhaust_opens_deg},
            {"exhaust_period", input.exhaust_period_deg},
            {"power", input.power},
            {"intake_flow", proposal.intake_flow}}},
          {"stock", stock},
          {"primary", tube_json(sizes.primary)},
          {"primary_bores", wanted_json(sizes.bores)},
          {"lengths_from_valve",
           {{"upper", sizes.shortest}, {"middle", sizes.middle}, {"lower", sizes.longest}}},
          {"length_by_exhaust_period", sizes.period_length},
          {"secondary", tube_json(sizes.secondary)},
          {"collector", tube_json(sizes.collector)},
          {"collector_bores", wanted_json(sizes.collector_bores)},
          {"collector_neck", sizes.collector ? range_json(sizes.merge_neck) : nlohmann::json()},
          {"needed_intake_flow", sizes.needed_intake_flow},
          {"headers", headers_json(proposal.case_file)},
          {"trials", trials_json(proposal, trials)},
          {"rules", rules_json()}};
}

std::string size_csv(const HeaderProposal& proposal, UnitSystem units) {
  const DisplayUnit length = DisplayUnits(units).length;
  CsvTable table;
  for (const std::string& name :
       {std::string("tube, outside"), fmt::format("outside diameter, {}", length.name),
        fmt::format("bore with a wall of 16 gauge, {}", length.name),
        fmt::format("gas speed at {:.0f} rpm, {}", 60 * proposal.input.torque_peak,
                    gas_speed_unit(units)),
        std::string("torque peak by mean velocity, rpm"), std::string("within its range"),
        std::string("taken")}) {
    table.add(name);
  }
  table.end_row();
  for (const models::StockRow& row : proposal.sizes.stock) {
    table.add(row.tube->outside);
    table.add(fmt::format("{:.4f}", row.tube->outside_diameter * length.factor));
    table.add(fmt::format("{:.4f}", row.tube->bore() * length.factor));
    table.add(fmt::format("{:.1f}", gas_speed_in(row.gas_speed, units)));
    table.add(fmt::format("{:.0f}", 60 * row.torque_peak));
    table.add(row.in_range ? "yes" : "no");
    table.add(row.tube == proposal.sizes.primary ? "yes" : "no");
    table.end_row();
  }
  return table.text();
}

}  // namespace pulsewright::tools
