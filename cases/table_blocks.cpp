#include "cases/table_blocks.hpp"

#include <algorithm>
#include <map>
#include <stdexcept>

#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

// The lines in which a table begins, [..] or [[..]], and whether it lies within the part.
using TableLines = std::map<std::size_t, bool>;

void find_tables(const toml::node& node, const toml::node& part, bool within, TableLines& out) {
  within = within || &node == &part;
  if (const toml::table* table = node.as_table()) {
    if (table->is_inline()) return;
    if (table->source().begin.line > 0) out[table->source().begin.line] |= within;
    for (const auto& [key, value] : *table) find_tables(value, part, within, out);
  } else if (const toml::array* list = node.as_array()) {
    for (const toml::node& element : *list) {
      if (element.is_table()) find_tables(element, part, within, out);
    }
  }
}

bool begins_with(const std::string& line, char c) {
  const std::size_t first = line.find_first_not_of(" \t");
  return first != std::string::npos && line[first] == c;
}
// The first of the comment lines directly above a line.
std::size_t begin_of_comment(const std::vector<std::string>& lines, std::size_t at) {
  while (at > 0 && begins_with(lines[at - 1], '#')) --at;
  return at;
}

}  // namespace

toml::table parsed_case(std::string_view text) {
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& error) {
    throw std::invalid_argument(std::string(error.description()));
  }
}

std::optional<std::size_t> header_place(const toml::table& root, std::string_view name) {
  const toml::array* headers = root["header"].as_array();
  for (std::size_t i = 0; headers != nullptr && i < headers->size(); ++i) {
    const toml::table* one = headers->get(i)->as_table();
    if (one != nullptr && (*one)["name"].value_or(std::string()) == name) return i;
  }
  return std::nullopt;
}

bool is_blank(const std::string& line) {
  return line.find_first_not_of(" \t") == std::string::npos;
}

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    lines.emplace_back(text.substr(0, end));
    if (!lines.back().empty() && lines.back().back() == '\r') lines.back().pop_back();
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return lines;
}

std::vector<LineSpan> blocks_of(const toml::table& root, const toml::node& part,
                                const std::vector<std::string>& lines) {
  TableLines tables;
  for (const auto& [key, value] : root) find_tables(value, part, false, tables);
  std::vector<LineSpan> blocks;
  for (auto table = tables.begin(); table != tables.end(); ++table) {
    if (!table->second) continue;
    const std::size_t from = begin_of_comment(lines, table->first - 1);
    const auto next = std::next(table);
    std::size_t to = next == tables.end() ? lines.size() : next->first - 1;
    if (next != tables.end() && !next->second) {
      while (to > from && (begins_with(lines[to - 1], '#') || is_blank(lines[to - 1]))) --to;
    }
    blocks.push_back({from, to});
  }
  return blocks;
}

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

std::size_t end_of_heading(std::string_view text, const toml::table& table, std::string_view name) {
  const std::size_t at = offset_of(text, table.source().begin);
  const std::size_t close = text.find(']', at);
  if (text.substr(at, 1) != "[" || close == std::string_view::npos) return std::string_view::npos;
  std::string written;
  for (const char c : text.substr(at + 1, close - at - 1)) {
    if (c != ' ' && c != '\t' && c != '[') written += c;
  }
  return written == name ? line_end(text, at) : std::string_view::npos;
}

std::size_t first_content(std::string_view text) {
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t first = std::min(text.find_first_not_of(" \t\r", at), text.size());
    if (first < text.size() && text[first] != '#' && text[first] != '\n') return at;
    at = line_end(text, at) + 1;
  }
  return text.size();
}

}  // namespace pulsewright::cases
