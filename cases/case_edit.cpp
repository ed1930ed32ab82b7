#include "cases/case_edit.hpp"

#include <fmt/format.h>
#include <optional>
#include <stdexcept>

#include "cases/case_text.hpp"
#include "cases/decimal_number.hpp"
#include "cases/table_blocks.hpp"

namespace pulsewright::cases {
namespace {

std::string as_written(const std::string& value) {
  if (decimal_number(value)) {
    const bool whole = value.find_first_of(".eE") == std::string::npos;
    return whole ? value + ".0" : value;
  }
  return toml_text(value);
}

struct KeyPlace {
  std::string table;  // dotted, "" = the top
  std::string name;
};

KeyPlace place_of(const std::string& key) {
  const std::size_t dot = key.rfind('.');
  if (dot == std::string::npos) return {"", key};
  return {key.substr(0, dot), key.substr(dot + 1)};
}

std::string with_value(const std::string& text, const toml::table& root, const Override& changed) {
  const std::string value = as_written(changed.value);
  const KeyPlace place = place_of(changed.key);
  if (const auto node = root.at_path(changed.key)) {
    const toml::source_region& region = node.node()->source();
    const std::size_t from = offset_of(text, region.begin), to = offset_of(text, region.end);
    return text.substr(0, from) + value + text.substr(to);
  }
  const std::string line = fmt::format("{} = {}\n", place.name, value);
  if (place.table.empty()) {
    const std::size_t at = first_content(text);
    return text.substr(0, at) + line + text.substr(at);
  }
  const toml::table* table = root.at_path(place.table).as_table();
  if (table != nullptr && table->is_inline()) {
    const std::size_t end = text.rfind('}', offset_of(text, table->source().end));
    const std::string comma = table->empty() ? " " : ", ";
    return text.substr(0, end) + fmt::format("{}{} = {} ", comma, place.name, value) +
           text.substr(end);
  }
  if (table != nullptr) {
    const std::size_t end = end_of_heading(text, *table, place.table);
    if (end != std::string::npos) {
      return text.substr(0, end) + "\n" + line.substr(0, line.size() - 1) + text.substr(end);
    }
  }
  const std::string gap = text.empty() || text.back() == '\n' ? "\n" : "\n\n";
  return text + gap + fmt::format("[{}]\n{}", place.table, line);
}

toml::table parsed(std::string_view text, const std::string& file) {
  try {
    return toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    refuse_file(file, static_cast<int>(error.source().begin.line),
                fmt::format("is not valid TOML: {}", error.description()), "");
  }
}

}  // namespace

void apply_override(const Override& changed, toml::table& root) {
  toml::table* table = &root;
  std::string_view rest = changed.key;
  for (std::size_t dot = rest.find('.'); dot != std::string_view::npos; dot = rest.find('.')) {
    const std::string_view part = rest.substr(0, dot);
    rest.remove_prefix(dot + 1);
    if (table->get(part) == nullptr) table->insert(part, toml::table());
    table = table->get(part)->as_table();
    if (table == nullptr) return;
  }
  if (changed.value.empty()) {
    table->erase(rest);
  } else if (const auto number = decimal_number(changed.value)) {
    table->insert_or_assign(rest, *number);
  } else {
    table->insert_or_assign(rest, changed.value);
  }
}

std::string edited_case(std::string_view text, const std::string& file_name,
                        const std::vector<Override>& changes) {
  std::string out(text);
  toml::table wanted = parsed(text, file_name);
  for (const Override& changed : changes) {
    if (changed.value.empty()) {
      throw std::invalid_argument(
          fmt::format("{}: a key is set here, not taken away", changed.key));
    }
    out = with_value(out, parsed(out, file_name), changed);
    apply_override(changed, wanted);
    // The parser judges, so that no text of a case can make this file something else.
    bool right = false;
    try {
      right = toml::parse(out, file_name) == wanted;
    } catch (const toml::parse_error&) {
    }
    if (!right) {
      throw std::invalid_argument(fmt::format(
          "{}: cannot write {} = {} where this file has its table; write that table as "
          "[{}]",
          file_name, changed.key, as_written(changed.value), place_of(changed.key).table));
    }
  }
  return out;
}

std::string written_value(std::string_view text, const std::string& key) {
  const toml::table root = parsed(text, "");
  const auto node = root.at_path(key);
  if (const auto words = node.value_exact<std::string>()) return *words;
  if (const auto number = node.value<double>()) return fmt::format("{}", *number);
  return "";
}

}  // namespace pulsewright::cases
