#include "cases/case_edit.hpp"

#include <fmt/format.h>
#include <optional>
#include <stdexcept>

#include "cases/case_text.hpp"
#include "cases/decimal_number.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

std::string as_written(const std::string& value) {
  if (decimal_number(value)) {
    const bool whole = value.find_first_of(".eE") == std::string::npos;
    return whole ? value + ".0" : value;
  }
  std::string out = "\"";
  for (const char c : value) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + "\"";
}

// Where a line and column of the parser lie in the text; both count from 1, columns in characters.
std::size_t offset_of(std::string_view text, toml::source_position position) {
  std::size_t at = 0;
  for (toml::source_index line = 1; line < position.line && at < text.size(); ++line) {
    at = std::min(text.find('\n', at), text.size() - 1) + 1;
  }
  for (toml::source_index column = 1; column < position.column && at < text.size(); ++column) {
    at += std::max<std::size_t>(1, character_bytes(text, at));
  }
  return at;
}

std::size_t line_end(std::string_view text, std::size_t at) {
  return std::min(text.find('\n', at), text.size());
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

// The end of the heading "[combustion]" of a table; none where it has none of its own, as `a` of
// "[a.b]" alone.
std::optional<std::size_t> end_of_heading(std::string_view text, const toml::table& table,
                                          const std::string& name) {
  const std::size_t at = offset_of(text, table.source().begin);
  const std::size_t close = text.find(']', at);
  if (text.substr(at, 1) != "[" || close == std::string_view::npos) return std::nullopt;
  std::string written;
  for (const char c : text.substr(at + 1, close - at - 1)) {
    if (c != ' ' && c != '\t') written += c;
  }
  return written == name ? std::optional(line_end(text, at)) : std::nullopt;
}

// Where the first key or heading stands.
std::size_t first_content(std::string_view text) {
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t first = std::min(text.find_first_not_of(" \t\r", at), text.size());
    if (first < text.size() && text[first] != '#' && text[first] != '\n') return at;
    at = line_end(text, at) + 1;
  }
  return text.size();
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
    if (const auto end = end_of_heading(text, *table, place.table)) {
      return text.substr(0, *end) + "\n" + line.substr(0, line.size() - 1) + text.substr(*end);
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
