#include "tools/search/tune_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <stdexcept>
#include <utility>
#include <vector>

#include "cases/design_variable.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/search/sweep_text.hpp"
#include "tools/search/value_text.hpp"
#include "tools/study/csv_table.hpp"
#include "tools/study/shown_number.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

constexpr std::string_view aim_words[] = {"mean over the band", "deepest dip", "top of the band",
                                          "shift point"};

// The designs that are told of, with their names.
using Named = std::vector<std::pair<std::string, const Candidate*>>;
Named named(const TuneResult& result) {
  Named list{{"start", &result.start}};
  if (result.best) list.emplace_back("best", &*result.best);
  if (result.easier) list.emplace_back("easier", &*result.easier);
  return list;
}

const Trial* drawn_of(const TuneResult& result, const std::string& name) {
  if (name == "start") return result.start_drawn;
  return name == "best" ? result.best_drawn : result.easier_drawn;
}

// A value as it comes out: primaries are held within what fits. Of values that make no header,
// which the search may have asked for, as it was asked for.
std::string drawn_text(const SearchTask& task, const Candidate& candidate, std::size_t v,
                       UnitSystem units) {
  const auto& variable = task.space().variables[v];
  double value = candidate.values[v];
  try {
    value = cases::variable_value(task.space().drawn(candidate.values), variable);
  } catch (const std::invalid_argument&) {
  }
  return value_text(task.space().reference, variable, value, units);
}

std::string score_sentence(const TuneAims& aims) {
  std::string text;
  for (std::size_t i = 0; i < std::size(aim_members); ++i) {
    const double weight = aims.weights.*weight_members[i];
    if (!(weight > 0)) continue;
    text += fmt::format("{}{} x {}",
                        text.empty()   ? i == dip_aim ? "-" : ""
                        : i == dip_aim ? " - "
                                       : " + ",
                        weight, aim_words[i]);
  }
  return text;
}

std::string behind_text(const TuneResult& result, UnitSystem units) {
  constexpr double shown = 0.05;  // N m: less is nothing in one decimal
  const double behind = result.best->score - result.easier->score;
  return behind < shown ? std::string("as good as the best")
                        : torque_text(behind, units) + " behind the best";
}

// The best beside the start, which may have no score, or be none that could be the best.
std::string beside_start(const SearchTask& task, const TuneResult& result, UnitSystem units) {
  const std::string score = torque_text(result.best->score, units);
  if (!result.start.scored) return fmt::format("Best: score {}. The start has no score.", score);
  const double above = result.best->score - result.start.score;
  std::string text =
      fmt::format("Best: score {}, {} {} the start.", score, torque_text(std::abs(above), units),
                  above < 0 ? "below" : "above");
  if (!result.start.counts) text += " The start does not count at every speed.";
  if (!within_limits(task.space(), result.start.values)) {
    text += " The start lies beyond the limits.";
  }
  return text;
}

std::string sentences(const SearchTask& task, const TuneAims& aims, const TuneResult& result,
                      UnitSystem units) {
  std::string text = fmt::format(
      "{} designs of {} headers; score = {}, mean over a build tolerance of {}.",
      result.history.size() * (task.space().build_tolerance > 0 ? 2 : 1), result.history.size(),
      score_sentence(aims), length_text(task.space().build_tolerance, units));
  if (!result.best) {
    return text + "\nNo design within the limits counts at every speed of the band.";
  }
  text += "\n" + beside_start(task, result, units);
  const Ease ease = ease_of(task.space(), result.best->values);
  if (result.easier) {
    const Ease easier = ease_of(task.space(), result.easier->values);
    text += fmt::format(
        "\nEasier to build (fewer different primary lengths, {} for {}; {} lengths that are no "
        "whole half inches for {}): {}.",
        easier.lengths, ease.lengths, easier.odd, ease.odd, behind_text(result, units));
  } else {
    text += "\nNone that is easier to build was found.";
  }
  if (result.limits.empty()) return text + "\nNo limit holds the best.";
  const DisplayUnit torque = DisplayUnits(units).torque;
  std::string costs;  // of those that cost anything in the figures shown
  for (const LimitCost& limit : result.limits) {
    const double gain = limit.gain * torque.factor;
    if (std::abs(gain) < 0.05) continue;
    costs +=
        fmt::format("{} {} {:+.1f} {}", costs.empty() ? "" : ";", limit.what, gain, torque.name);
  }
  if (costs.empty()) {
    return text + fmt::format(
                      "\nHalf an inch more room at any of its {} limits would bring less than "
                      "0.05 {}.",
                      result.limits.size(), torque.name);
  }
  return text + "\nWhat holds the best, and what half an inch more room would bring:" + costs + ".";
}

// Variables down, designs across, and below them the aims.
std::string designs_text(const SearchTask& task, const TuneAims& aims, const TuneResult& result,
                         UnitSystem units) {
  TextTable table;
  const Named list = named(result);
  std::vector<std::string> head{""};
  for (const auto& [name, candidate] : list) head.push_back(name);
  table.row(head);
  table.rule();
  const SearchSpace& space = task.space();
  for (std::size_t v = 0; v < space.variables.size(); ++v) {
    std::vector<std::string> row{cases::variable_name(space.variables[v])};
    for (const auto& [name, candidate] : list) {
      row.push_back(drawn_text(task, *candidate, v, units));
    }
    table.row(row);
  }
  table.rule();
  const DisplayUnit unit = DisplayUnits(units).torque;
  const auto add = [&](const std::string& what, const auto& get) {
    std::vector<std::string> row{what};
    for (const auto& [name, candidate] : list) {
      row.push_back(candidate->scored ? fmt::format("{:.1f}", get(*candidate) * unit.factor) : "-");
    }
    table.row(row);
  };
  for (std::size_t i = 0; i < std::size(aim_members); ++i) {
    if (!is_aim(aims, i)) continue;
    add(fmt::format("{}, {}", aim_words[i], unit.name),
        [&](const Candidate& candidate) { return candidate.aims.*aim_members[i]; });
  }
  add(fmt::format("score, {}", unit.name),
      [](const Candidate& candidate) { return candidate.score; });
  return table.text();
}

std::string speeds_text(const SearchTask& task, const TuneResult& result, UnitSystem units) {
  const DisplayUnit unit = DisplayUnits(units).torque;
  TextTable table;
  std::vector<std::string> head{"rpm"};
  for (const auto& [name, candidate] : named(result)) head.push_back(name);
  table.row(head);
  table.rule();
  for (std::size_t s = 0; s < task.speeds().size(); ++s) {
    std::vector<std::string> row{fmt::format("{:.0f}", 60 * task.speeds()[s])};
    for (const auto& [name, candidate] : named(result)) {
      const Trial& drawn = *drawn_of(result, name);
      row.push_back(
          std::isfinite(drawn.torque[s])
              ? fmt::format("{:.1f}{}", drawn.torque[s] * unit.factor, drawn.faults[s] ? "!" : "")
              : "-");
    }
    table.row(row);
  }
  return table.text();
}

std::string front_text(const SearchTask& task, const TuneAims& aims, const TuneResult& result,
                       UnitSystem units) {
  const DisplayUnit unit = DisplayUnits(units).torque;
  TextTable table;
  std::vector<std::string> head;
  for (const auto& variable : task.space().variables)
    head.push_back(cases::variable_name(variable));
  for (const std::size_t aim : aims.front) head.emplace_back(aim_names[aim]);
  table.row(head);
  table.rule();
  for (const Candidate& candidate : result.front) {
    std::vector<std::string> row;
    for (std::size_t v = 0; v < task.space().variables.size(); ++v) {
      row.push_back(drawn_text(task, candidate, v, units));
    }
    for (const std::size_t aim : aims.front) {
      row.push_back(fmt::format("{:.1f}", candidate.aims.*aim_members[aim] * unit.factor));
    }
    table.row(row);
  }
  return table.text();
}

nlohmann::json candidate_json(const SearchTask& task, const Candidate& candidate) {
  const SearchSpace& space = task.space();
  nlohmann::json metric = nlohmann::json::array(), inch = nlohmann::json::array();
  for (std::size_t v = 0; v < space.variables.size(); ++v) {
    const auto text = [&](UnitSystem units) { return drawn_text(task, candidate, v, units); };
    metric.push_back(text(UnitSystem::metric));
    inch.push_back(text(UnitSystem::inch));
  }
  nlohmann::json aims = nlohmann::json::object();
  for (std::size_t i = 0; i < std::size(aim_members); ++i) {
    const double value = candidate.aims.*aim_members[i];
    aims[std::string(aim_names[i])] = candidate.scored ? number_or_null(value) : nlohmann::json();
  }
  return {{"values", candidate.values},
          {"metric", metric},
          {"inch", inch},
          {"aims", aims},
          {"score", candidate.scored ? number_or_null(candidate.score) : nlohmann::json()},
          {"counts", candidate.counts}};
}

nlohmann::json drawn_json(const Trial& trial) {
  nlohmann::json torque = nlohmann::json::array();
  for (const double value : trial.torque) torque.push_back(number_or_null(value));
  return torque;
}

}  // namespace

nlohmann::json tune_json(const SearchTask& task, const TuneAims& aims, const TuneResult& result) {
  nlohmann::json json = search_json(task);
  json["seed"] = task.plan().seed;
  json["variables"] = nlohmann::json::array();
  for (const auto& variable : task.space().variables) {
    json["variables"].push_back({{"name", cases::variable_name(variable)},
                                 {"unit", variable.is_length() ? "m" : "1"},
                                 {"from", variable.least()},
                                 {"to", variable.greatest()}});
  }
  for (std::size_t i = 0; i < std::size(aim_members); ++i) {
    json["weights"][std::string(aim_names[i])] = aims.weights.*weight_members[i];
  }
  for (const auto& [name, candidate] : named(result)) {
    json["designs"][name] = candidate_json(task, *candidate);
    json["designs"][name]["torque"] = drawn_json(*drawn_of(result, name));
    if (!candidate->scored) continue;  // it may make no header
    const Ease ease = ease_of(task.space(), candidate->values);
    json["designs"][name]["different_lengths"] = ease.lengths;
  }
  json["limits"] = nlohmann::json::array();
  for (const LimitCost& limit : result.limits) {
    json["limits"].push_back(
        {{"what", limit.what}, {"beyond", limit.beyond}, {"gain", number_or_null(limit.gain)}});
  }
  json["front_aims"] = nlohmann::json::array();
  for (const std::size_t aim : aims.front) json["front_aims"].push_back(aim_names[aim]);
  json["front"] = nlohmann::json::array();
  for (const Candidate& one : result.front) json["front"].push_back(candidate_json(task, one));
  json["history"] = nlohmann::json::array();
  for (const Candidate& one : result.history) {
    json["history"].push_back({{"score", one.scored ? number_or_null(one.score) : nlohmann::json()},
                               {"counts", one.counts},
                               {"within_limits", within_limits(task.space(), one.values)}});
  }
  json["words"] = {{"metric", sentences(task, aims, result, UnitSystem::metric)},
                   {"inch", sentences(task, aims, result, UnitSystem::inch)}};
  return json;
}

std::string tune_text(const SearchTask& task, const TuneAims& aims, const TuneResult& result,
                      UnitSystem units) {
  std::string text = search_heading(task, "Tune", units);
  text += fmt::format("\n{}\n\n{}", cases::wrapped(sentences(task, aims, result, units)),
                      designs_text(task, aims, result, units));
  text += fmt::format("\nTorque in {} as drawn; ! does not count\n{}",
                      DisplayUnits(units).torque.name, speeds_text(task, result, units));
  if (result.front.empty()) return text;
  return text + fmt::format("\nTo choose from: none of these is beaten in every aim, {}\n{}",
                            DisplayUnits(units).torque.name, front_text(task, aims, result, units));
}

std::string tune_csv(const SearchTask& task, const TuneResult& result, UnitSystem units) {
  const DisplayUnit unit = DisplayUnits(units).torque;
  CsvTable csv;
  csv.add("design");
  for (const auto& variable : task.space().variables) csv.add(cases::variable_name(variable));
  for (const auto name : aim_names) csv.add(fmt::format("{}, {}", name, unit.name));
  csv.add(fmt::format("score, {}", unit.name));
  csv.add("counts");
  csv.end_row();
  int number = 0;
  for (const Candidate& one : result.history) {
    csv.add(fmt::format("{}", ++number));
    for (std::size_t v = 0; v < task.space().variables.size(); ++v) {
      csv.add(drawn_text(task, one, v, units));
    }
    for (const auto member : aim_members) {
      csv.add(one.scored ? fmt::format("{:.3f}", one.aims.*member * unit.factor) : "");
    }
    csv.add(one.scored ? fmt::format("{:.3f}", one.score * unit.factor) : "");
    csv.add(one.counts ? "yes" : "no");
    csv.end_row();
  }
  return csv.text();
}

}  // namespace pulsewright::tools
