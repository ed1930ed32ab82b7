// Over 400 lines because all changes walk the same paths through text and parsed text.
#include "cases/text_changes.hpp"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <stdexcept>
#include <toml++/toml.h>
#include <utility>
#include <vector>

#include "cases/case_text.hpp"
#include "cases/table_blocks.hpp"

namespace pulsewright::cases {
namespace {

// One step of a path: the name of a key, or the place in an array, from 0.
struct Step {
  std::string name;
  std::size_t index = 0;  // where name is empty
};
using Path = std::vector<Step>;

[[noreturn]] void refuse(std::string_view key, std::string_view why) {
  throw std::invalid_argument(fmt::format("{}: {}", key, why));
}

Path path_of(std::string_view key) {
  Path path;
  std::string_view rest = key;
  while (!rest.empty()) {
    if (rest.front() == '.') rest.remove_prefix(1);
    if (!rest.empty() && rest.front() == '[') {
      std::size_t number = 0;
      const auto [end, error] = std::from_chars(rest.data() + 1, rest.data() + rest.size(), number);
      if (error != std::errc() || end == rest.data() + rest.size() || *end != ']' || number == 0) {
        refuse(key, "is no name of a key");
      }
      path.push_back({"", number - 1});
      rest.remove_prefix(static_cast<std::size_t>(end + 1 - rest.data()));
      continue;
    }
    const std::size_t end = std::min(rest.find_first_of(".["), rest.size());
    if (end == 0) refuse(key, "is no name of a key");
    path.push_back({std::string(rest.substr(0, end)), 0});
    rest.remove_prefix(end);
  }
  if (path.empty()) refuse(key, "is no name of a key");
  return path;
}

toml::table parsed_text(std::string_view text) {
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& error) {
    refuse_file("case", static_cast<int>(error.source().begin.line),
                fmt::format("is not valid TOML: {}", error.description()), "");
  }
}

// The node at a path; null where there is none.
toml::node* node_at(toml::node& root, const Path& path) {
  toml::node* node = &root;
  for (const Step& step : path) {
    if (node == nullptr) return nullptr;
    if (step.name.empty()) {
      toml::array* list = node->as_array();
      node = list == nullptr ? nullptr : list->get(step.index);
    } else {
      toml::table* table = node->as_table();
      node = table == nullptr ? nullptr : table->get(step.name);
    }
  }
  return node;
}

Path parent_of(Path path) {
  path.pop_back();
  return path;
}

// The name that a heading of the table at a path has: without places in arrays.
std::string heading_of(const Path& path) {
  std::string out;
  for (const Step& step : path) {
    if (step.name.empty()) continue;
    if (!out.empty()) out += '.';
    out += step.name;
  }
  return out;
}

// A table with the value under "v".
toml::table value_table(std::string_view key, std::string_view value) {
  try {
    toml::table table = toml::parse(fmt::format("v = {}\n", value));
    if (table.size() == 1) return table;
  } catch (const toml::parse_error&) {
  }
  refuse(key, "the value is no TOML");
}

// Whether a value stands behind its key, not under a heading of its own.
bool is_beside_key(const toml::node& node) {
  if (const toml::table* table = node.as_table()) return table->is_inline();
  const toml::array* list = node.as_array();
  if (list == nullptr || list->empty()) return true;
  const toml::table* first = list->get(0)->as_table();
  return first == nullptr || first->is_inline();
}

std::size_t end_of(std::string_view text, const toml::node& node) {
  return offset_of(text, node.source().end);
}
std::size_t begin_of(std::string_view text, const toml::node& node) {
  return offset_of(text, node.source().begin);
}

// The text, if it reads as it should.
std::string judged(std::string text, const toml::table& wanted, std::string_view key) {
  bool right = false;
  try {
    right = toml::parse(text) == wanted;
  } catch (const toml::parse_error&) {
  }
  if (!right)
    refuse(key, "this file has its table in a form that is not changed here; edit the file itself");
  return text;
}

// ---------------------------------------------------------------- set

std::string with_line(const std::string& text, std::size_t at, const std::string& line) {
  return at == 0 ? line + "\n" + text : text.substr(0, at) + "\n" + line + text.substr(at);
}

// A line more in a table, behind its last value.
std::string with_new_line(const std::string& text, const toml::table& table, const Path& path,
                          const std::string& line) {
  std::size_t at = std::string::npos;
  for (const auto& [name, value] : table) {
    if (!is_beside_key(value)) continue;
    const std::size_t end = line_end(text, end_of(text, value));
    at = at == std::string::npos ? end : std::max(at, end);
  }
  if (at == std::string::npos && !path.empty()) {
    at = end_of_heading(text, table, heading_of(path));
    if (at == std::string::npos) {  // [a] beside an [a.b] alone
      const std::string gap = text.ends_with('\n') ? "\n" : "\n\n";
      return text + gap + fmt::format("[{}]\n{}\n", heading_of(path), line);
    }
  }
  if (at == std::string::npos) at = first_content(text);
  if (path.empty() && at == first_content(text)) {
    return text.substr(0, at) + line + "\n" + text.substr(at);
  }
  return with_line(text, at, line);
}

std::string with_new_key(const std::string& text, toml::table& root, const Path& path,
                         std::string_view value) {
  const Path parent = parent_of(path);
  const std::string line = fmt::format("{} = {}", path.back().name, value);
  const toml::node* holder = node_at(root, parent);
  if (holder == nullptr) {
    for (const Step& step : parent) {
      if (step.name.empty()) refuse(heading_of(path), "there is no such table");
    }
    const std::string gap = text.empty() ? "" : text.ends_with('\n') ? "\n" : "\n\n";
    return text + gap + fmt::format("[{}]\n{}\n", heading_of(parent), line);
  }
  const toml::table* table = holder->as_table();
  if (table == nullptr) refuse(heading_of(path), "stands in no table");
  if (!parent.empty() && table->is_inline()) {
    const std::size_t close = text.rfind('}', end_of(text, *table));
    std::size_t last = close;
    while (last > 0 && (text[last - 1] == ' ' || text[last - 1] == '\t')) --last;
    return text.substr(0, last) + (table->empty() ? " " : ", ") + line + " " + text.substr(close);
  }
  return with_new_line(text, *table, parent, line);
}

// The same in the parsed text.
void set_parsed(toml::table& root, const Path& path, const toml::node& value) {
  toml::node* node = &root;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    const Step& step = path[i];
    if (step.name.empty()) {
      node = node->as_array()->get(step.index);
    } else {
      toml::table& table = *node->as_table();
      if (table.get(step.name) == nullptr) table.insert(step.name, toml::table());
      node = table.get(step.name);
    }
  }
  const Step& last = path.back();
  if (last.name.empty()) {
    node->as_array()->replace(node->as_array()->cbegin() + static_cast<std::ptrdiff_t>(last.index),
                              value);
  } else {
    node->as_table()->insert_or_assign(last.name, value);
  }
}

// ---------------------------------------------------------------- take away

// Without the lines of these spans, and without two blank lines where they were.
std::string without_lines(std::string_view text, const std::vector<LineSpan>& spans) {
  std::string out;
  std::size_t line = 0;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size() - 1) + 1;
    const std::string_view one = text.substr(0, end);
    const bool goes = std::any_of(spans.begin(), spans.end(), [&](const LineSpan& span) {
      return line >= span.from && line < span.to;
    });
    const bool second_blank = one == "\n" && out.ends_with("\n\n") &&
                              std::any_of(spans.begin(), spans.end(),
                                          [&](const LineSpan& span) { return line == span.to; });
    if (!goes && !second_blank) out += one;
    text.remove_prefix(end);
    ++line;
  }
  return out;
}

bool is_white(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

// Without text[from, to) of an inline table or array, and the comma that goes with it.
std::string without_element(const std::string& text, std::size_t from, std::size_t to) {
  std::size_t after = to;
  while (after < text.size() && is_white(text[after])) ++after;
  if (after < text.size() && text[after] == ',') {
    ++after;
    while (after < text.size() && is_white(text[after])) ++after;
    return text.substr(0, from) + text.substr(after);
  }
  std::size_t before = from;
  while (before > 0 && is_white(text[before - 1])) --before;
  if (before > 0 && text[before - 1] == ',') return text.substr(0, before - 1) + text.substr(to);
  return text.substr(0, from) + text.substr(to);
}

// The key of an entry of a table with its value: where the key begins.
std::size_t begin_of_key(std::string_view text, const toml::table& table, std::string_view name) {
  for (const auto& [key, value] : table) {
    if (key.str() == name) return offset_of(text, key.source().begin);
  }
  return std::string_view::npos;
}

std::string without_value(const std::string& text, const toml::table& table, const Step& step,
                          const toml::node& node) {
  const std::size_t from = begin_of_key(text, table, step.name);
  const std::size_t to = end_of(text, node);
  if (from == std::string::npos) refuse(step.name, "cannot be found in the text");
  if (table.is_inline()) return without_element(text, from, to);
  const std::size_t begin =
      text.rfind('\n', from) == std::string::npos || from == 0 ? 0 : text.rfind('\n', from - 1) + 1;
  return text.substr(0, begin) + text.substr(std::min(line_end(text, to) + 1, text.size()));
}

void erase_parsed(toml::table& root, const Path& path) {
  toml::node& holder = *node_at(root, parent_of(path));
  if (path.back().name.empty()) {
    toml::array& list = *holder.as_array();
    list.erase(list.cbegin() + static_cast<std::ptrdiff_t>(path.back().index));
    // The last table with a heading takes its array along.
    if (list.empty() && path.size() > 1 && !path[path.size() - 2].name.empty()) {
      node_at(root, parent_of(parent_of(path)))->as_table()->erase(path[path.size() - 2].name);
    }
  } else {
    holder.as_table()->erase(path.back().name);
  }
}

// ---------------------------------------------------------------- one table more

// The lines of a table's fields, as they stand under a heading.
std::string fields_as_lines(const toml::table& fields, std::string_view fields_text) {
  const std::string source = fmt::format("v = {}\n", fields_text);
  std::vector<std::pair<std::size_t, std::string>> lines;
  for (const auto& [name, value] : fields) {
    const std::size_t from = begin_of(source, value), to = end_of(source, value);
    lines.emplace_back(from, fmt::format("{} = {}\n", name.str(), source.substr(from, to - from)));
  }
  std::sort(lines.begin(), lines.end());
  std::string out;
  for (const auto& [at, line] : lines) out += line;
  return out;
}

// Where line number `line` (from 0) begins.
std::size_t begin_of_line(std::string_view text, std::size_t line) {
  std::size_t at = 0;
  for (; line > 0 && at < text.size(); --line) at = line_end(text, at) + 1;
  return std::min(at, text.size());
}

// A block of lines behind those of a part of the text, with a blank line between them if `spaced`.
std::string with_block(const std::string& text, const toml::table& root, const toml::node& part,
                       const std::string& block, bool spaced) {
  const std::vector<std::string> lines = lines_of(text);
  const auto spans = blocks_of(root, part, lines);
  const std::size_t line = spans.empty() ? lines.size() : spans.back().to;
  std::size_t to = line;  // without the blank lines at its end
  while (to > 0 && is_blank(lines[to - 1])) --to;
  const std::size_t at = begin_of_line(text, to);
  std::string head = text.substr(0, at);
  if (!head.empty() && !head.ends_with('\n')) head += '\n';
  return head + (spaced && !head.empty() ? "\n" : "") + block + text.substr(at);
}

std::string with_element(const std::string& text, const toml::array& list,
                         std::string_view fields) {
  const std::size_t close = text.rfind(']', end_of(text, list));
  if (list.empty()) return text.substr(0, close) + std::string(fields) + text.substr(close);
  const toml::node& last = *list.get(list.size() - 1);
  const std::size_t at = text.rfind('}', end_of(text, last)) + 1;
  const std::size_t begin = begin_of(text, last);
  const std::size_t line = text.rfind('\n', begin);
  const bool own_line = line != std::string::npos &&
                        text.find_first_not_of(" \t", line + 1) == begin;  // one element to a line
  const std::string gap = own_line ? "\n" + text.substr(line + 1, begin - line - 1) : " ";
  return text.substr(0, at) + "," + gap + std::string(fields) + text.substr(at);
}

// ---------------------------------------------------------------- headers

std::size_t header_index(const toml::table& root, std::string_view name) {
  const auto place = header_place(root, name);
  if (!place) refuse(name, "there is no header of that name");
  return *place;
}

void refuse_taken(const toml::table& root, std::string_view name) {
  if (header_place(root, name)) refuse(name, "there is a header of that name already");
}

std::string header_key(std::size_t index, std::string_view key) {
  return fmt::format("header[{}]{}{}", index + 1, key.empty() ? "" : ".", key);
}

// ---------------------------------------------------------------- the changes

std::string key_set(std::string_view text, std::string_view key, std::string_view value) {
  const Path path = path_of(key);
  toml::table root = parsed_text(text);
  const toml::table parsed_value = value_table(key, value);
  toml::node* node = node_at(root, path);
  std::string out(text);
  if (node == nullptr) {
    if (path.back().name.empty()) refuse(key, "there is no such value");
    out = with_new_key(out, root, path, value);
  } else if (!is_beside_key(*node)) {
    refuse(key, "is a table with a heading of its own");
  } else {
    out =
        out.substr(0, begin_of(text, *node)) + std::string(value) + out.substr(end_of(text, *node));
  }
  set_parsed(root, path, *parsed_value.get("v"));
  return judged(std::move(out), root, key);
}

std::string key_taken(std::string_view text, std::string_view key) {
  const Path path = path_of(key);
  toml::table root = parsed_text(text);
  const toml::node* node = node_at(root, path);
  if (node == nullptr) refuse(key, "there is no such key");
  std::string out(text);
  const toml::node& holder = *node_at(root, parent_of(path));
  if (!is_beside_key(*node)) {
    out = without_lines(text, blocks_of(root, *node, lines_of(text)));
  } else if (const toml::table* table = holder.as_table()) {
    out = without_value(out, *table, path.back(), *node);
  } else {
    out = without_element(out, begin_of(text, *node), end_of(text, *node));
  }
  const bool keeps_array = holder.is_array() && is_beside_key(*node);
  if (keeps_array) {
    toml::array& list = *node_at(root, parent_of(path))->as_array();
    list.erase(list.cbegin() + static_cast<std::ptrdiff_t>(path.back().index));
  } else {
    erase_parsed(root, path);
  }
  return judged(std::move(out), root, key);
}

std::string table_added(std::string_view text, std::string_view key, std::string_view fields,
                        bool with_headings) {
  const Path path = path_of(key);
  toml::table root = parsed_text(text);
  const toml::table value = value_table(key, fields);
  if (value.get("v")->as_table() == nullptr) refuse(key, "a table is wanted");
  toml::node* node = node_at(root, path);
  if (node == nullptr && !with_headings) return key_set(text, key, fmt::format("[{}]", fields));
  toml::array* list = node == nullptr ? nullptr : node->as_array();
  if (node != nullptr && list == nullptr) refuse(key, "is no list of tables");
  std::string out(text);
  if (list != nullptr && is_beside_key(*list)) {
    out = with_element(out, *list, fields);
  } else {
    const toml::node* part = list;
    if (part == nullptr) part = node_at(root, parent_of(path));
    if (part == nullptr) part = &root;
    const std::string lines = fields_as_lines(*value.get("v")->as_table(), fields);
    out = with_block(out, root, *part, fmt::format("[[{}]]\n{}", heading_of(path), lines), true);
  }
  if (list == nullptr) {
    set_parsed(root, path, toml::array());
    list = node_at(root, path)->as_array();
  }
  list->push_back(*value.get("v")->as_table());
  return judged(std::move(out), root, key);
}

std::string header_copied(std::string_view text, std::string_view name, std::string_view new_name) {
  toml::table root = parsed_text(text);
  const std::size_t index = header_index(root, name);
  refuse_taken(root, new_name);
  toml::array& headers = *root["header"].as_array();
  const toml::node& one = *headers.get(index);
  const std::vector<std::string> lines = lines_of(text);
  const auto spans = blocks_of(root, one, lines);
  if (spans.empty()) refuse(name, "the header has no heading of its own");
  std::size_t from = begin_of_line(text, static_cast<std::size_t>(one.source().begin.line) - 1);
  std::size_t to = begin_of_line(text, spans.back().to);
  std::string block(text.substr(from, to - from));
  while (block.ends_with("\n\n")) block.pop_back();
  if (!block.ends_with('\n')) block += '\n';
  const toml::node& name_node = *one.as_table()->get("name");
  block = block.substr(0, begin_of(text, name_node) - from) + toml_text(new_name) +
          block.substr(end_of(text, name_node) - from);
  // Like the header itself: with a blank line about it, or directly between its neighbours.
  const auto blank = [&](std::size_t line) {
    return line >= lines.size() || is_blank(lines[line]);
  };
  const std::size_t first = spans.front().from;
  const bool spaced =
      blank(spans.back().to) || blank(spans.back().to - 1) || (first > 0 && blank(first - 1));
  std::string out = with_block(std::string(text), root, one, block, spaced);
  toml::table copy = *one.as_table();
  copy.insert_or_assign("name", std::string(new_name));
  headers.insert(headers.cbegin() + static_cast<std::ptrdiff_t>(index) + 1, copy);
  return judged(std::move(out), root, name);
}

std::string header_renamed(std::string_view text, std::string_view name,
                           std::string_view new_name) {
  if (name == new_name) return std::string(text);
  toml::table root = parsed_text(text);
  const std::size_t index = header_index(root, name);
  refuse_taken(root, new_name);
  std::string out = key_set(text, header_key(index, "name"), toml_text(new_name));
  if (root["tune"]["header"].value_or(std::string()) == name) {
    out = key_set(out, "tune.header", toml_text(new_name));
  }
  const toml::array* pulls = root["dyno"].as_array();
  for (std::size_t i = 0; pulls != nullptr && i < pulls->size(); ++i) {
    const toml::table* one = pulls->get(i)->as_table();
    if (one != nullptr && one->get("header") != nullptr &&
        one->get("header")->value_or(std::string()) == name) {
      out = key_set(out, fmt::format("dyno[{}].header", i + 1), toml_text(new_name));
    }
  }
  return out;
}

std::string header_taken(std::string_view text, std::string_view name) {
  toml::table root = parsed_text(text);
  return key_taken(text, header_key(header_index(root, name), ""));
}

// ---------------------------------------------------------------- line ends

constexpr std::string_view byte_order_mark = "\xef\xbb\xbf";

bool has_windows_lines(std::string_view text) {
  for (std::size_t at = text.find('\n'); at != std::string_view::npos;
       at = text.find('\n', at + 1)) {
    if (at == 0 || text[at - 1] != '\r') return false;
  }
  return text.find('\n') != std::string_view::npos;
}

// A change of a text with line feeds at the ends of its lines. A byte-order mark, and carriage
// returns where all lines have them, are put back as they were.
template <class Change>
std::string with_own_ends(std::string_view text, const Change& change) {
  std::string mark;
  if (text.starts_with(byte_order_mark)) {
    mark = byte_order_mark;
    text.remove_prefix(byte_order_mark.size());
  }
  if (!has_windows_lines(text)) return mark + change(text);
  std::string plain;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\r' || i + 1 == text.size() || text[i + 1] != '\n') plain += text[i];
  }
  std::string out = mark;
  for (const char c : change(plain)) {
    if (c == '\n') out += '\r';
    out += c;
  }
  return out;
}

}  // namespace

std::string with_key(std::string_view text, std::string_view key, std::string_view value) {
  return with_own_ends(text, [&](std::string_view plain) { return key_set(plain, key, value); });
}

std::string without_key(std::string_view text, std::string_view key) {
  return with_own_ends(text, [&](std::string_view plain) { return key_taken(plain, key); });
}

std::string with_table(std::string_view text, std::string_view key, std::string_view fields,
                       bool with_headings) {
  return with_own_ends(
      text, [&](std::string_view plain) { return table_added(plain, key, fields, with_headings); });
}

std::string with_header_copy(std::string_view text, std::string_view name,
                             std::string_view new_name) {
  return with_own_ends(
      text, [&](std::string_view plain) { return header_copied(plain, name, new_name); });
}

std::string with_header_renamed(std::string_view text, std::string_view name,
                                std::string_view new_name) {
  return with_own_ends(
      text, [&](std::string_view plain) { return header_renamed(plain, name, new_name); });
}

std::string without_header(std::string_view text, std::string_view name) {
  return with_own_ends(text, [&](std::string_view plain) { return header_taken(plain, name); });
}

}  // namespace pulsewright::cases
