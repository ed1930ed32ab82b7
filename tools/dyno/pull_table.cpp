#include "tools/dyno/pull_table.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/counted.hpp"
#include "cases/nearest_key.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::tools {

namespace {

std::string lower(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

// Units may have digits (m3/h), but do not begin with one.
bool begins_as_number(std::string_view text) { return text.find_first_of("0123456789+-.") == 0; }

[[noreturn]] void refuse_at(const std::string& file, int line, int column,
                            const std::string& message) {
  throw PullFileError(fmt::format("{}:{}:{}: {}", cases::visible(file), line, column, message));
}

std::vector<PullCell> cells_of(const CsvLine& line, char separator, const std::string& file) {
  try {
    return csv_cells(line, separator);
  } catch (const CsvError& error) {
    refuse_at(file, error.line(), error.column(), error.what());
  }
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
  const std::vector<CsvLine> lines = csv_lines(text);
  std::size_t widest = 0;
  std::vector<std::string> seen;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (const char separator : {',', ';', '\t'}) {
      Row row;
      try {
        row = cells_of(lines[i], separator, file_);
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
        rows_.push_back(cells_of(lines[k], separator, file_));
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
