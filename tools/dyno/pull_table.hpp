// A table of comma-separated values as a logger or a spreadsheet writes it.
//
// Commas, semicolons or tabs between the cells, whichever the row of headings has; cells in double
// quotes as in RFC 4180; lines that begin with # and empty lines are passed over, and so is what
// stands before the headings. A row below the headings without any number is taken for their units.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "tools/study/csv_rows.hpp"

namespace pulsewright::tools {

// A file of pulls that is not as it should be: "file:line:column: ...", both from 1, the column in
// characters of the line.
class PullFileError : public std::invalid_argument {
 public:
  using std::invalid_argument::invalid_argument;
};

using PullCell = CsvCell;

class PullTable {
 public:
  // headings: of the columns that are wanted; a heading is found by its whole text or by what
  // stands before its unit in brackets, in capitals or not. Throws PullFileError: no row has them
  // all, two columns fit one, a row has more or fewer cells than the headings, a quote stays open.
  PullTable(std::string_view text, std::string file, const std::vector<std::string>& headings);

  std::size_t rows() const { return rows_.size(); }
  const std::string& file() const { return file_; }
  // By number of the heading in the list.
  const std::string& unit(std::size_t heading) const { return columns_[heading].unit; }
  const PullCell& cell(std::size_t row, std::size_t heading) const {
    return rows_[row][columns_[heading].place];
  }
  // Throws PullFileError at a cell.
  [[noreturn]] void refuse(const PullCell& cell, const std::string& message) const;

 private:
  struct Column {
    std::size_t place = 0;
    std::string unit;  // from the brackets or the row of units; "" = none
  };
  using Row = std::vector<PullCell>;

  bool take_headings(const Row& row, const std::vector<std::string>& headings);
  void take_units();
  void check_widths(std::size_t width) const;

  std::string file_;
  char separator_ = ',';
  std::vector<Column> columns_;
  std::vector<Row> rows_;  // of numbers, below the headings
};

}  // namespace pulsewright::tools
