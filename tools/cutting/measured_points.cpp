#include "tools/cutting/measured_points.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <fmt/format.h>
#include <utility>

#include "cases/case_error.hpp"
#include "cases/quantity.hpp"
#include "cases/visible_text.hpp"
#include "tools/study/csv_rows.hpp"

namespace pulsewright::tools {

namespace {

using cases::Problem;

constexpr std::array<std::string_view, 4> column_names{"cylinder", "x", "y", "z"};

class PointsReader {
 public:
  explicit PointsReader(const std::string& file) { paths_.file = file; }

  MeasuredPaths read(std::string_view text) {
    for (const CsvLine& line : csv_lines(text)) take_row(line);
    if (paths_.points.empty()) {
      refuse(0, "", "", "has no points", "first row: cylinder,x,y,z; then a row for each point");
    }
    return std::move(paths_);
  }

 private:
  [[noreturn]] void refuse(int line, std::string column, std::string_view value,
                           std::string message, std::string advice) const {
    Problem problem;
    problem.file = paths_.file;
    problem.line = line;
    problem.key = std::move(column);
    problem.value = cases::shortened(std::string(value));
    problem.message = std::move(message);
    problem.advice = std::move(advice);
    throw cases::CaseError({problem});
  }

  std::vector<CsvCell> cells_of(const CsvLine& line) const {
    try {
      return csv_cells(line, ',');
    } catch (const CsvError& error) {
      refuse(line.number, "row", line.text, error.what(), "");
    }
  }

  void take_row(const CsvLine& row) {
    const int line = row.number;
    const std::vector<CsvCell> cells = cells_of(row);
    if (columns_.empty()) return take_head(cells);
    if (cells.size() != columns_.size()) {
      refuse(line, "row", row.text,
             fmt::format("has {} cells, the first row {}", cells.size(), columns_.size()), "");
    }
    int cylinder = 0;
    Eigen::Vector3d point = Eigen::Vector3d::Zero();
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (columns_[i] == 0) {
        cylinder = number(cells[i]);
      } else {
        point[columns_[i] - 1] = length(cells[i], i);
      }
    }
    if (cylinder != last_ && paths_.points.contains(cylinder)) {
      refuse(line, "cylinder", fmt::format("{}", cylinder), "has rows above others of another one",
             "let the points of a cylinder follow each other");
    }
    last_ = cylinder;
    paths_.points[cylinder].push_back(point);
  }

  void take_head(const std::vector<CsvCell>& cells) {
    for (const CsvCell& cell : cells) {
      const auto [name, unit] = split_heading(cell.text);
      const auto* found = std::find(column_names.begin(), column_names.end(), name);
      const int column = static_cast<int>(found - column_names.begin());
      if (found == column_names.end() ||
          std::find(columns_.begin(), columns_.end(), column) != columns_.end()) {
        refuse(cell.line, "column", cell.text,
               found == column_names.end() ? "is not known" : "is there twice",
               "the columns are cylinder, x, y, z; a unit in brackets: x (mm)");
      }
      columns_.push_back(column);
      units_.push_back(unit);
    }
    if (columns_.size() == column_names.size()) return;
    refuse(cells.front().line, "columns", "", "are not all there",
           "the columns are cylinder, x, y, z");
  }

  int number(const CsvCell& cell) const {
    const std::string& text = cell.text;
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error == std::errc() && end == text.data() + text.size() && value > 0) return value;
    refuse(cell.line, "cylinder", text, "is no number of a cylinder", "for example 1");
  }

  double length(const CsvCell& cell, std::size_t column) const {
    std::string text = cell.text;
    // Digits, signs and fractions alone: the unit of the column.
    const bool bare = text.find_first_not_of("0123456789.+-/ eE") == std::string::npos;
    if (bare && !units_[column].empty()) text += " " + units_[column];
    try {
      return cases::parse_quantity(text, cases::Dimension::length);
    } catch (const cases::QuantityError& error) {
      refuse(cell.line, std::string(column_names[static_cast<std::size_t>(columns_[column])]),
             cell.text, error.what(), "for example 4-1/2 in, 114 mm");
    }
  }

  std::vector<int> columns_;  // index into column_names, by place in the row
  std::vector<std::string> units_;
  int last_ = 0;
  MeasuredPaths paths_;
};

}  // namespace

MeasuredPaths measured_points(std::string_view text, const std::string& file) {
  return PointsReader(file).read(text);
}

}  // namespace pulsewright::tools
