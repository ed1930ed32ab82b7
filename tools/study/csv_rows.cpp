#include "tools/study/csv_rows.hpp"

#include <algorithm>

namespace pulsewright::tools {

namespace {

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r'; }

std::string trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return std::string(text);
}

// The cell whose opening quote stands at `at`; `at` moves to the separator behind it or to the end.
std::string quoted_cell(const CsvLine& line, char separator, std::size_t& at) {
  const std::string_view text = line.text;
  const int column = static_cast<int>(at) + 1;
  std::string cell;
  for (++at;; ++at) {
    if (at >= text.size()) throw CsvError(line.number, column, "a double quote stays open");
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
    throw CsvError(line.number, static_cast<int>(at) + 2, "text stands behind a closing quote");
  }
  at = end;
  return cell;
}

}  // namespace

std::vector<CsvLine> csv_lines(std::string_view text) {
  constexpr std::string_view mark = "\xef\xbb\xbf";  // of UTF-8, as spreadsheets write it
  if (text.substr(0, mark.size()) == mark) text.remove_prefix(mark.size());
  std::vector<CsvLine> lines;
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

std::vector<CsvCell> csv_cells(const CsvLine& line, char separator) {
  const std::string_view text = line.text;
  std::vector<CsvCell> cells;
  std::size_t at = 0;
  while (true) {
    const int column = static_cast<int>(at) + 1;
    const std::size_t from = std::min(text.find_first_not_of(' ', at), text.size());
    std::string cell;
    if (from < text.size() && text[from] == '"') {
      at = from;
      cell = quoted_cell(line, separator, at);
    } else {
      const std::size_t end = std::min(text.find(separator, at), text.size());
      cell = text.substr(at, end - at);
      at = end;
    }
    cells.push_back({trimmed(cell), line.number, column});
    if (at >= text.size()) return cells;
    ++at;
  }
}

std::pair<std::string, std::string> split_heading(const std::string& text) {
  for (const auto& [open, close] : {std::pair{'(', ')'}, std::pair{'[', ']'}}) {
    const std::size_t from = text.find(open);
    if (from == std::string::npos || text.back() != close) continue;
    return {trimmed(text.substr(0, from)), trimmed(text.substr(from + 1, text.size() - from - 2))};
  }
  return {text, ""};
}

}  // namespace pulsewright::tools
