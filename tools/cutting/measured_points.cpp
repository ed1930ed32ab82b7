#include "tools/cutting/measured_points.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <fmt/format.h>

#include "cases/case_error.hpp"
#include "cases/quantity.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::tools {

namespace {

using cases::Problem;

std::string_view trimmed(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(" \t\r\"");
  if (begin == std::string_view::npos) return {};
  return text.substr(begin, text.find_last_not_of(" \t\r\"") + 1 - begin);
}

std::vector<std::string_view> cells_of(std::string_view row) {
  std::vector<std::string_view> cells;
  while (true) {
    const std::size_t comma = row.find(',');
    cells.push_back(trimmed(row.substr(0, comma)));
    if (comma == std::string_view::npos) return cells;
    row.remove_prefix(comma + 1);
  }
}

constexpr std::array<std::string_view, 4> names{"cylinder", "x", "y", "z"};

class PointsReader {
 public:
  explicit PointsReader(const std::string& file) : file_(file) {}

  std::map<int, std::vector<Eigen::Vector3d>> read(std::string_view text) {
    for (int line = 1; !text.empty(); ++line) {
      const std::size_t end = text.find('\n');
      const std::string_view row = trimmed(text.substr(0, end));
      if (!row.empty() && row.front() != '#') take_row(row, line);
      if (end == std::string_view::npos) break;
      text.remove_prefix(end + 1);
    }
    if (points_.empty()) {
      refuse(0, "", "", "has no points", "first row: cylinder,x,y,z; then a row for each point");
    }
    return points_;
  }

 private:
  [[noreturn]] void refuse(int line, std::string column, std::string_view value,
                           std::string message, std::string advice) const {
    Problem problem;
    problem.file = file_;
    problem.line = line;
    problem.key = std::move(column);
    problem.value = cases::shortened(std::string(value));
    problem.message = std::move(message);
    problem.advice = std::move(advice);
    throw cases::CaseError({problem});
  }

  void take_row(std::string_view row, int line) {
    const auto cells = cells_of(row);
    if (columns_.empty()) return take_head(cells, line);
    if (cells.size() != columns_.size()) {
      refuse(line, "row", row,
             fmt::format("has {} cells, the first row {}", cells.size(), columns_.size()), "");
    }
    int cylinder = 0;
    Eigen::Vector3d point = Eigen::Vector3d::Zero();
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (columns_[i] == 0) {
        cylinder = number(cells[i], line);
      } else {
        point[columns_[i] - 1] = length(cells[i], i, line);
      }
    }
    if (cylinder != last_ && points_.contains(cylinder)) {
      refuse(line, "cylinder", fmt::format("{}", cylinder), "has rows above others of another one",
             "let the points of a cylinder follow each other");
    }
    last_ = cylinder;
    points_[cylinder].push_back(point);
  }

  void take_head(const std::vector<std::string_view>& cells, int line) {
    for (const std::string_view cell : cells) {
      const std::size_t bracket = cell.find('(');
      const std::string_view name = trimmed(cell.substr(0, bracket));
      const auto* found = std::find(names.begin(), names.end(), name);
      const int column = static_cast<int>(found - names.begin());
      if (found == names.end() ||
          std::find(columns_.begin(), columns_.end(), column) != columns_.end()) {
        refuse(line, "column", cell, found == names.end() ? "is not known" : "is there twice",
               "the columns are cylinder, x, y, z; a unit in brackets: x (mm)");
      }
      columns_.push_back(column);
      std::string_view unit;
      if (bracket != std::string_view::npos) {
        unit = cell.substr(bracket + 1);
        unit = trimmed(unit.substr(0, unit.find(')')));
      }
      units_.emplace_back(unit);
    }
    if (columns_.size() == names.size()) return;
    refuse(line, "columns", "", "are not all there", "the columns are cylinder, x, y, z");
  }

  int number(std::string_view cell, int line) const {
    int value = 0;
    const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
    if (error == std::errc() && end == cell.data() + cell.size() && value > 0) return value;
    refuse(line, "cylinder", cell, "is no number of a cylinder", "for example 1");
  }

  double length(std::string_view cell, std::size_t column, int line) const {
    std::string text(cell);
    // Digits, signs and fractions alone: the unit of the column.
    const bool bare = text.find_first_not_of("0123456789.+-/ eE") == std::string::npos;
    if (bare && !units_[column].empty()) text += " " + units_[column];
    try {
      return cases::parse_quantity(text, cases::Dimension::length);
    } catch (const cases::QuantityError& error) {
      refuse(line, std::string(names[static_cast<std::size_t>(columns_[column])]), cell,
             error.what(), "for example 4-1/2 in, 114 mm");
    }
  }

  std::string file_;
  std::vector<int> columns_;  // index into names, by place in the row
  std::vector<std::string> units_;
  int last_ = 0;
  std::map<int, std::vector<Eigen::Vector3d>> points_;
};

}  // namespace

std::map<int, std::vector<Eigen::Vector3d>> measured_points(std::string_view text,
                                                            const std::string& file) {
  return PointsReader(file).read(text);
}

}  // namespace pulsewright::tools
