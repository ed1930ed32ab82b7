// Over 400 lines because every kind of value has its function here.
#include "cases/section.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>

#include "cases/builder_words.hpp"
#include "cases/nearest_key.hpp"
#include "cases/shown_value.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

int line_of(const toml::node& node) { return static_cast<int>(node.source().begin.line); }

std::string indexed(const std::string& path, std::size_t index) {
  return fmt::format("{}[{}]", path, index + 1);
}

}  // namespace

Section::Section(Problems& problems, const toml::table* table, std::string_view section,
                 std::string path, int line)
    : problems_(&problems), table_(table), section_(section), path_(std::move(path)), line_(line) {
  if (table_ != nullptr && line_ == 0) line_ = line_of(*table_);
  problems_->located(path_, line_, std::string());
}

bool Section::has(std::string_view key) const {
  return table_ != nullptr && table_->get(key) != nullptr;
}

std::string Section::path(std::string_view key) const {
  return path_.empty() ? std::string(key) : fmt::format("{}.{}", path_, key);
}

bool Section::has_former(const Parameter& parameter) const {
  return !parameter.former_key.empty() && has(parameter.former_key);
}

const toml::node* Section::find(std::string_view key, const Parameter*& parameter) {
  parameter = find_parameter(section_, key);
  if (parameter == nullptr) {
    throw std::logic_error(fmt::format("the parameter table has no {}.{}", section_, key));
  }
  asked_.emplace(key);
  const toml::node* node = table_ == nullptr ? nullptr : table_->get(key);
  if (node != nullptr) {
    problems_->located(path(key), line_of(*node), shown_value(*node));
  } else if (parameter->presence == Presence::required && !has_former(*parameter)) {
    problems_->wrong_in(path_);
    problems_->add({"", line_, path(key), "", "is missing",
                    allowed_text(*parameter, problems_->shown()), example_line(*parameter)});
  }
  return node;
}

void Section::wrong(const toml::node& node, const std::string& name, const Parameter& parameter,
                    std::string message) {
  problems_->wrong_in(path_);
  problems_->add({"", line_of(node), name, shown_value(node), std::move(message),
                  allowed_text(parameter, problems_->shown()), example_line(parameter)});
}

bool Section::in_range(double value, const toml::node& node, const std::string& name,
                       const Parameter& parameter) {
  // A limit written in another unit than the value must not refuse its own value by round-off.
  constexpr double slack = 1e-12;
  if (!parameter.least.empty()) {
    const double least = value_of(parameter.least, parameter);
    if (!(value >= least - slack * std::abs(least))) {
      wrong(node, name, parameter,
            fmt::format("is less than {}",
                        limit_text(parameter.least, parameter, problems_->shown())));
      return false;
    }
  }
  if (!parameter.greatest.empty()) {
    const double greatest = value_of(parameter.greatest, parameter);
    if (!(value <= greatest + slack * std::abs(greatest))) {
      wrong(node, name, parameter,
            fmt::format("is more than {}",
                        limit_text(parameter.greatest, parameter, problems_->shown())));
      return false;
    }
  }
  return true;
}

std::optional<std::string> Section::string_of(const toml::node& node, const std::string& name,
                                              const Parameter& parameter,
                                              std::string_view let_through) {
  if (const auto* text = node.as_string()) {
    const std::string& value = text->get();
    const std::size_t odd = find_invisible(value, let_through);
    if (odd == std::string::npos) return value;
    wrong(node, name, parameter,
          "contains the character " + character_code(value, odd) + ", which does not print");
    return std::nullopt;
  }
  const bool bare = node.is_number() && parameter.dimension != Dimension::none;
  wrong(node, name, parameter,
        bare ? "is a bare number; it needs its unit and quotes" : "is not a text in quotes");
  return std::nullopt;
}

std::optional<double> Section::dimensioned(const toml::node& node, const std::string& name,
                                           const Parameter& parameter) {
  const std::optional<std::string> text = string_of(node, name, parameter);
  if (!text) return std::nullopt;
  try {
    const double value = parse_quantity(*text, parameter.dimension);
    if (in_range(value, node, name, parameter)) return value;
  } catch (const QuantityError& error) {
    wrong(node, name, parameter, error.what());
  }
  return std::nullopt;
}

std::optional<double> Section::number_of(const toml::node& node, const std::string& name,
                                         const Parameter& parameter) {
  double value = 0;
  if (const auto* number = node.as_floating_point()) {
    value = number->get();
  } else if (const auto* whole = node.as_integer()) {
    value = static_cast<double>(whole->get());
  } else if (const auto* text = node.as_string()) {
    try {
      value = parse_number(text->get());
      if (length_of_number(text->get()) == text->get().size()) {
        wrong(node, name, parameter, "is not a plain number; write it without quotes");
        return std::nullopt;
      }
    } catch (const QuantityError&) {
      wrong(node, name, parameter, "is not a plain number");
      return std::nullopt;
    }
  } else {
    wrong(node, name, parameter, "is not a plain number");
    return std::nullopt;
  }
  if (!std::isfinite(value)) {
    wrong(node, name, parameter, "is not a finite number");
    return std::nullopt;
  }
  if (!in_range(value, node, name, parameter)) return std::nullopt;
  return value;
}

std::optional<int> Section::integer_of(const toml::node& node, const std::string& name,
                                       const Parameter& parameter) {
  const auto* whole = node.as_integer();
  if (whole == nullptr) {
    wrong(node, name, parameter, "is not a whole number");
    return std::nullopt;
  }
  if (!in_range(static_cast<double>(whole->get()), node, name, parameter)) return std::nullopt;
  if (whole->get() > std::numeric_limits<int>::max() ||
      whole->get() < std::numeric_limits<int>::min()) {
    wrong(node, name, parameter, "is too large for this program");
    return std::nullopt;
  }
  return static_cast<int>(whole->get());
}

double Section::quantity(std::string_view key) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node != nullptr) return dimensioned(*node, path(key), *parameter).value_or(0);
  return default_value(*parameter);
}

double Section::quantity_of(const toml::node& node, const std::string& name,
                            const Parameter& like) {
  problems_->located(name, line_of(node), shown_value(node));
  return dimensioned(node, name, like).value_or(0);
}

// One value per element of the array; empty if the key is missing or no array.
template <class Value, class Read>
std::vector<Value> Section::array_of(std::string_view key, const Read& read) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  std::vector<Value> out;
  if (node == nullptr) return out;
  const toml::array* array = node->as_array();
  if (array == nullptr || array->empty()) {
    wrong(*node, path(key), *parameter, array == nullptr ? "is not an array" : "is empty");
    return out;
  }
  for (std::size_t i = 0; i < array->size(); ++i) {
    out.push_back(read(*array->get(i), indexed(path(key), i), *parameter).value_or(Value{}));
  }
  return out;
}

std::vector<double> Section::quantities(std::string_view key) {
  return array_of<double>(
      key, [this](const toml::node& node, const std::string& name, const Parameter& like) {
        return dimensioned(node, name, like);
      });
}

double Section::number(std::string_view key) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node != nullptr) return number_of(*node, path(key), *parameter).value_or(0);
  return default_value(*parameter);
}

std::vector<double> Section::numbers(std::string_view key) {
  return array_of<double>(
      key, [this](const toml::node& node, const std::string& name, const Parameter& like) {
        return number_of(node, name, like);
      });
}

int Section::integer(std::string_view key) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node != nullptr) return integer_of(*node, path(key), *parameter).value_or(0);
  return static_cast<int>(default_value(*parameter));
}

std::vector<int> Section::integers(std::string_view key) {
  return array_of<int>(key, [this](const toml::node& node, const std::string& name,
                                   const Parameter& like) { return integer_of(node, name, like); });
}

std::vector<int> Section::integers_of(const toml::node& node, const std::string& name) {
  problems_->located(name, line_of(node), shown_value(node));
  std::vector<int> out;
  const toml::array* array = node.as_array();
  bool good = array != nullptr && !array->empty();
  for (std::size_t i = 0; good && i < array->size(); ++i) {
    const auto* whole = array->get(i)->as_integer();
    good = whole != nullptr && whole->get() >= 0 && whole->get() <= 1000;
    if (good) out.push_back(static_cast<int>(whole->get()));
  }
  if (!good) {
    problems_->wrong_in(path_);
    problems_->add(name, "is not an array of cylinder numbers", "for example: [1, 3, 5, 7]");
    out.clear();
  }
  return out;
}

std::vector<std::vector<int>> Section::integer_lists(std::string_view key) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  std::vector<std::vector<int>> out;
  if (node == nullptr) return out;
  const toml::array* array = node->as_array();
  if (array == nullptr || array->empty()) {
    wrong(*node, path(key), *parameter, "is not an array of arrays");
    return out;
  }
  for (std::size_t i = 0; i < array->size(); ++i) {
    out.push_back(integers_of(*array->get(i), indexed(path(key), i)));
  }
  problems_->located(path(key), line_of(*node), shown_value(*node));
  return out;
}

bool Section::flag(std::string_view key) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node == nullptr) return default_value(*parameter) != 0;
  if (const auto* value = node->as_boolean()) return value->get();
  wrong(*node, path(key), *parameter, "is neither true nor false");
  return false;
}

std::string Section::text_of(std::string_view key, std::string_view let_through) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node == nullptr) return default_text(*parameter);
  return string_of(*node, path(key), *parameter, let_through).value_or(std::string());
}

std::string Section::choice(std::string_view key) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node == nullptr) return default_text(*parameter);
  const std::vector<std::string> choices = choices_of(*parameter);
  const std::optional<std::string> value = string_of(*node, path(key), *parameter);
  if (!value) return choices.front();
  if (std::find(choices.begin(), choices.end(), *value) != choices.end()) return *value;
  if (const std::string now = new_choice(*parameter, *value); !now.empty()) {
    problems_->wrong_in(path_);
    problems_->add({"", line_of(*node), path(key), shown_value(*node),
                    fmt::format("is an old name, which is \"{}\" now", now),
                    allowed_text(*parameter, problems_->shown()),
                    fmt::format("write {} = \"{}\"", key, now)});
    return choices.front();
  }
  if (const std::string advice = builder_word(section_, key, *value); !advice.empty()) {
    problems_->wrong_in(path_);
    problems_->add({"", line_of(*node), path(key), shown_value(*node), "is not known",
                    allowed_text(*parameter, problems_->shown()), advice});
    return choices.front();
  }
  const std::string near = nearest_key(*value, choices);
  wrong(*node, path(key), *parameter,
        near.empty() ? "is not known" : fmt::format("is not known; did you mean \"{}\"?", near));
  return choices.front();
}

std::optional<Tube> Section::tube_of(const toml::node& node, const std::string& name,
                                     const Parameter& parameter) {
  const std::optional<std::string> text = string_of(node, name, parameter);
  if (!text) return std::nullopt;
  try {
    const Tube tube = parse_tube(*text);
    if (in_range(tube.inside_diameter, node, name, parameter)) return tube;
  } catch (const QuantityError& error) {
    wrong(node, name, parameter, error.what());
  }
  return std::nullopt;
}

Tube Section::tube(std::string_view key) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  return node == nullptr ? Tube{} : tube_of(*node, path(key), *parameter).value_or(Tube{});
}

std::vector<Tube> Section::tubes(std::string_view key) {
  return array_of<Tube>(key, [this](const toml::node& node, const std::string& name,
                                    const Parameter& like) { return tube_of(node, name, like); });
}

std::optional<ValveEvent> Section::event(std::string_view key, std::optional<DeadCentre> only) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node == nullptr) {
    if (parameter->fallback.none()) return std::nullopt;
    return parse_valve_event(default_text(*parameter));
  }
  const std::optional<std::string> text = string_of(*node, path(key), *parameter);
  if (!text) return std::nullopt;
  try {
    const ValveEvent event = parse_valve_event(*text, only);
    if (std::abs(event.angle_deg) <= 360) return event;
    wrong(*node, path(key), *parameter, "is more than half a cycle away");
  } catch (const QuantityError& error) {
    wrong(*node, path(key), *parameter, error.what());
  }
  return std::nullopt;
}

Section Section::table(std::string_view key, std::string_view section) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node == nullptr) return {*problems_, nullptr, section, path(key), line_};
  const toml::table* inner = node->as_table();
  if (inner == nullptr) wrong(*node, path(key), *parameter, "is not a table");
  return {*problems_, inner, section, path(key), line_of(*node)};
}

std::vector<Section> Section::tables(std::string_view key, std::string_view section) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  std::vector<Section> out;
  if (node == nullptr) return out;
  const toml::array* array = node->as_array();
  if (array == nullptr) {
    wrong(*node, path(key), *parameter, "is not an array of tables");
    return out;
  }
  for (std::size_t i = 0; i < array->size(); ++i) {
    const toml::node& inner = *array->get(i);
    if (inner.as_table() == nullptr) {
      wrong(inner, indexed(path(key), i), *parameter, "is not a table");
      continue;
    }
    out.emplace_back(*problems_, inner.as_table(), section, indexed(path(key), i), line_of(inner));
  }
  return out;
}

void Section::entries(std::string_view key,
                      const std::function<void(const std::string& name, const toml::node&)>& take) {
  const Parameter* parameter = nullptr;
  const toml::node* node = find(key, parameter);
  if (node == nullptr) return;
  const toml::table* inner = node->as_table();
  if (inner == nullptr || inner->empty()) {
    wrong(*node, path(key), *parameter, inner == nullptr ? "is not a table" : "is empty");
    return;
  }
  // The parser sorts keys by name; the author's order is that of the places in the file.
  std::vector<std::pair<const toml::key*, const toml::node*>> sorted;
  for (const auto& [name, value] : *inner) sorted.emplace_back(&name, &value);
  std::sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) {
    const auto& x = a.first->source().begin;
    const auto& y = b.first->source().begin;
    return x.line != y.line ? x.line < y.line : x.column < y.column;
  });
  for (const auto& [name, value] : sorted) take(std::string(name->str()), *value);
}

void Section::wrong_value(std::string_view key, std::string message, std::string advice) {
  if (problems_->is_wrong(path_)) return;
  problems_->wrong_in(path_);
  problems_->add(problem_at(key, std::move(message), std::move(advice)));
}

void Section::problem(std::string_view key, std::string message, std::string advice) {
  if (problems_->is_wrong(path_)) return;
  problems_->judge(path_, problem_at(key, std::move(message), std::move(advice)));
}

Problem Section::problem_at(std::string_view key, std::string message, std::string advice) const {
  const Parameter* parameter = find_parameter(section_, key);
  const toml::node* node = table_ == nullptr ? nullptr : table_->get(key);
  return {"",
          node == nullptr ? line_ : line_of(*node),
          path(key),
          node == nullptr ? std::string() : shown_value(*node),
          std::move(message),
          parameter == nullptr ? std::string() : allowed_text(*parameter, problems_->shown()),
          std::move(advice)};
}

void Section::finish() {
  const std::vector<std::string> known = keys_of(section_);
  for (const std::string& key : known) {
    if (asked_.find(key) == asked_.end()) {
      throw std::logic_error(fmt::format("the reader never reads {}.{}", section_, key));
    }
  }
  if (table_ == nullptr) return;
  for (const auto& [key, node] : *table_) {
    if (asked_.find(key.str()) != asked_.end()) continue;
    problems_->wrong_in(path_);
    if (const Parameter* now = find_former(section_, key.str())) {
      problems_->add({"", static_cast<int>(key.source().begin.line), path(key.str()),
                      shown_value(node), fmt::format("is an old name, which is {} now", now->key),
                      allowed_text(*now, problems_->shown()), example_line(*now)});
      continue;
    }
    const std::string word = builder_word(section_, "", key.str());
    const std::string near = word.empty() ? nearest_key(key.str(), known) : std::string();
    for (const std::string& name : known) {
      const bool meant = name == near || word.find("write " + name) != std::string::npos;
      if (meant) problems_->not_missing(path(name));
    }
    std::string all;
    for (const std::string& name : known) all += (all.empty() ? "" : ", ") + name;
    problems_->add({"", static_cast<int>(key.source().begin.line), path(key.str()),
                    shown_value(node), "is not a known key", all,
                    !word.empty()  ? word
                    : near.empty() ? std::string("remove it")
                                   : fmt::format("did you mean {}?", near)});
  }
}

}  // namespace pulsewright::cases
