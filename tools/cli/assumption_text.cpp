#include "tools/cli/assumption_text.hpp"

#include <fmt/format.h>
#include <vector>

#include "cases/wrapped_text.hpp"

namespace pulsewright::tools {

namespace {

// In the order of the case, or of their effects.
std::vector<DefaultEffect> ordered(const cases::CaseFile& case_file,
                                   const std::optional<DefaultEffects>& effects) {
  if (effects) return effects->effects;
  std::vector<DefaultEffect> out(case_file.assumptions.size());
  for (std::size_t i = 0; i < out.size(); ++i) out[i].assumption = i;
  return out;
}

// "-1.2 %" of the end of a range.
std::string change_text(const std::optional<double>& change) {
  if (!change) return "not known";
  const std::string text = fmt::format("{:+.1f} %", 100 * *change);
  return text == "-0.0 %" ? "+0.0 %" : text;
}

// " (40 deg to 70 deg)", and with effects what each end that is not the value itself changes.
std::string range_text(const cases::Assumption& one, const DefaultEffect& effect, bool computed,
                       const cases::QuantityText& shown) {
  if (one.least.empty()) return {};
  const auto end = [&](const std::string& value) { return shown.of_text(value, one.dimension); };
  if (!computed) return fmt::format(" ({} to {})", end(one.least), end(one.greatest));
  std::vector<std::string> ends;
  const auto add = [&](const std::string& value, const std::optional<double>& change) {
    if (value != one.value) ends.push_back(end(value) + ": " + change_text(change));
  };
  add(one.least, effect.at_least);
  add(one.greatest, effect.at_greatest);
  return fmt::format(" ({})", fmt::join(ends, "; "));
}

nlohmann::json value_or_null(const std::string& text) {
  return text.empty() ? nlohmann::json() : nlohmann::json(text);
}

nlohmann::json value_or_null(const std::optional<double>& value) {
  return value ? nlohmann::json(*value) : nlohmann::json();
}

}  // namespace

std::string assumptions_text(const cases::CaseFile& case_file,
                             const std::optional<DefaultEffects>& effects,
                             const cases::QuantityText& shown) {
  if (case_file.assumptions.empty()) return {};
  std::string out = "What the case leaves out, and the range that engines have";
  if (effects) {
    out +=
        fmt::format(", with the change of torque of header \"{}\" at {:.0f} rpm on a coarse grid",
                    effects->header, 60 * effects->speed);
  } else {
    out += "; --defaults shows by how much each matters";
  }
  out = cases::wrapped(out + ":") + "\n";
  for (const DefaultEffect& effect : ordered(case_file, effects)) {
    const cases::Assumption& one = case_file.assumptions[effect.assumption];
    out += cases::wrapped(
               fmt::format("  {} = {}{}: {}", one.key, shown.of_text(one.value, one.dimension),
                           range_text(one, effect, effects.has_value(), shown), one.reason),
               4) +
           "\n";
  }
  return out;
}

nlohmann::json assumptions_json(const cases::CaseFile& case_file,
                                const std::optional<DefaultEffects>& effects) {
  auto list = nlohmann::json::array();
  for (const DefaultEffect& effect : ordered(case_file, effects)) {
    const cases::Assumption& one = case_file.assumptions[effect.assumption];
    list.push_back({{"key", one.key},
                    {"value", one.value},
                    {"least", value_or_null(one.least)},
                    {"greatest", value_or_null(one.greatest)},
                    {"reason", one.reason}});
    if (!effects) continue;
    list.back()["torque_at_least"] = value_or_null(effect.at_least);
    list.back()["torque_at_greatest"] = value_or_null(effect.at_greatest);
  }
  return list;
}

}  // namespace pulsewright::tools
