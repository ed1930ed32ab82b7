#include "tools/dyno/pull_table.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/counted.hpp"
#include "cases/nearest_key.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::tools {

namespace {

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r'; }

std::string trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return std::string(text);
}

std::string lower(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

// Units may have digits (m3/h), but do not begin with one.
bool begins_as_number(std::string_view text) { return text.find_first_of("0123456789+-.") == 0; }

// "Torque" and "lb ft" of "Torque (lb ft)" or "Torque [lb ft]".
std::pair<std::string, std::string> split_heading(const std::string& text) {
  for (const auto& [open, close] : {std::pair{'(', ')'}, std::pair{'[', ']'}}) {
    const std::size_t from = text.find(open);
    if (from == std::string::npos || text.back() != close) continue;
    return {trimmed(text.substr(0, from)), trimmed(text.substr(from + 1, text.size() - from - 2))};
  }
  return {text, ""};
}

[[noreturn]] void refuse_at(const std::string& file, int line, int column,
                            const std::string& message) {
  throw PullFileError(fmt::format("{}:{}:{}: {}", cases::visible(file), line, column, message));
}

// The cells of one line.
std::vector<PullCell> cells_of(std::string_view text, int line, char separator,
                               const std::string& file) {
  std::vector<PullCell> cells;
  std::size_t at = 0;
  while (true) {
    const int column = static_cast<int>(at) + 1;
    std::string cell;
    std::size_t from = at;
    while (from < text.size() && text[from] == ' ') ++from;
    if (from < text.size() && text[from] == '"') {
      for (at = from + 1;; ++at) {
        if (at >= text.size()) refuse_at(file, line, column, "a double quote stays open");
        if (text[at] != '"') {
          cell += text[at];
        } else if (at + 1 < text.size() && text[at + 1] == '"') {
          cell += text[at++];
        } else {
          break;
        }
      }
      const std::size_t end = std::min(text.find(separator, at), text.size());
      if (!trimmed(text.substr(at + 1, end - at - 1)).empty()) {
        refuse_at(file, line, static_cast<int>(at) + 2, "text stands behind a closing quote");
      }
      at = end;
    } else {
      const std::size_t end = std::min(text.find(separator, at), text.size());
      cell = text.substr(at, end - at);
      at = end;
    }
    cells.push_back({trimmed(cell), line, column});
    if (at >= text.size()) return cells;
    ++at;
  }
}

struct Line {
  std::string_view text;
  int number = 0;
};

std::vector<Line> lines_of(std::string_view text) {
  constexpr std::string_view mark = "\xef\xbb\xbf";  // of UTF-8, as spreadsheets write it
  if (text.substr(0, mark.size()) == mark) text.remove_prefix(mark.size());
  std::vector<Line> lines;
  for (int number = 1; !text.empty(); ++number) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view line = text.substr(0, end);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::string content = trimmed(line);
    if (!content.empty() && content.front() != '#') lines.push_back({line, number});
  }
  return lines;
}

}  // namespace

void PullTable::refuse(const PullCell& cell, const std::string& message) const {
  refuse_at(file_, cell.line, cell.column, message);
}

bool PullTable::take_headings(const Row& row, const std::vector<std::string>& headings) {
  std::vector<Column> found;
  for (const std::string& heading : headings) {
    std::vector<std::size_t> whole, part;
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (lower(row[i].text) == lower(heading)) whole.push_back(i);
      if (lower(split_heading(row[i].text).first) == lower(heading)) part.push_back(i);
    }
    const auto& places = whole.empty() ? part : whole;
    if (places.empty()) return false;
    if (places.size() > 1) {
      refuse(row[places[1]], fmt::format("a second column is called '{}'; give them names of "
                                         "their own, or name the whole heading",
                                         cases::shortened(heading)));
    }
    found.push_back({places.front(), split_heading(row[places.front()].text).second});
  }
  columns_ = std::move(found);
  return true;
}

void PullTable::check_widths(std::size_t width) const {
  for (const Row& row : rows_) {
    if (row.size() == width) continue;
    const bool commas = separator_ == ',' && row.size() > width;
    refuse(row[std::min(width, row.size() - 1)],
           fmt::format("the row has {}, the headings have {}{}", cases::counted(row.size(), "cell"),
                       width,
                       commas ? "; if its numbers have decimal commas, export them with points: "
                                "they cannot be told from the commas between the columns"
                              : ""));
  }
}

// The row below the headings, where it has no numbers.
void PullTable::take_units() {
  if (rows_.empty()) return;
  const Row& row = rows_.front();
  for (const Column& column : columns_) {
    const std::string& text = row[column.place].text;
    if (text.empty() || begins_as_number(text)) return;
  }
  for (Column& column : columns_) {
    if (column.unit.empty()) column.unit = split_heading(row[column.place].text).first;
    if (column.unit.empty()) column.unit = split_heading(row[column.place].text).second;
  }
  rows_.erase(rows_.begin());
}

PullTable::PullTable(std::string_view text, std::string file,
                     const std::vector<std::string>& headings)
    : file_(std::move(file)) {
  const std::vector<Line> lines = lines_of(text);
  std::size_t widest = 0;
  std::vector<std::string> seen;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (const char separator : {',', ';', '\t'}) {
      Row row;
      try {
        row = cells_of(lines[i].text, lines[i].number, separator, file_);
      } catch (const PullFileError&) {
        continue;  // quotes of a preamble, or another separator
      }
      if (row.size() > widest) {
        widest = row.size();
        seen.clear();
        for (const PullCell& cell : row) seen.push_back(split_heading(cell.text).first);
      }
      if (!take_headings(row, headings)) continue;
      separator_ = separator;
      for (std::size_t k = i + 1; k < lines.size(); ++k) {
        rows_.push_back(cells_of(lines[k].text, lines[k].number, separator, file_));
      }
      check_widths(row.size());
      take_units();
      if (rows_.empty()) refuse(row.front(), "no numbers stand below the headings");
      return;
    }
  }
  std::string wanted;
  std::string advice;
  for (const std::string& heading : headings) {
    wanted += fmt::format("{}'{}'", wanted.empty() ? "" : ", ", cases::shortened(heading));
    const bool there = std::any_of(seen.begin(), seen.end(), [&](const std::string& name) {
      return lower(name) == lower(heading);
    });
    const std::string near = there ? "" : cases::nearest_key(heading, seen);
    if (!near.empty() && advice.empty()) {
      advice = fmt::format("; '{}' is there, did you mean it?", cases::shortened(near));
    }
  }
  const int line = lines.empty() ? 1 : lines.front().number;
  refuse_at(file_, line, 1, fmt::format("no row has the headings {}{}", wanted, advice));
}

}  // namespace pulsewright::tools
