// Rows of separated values as spreadsheets and loggers write them.
//
// A line is a row. Cells in double quotes are as in RFC 4180, within one line; a quote inside any
// other cell is a character of it, such as the sign of an inch. Lines that begin with # and empty
// lines are passed over, and so is the mark of UTF-8 before the first line.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace pulsewright::tools {

// A line that has no cells. Line and column from 1, the column in characters of the line.
class CsvError : public std::invalid_argument {
 public:
  CsvError(int line, int column, const char* message)
      : std::invalid_argument(message), line_(line), column_(column) {}

  int line() const { return line_; }
  int column() const { return column_; }

 private:
  int line_, column_;
};

struct CsvLine {
  std::string_view text;  // without its end
  int number = 0;         // from 1
};
struct CsvCell {
  std::string text;  // without quotes and blanks around it
  int line = 0, column = 0;
};

// The lines of a text that are rows; they refer to the text.
std::vector<CsvLine> csv_lines(std::string_view text);

// The cells of a row, one at least. Throws CsvError: a quote stays open, text behind a closing one.
std::vector<CsvCell> csv_cells(const CsvLine& line, char separator);

// "Torque" and "lb ft" of the heading "Torque (lb ft)" or "Torque [lb ft]"; "" without a unit.
std::pair<std::string, std::string> split_heading(const std::string& text);

}  // namespace pulsewright::tools
