// A table of text columns: first column left-aligned, the others right-aligned.
#pragma once

#include <algorithm>
#include <fmt/format.h>
#include <string>
#include <vector>

namespace pulsewright::tools {

class TextTable {
 public:
  void row(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }
  // A line below the rows so far.
  void rule() { rows_.emplace_back(); }

  std::string text() const {
    std::vector<std::size_t> width;
    for (const auto& cells : rows_) {
      width.resize(std::max(width.size(), cells.size()), 0);
      for (std::size_t i = 0; i < cells.size(); ++i) width[i] = std::max(width[i], cells[i].size());
    }
    std::size_t total = 0;
    for (const auto w : width) total += w + 2;
    std::string out;
    for (const auto& cells : rows_) {
      std::string line;
      for (std::size_t i = 0; i < cells.size(); ++i) {
        line += i == 0 ? fmt::format("{:<{}}", cells[i], width[i])
                       : fmt::format("  {:>{}}", cells[i], width[i]);
      }
      if (cells.empty()) line = std::string(total > 2 ? total - 2 : 0, '-');
      while (!line.empty() && line.back() == ' ') line.pop_back();
      out += line + "\n";
    }
    return out;
  }

 private:
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace pulsewright::tools
