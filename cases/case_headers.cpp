#include "cases/case_headers.hpp"

#include <algorithm>
#include <map>
#include <stdexcept>
#include <toml++/toml.h>

namespace pulsewright::cases {
namespace {

// The lines in which a table begins, [..] or [[..]], and whether it goes with the headers.
using TableLines = std::map<std::size_t, bool>;

void find_tables(const toml::node& node, bool goes, TableLines& out) {
  if (const toml::table* table = node.as_table()) {
    if (table->is_inline()) return;
    if (table->source().begin.line > 0) out[table->source().begin.line] |= goes;
    for (const auto& [key, value] : *table) find_tables(value, goes, out);
  } else if (const toml::array* list = node.as_array()) {
    for (const toml::node& element : *list) {
      if (element.is_table()) find_tables(element, goes, out);
    }
  }
}

// The headers, and what names one of them.
bool goes_with_headers(std::string_view key) {
  return key == "header" || key == "dyno" || key == "tune";
}

TableLines table_lines(std::string_view text) {
  TableLines lines;
  try {
    const toml::table root = toml::parse(text);
    for (const auto& [key, value] : root) find_tables(value, goes_with_headers(key.str()), lines);
  } catch (const toml::parse_error& error) {
    throw std::invalid_argument(std::string(error.description()));
  }
  return lines;
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

bool begins_with(const std::string& line, char c) {
  const std::size_t first = line.find_first_not_of(" \t");
  return first != std::string::npos && line[first] == c;
}
bool is_blank(const std::string& line) {
  return line.find_first_not_of(" \t") == std::string::npos;
}

// The first of the comment lines directly above a line.
std::size_t begin_of_comment(const std::vector<std::string>& lines, std::size_t at) {
  while (at > 0 && begins_with(lines[at - 1], '#')) --at;
  return at;
}

}  // namespace

std::string with_headers(std::string_view case_text, const std::vector<std::string>& headers) {
  const TableLines tables = table_lines(case_text);
  const std::vector<std::string> lines = lines_of(case_text);
  // Per line whether it stays: from a table that goes, with the comment above it, to the next one
  // that stays, with the comments and blank lines above that.
  std::vector<bool> stays(lines.size(), true);
  std::size_t first = lines.size();
  for (auto table = tables.begin(); table != tables.end(); ++table) {
    if (!table->second) continue;
    const std::size_t from = begin_of_comment(lines, table->first - 1);
    const auto next = std::next(table);
    std::size_t to = next == tables.end() ? lines.size() : next->first - 1;
    if (next != tables.end() && !next->second) {
      while (to > from && (begins_with(lines[to - 1], '#') || is_blank(lines[to - 1]))) --to;
    }
    for (std::size_t i = from; i < to; ++i) stays[i] = false;
    first = std::min(first, from);
  }
  std::string out;
  const auto add_headers = [&] {
    for (const std::string& header : headers) {
      if (!out.empty() && !out.ends_with("\n\n")) out += '\n';
      out += header;
    }
  };
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i == first) add_headers();
    if (stays[i]) out += lines[i] + '\n';
  }
  if (first == lines.size()) add_headers();
  return out;
}

}  // namespace pulsewright::cases
