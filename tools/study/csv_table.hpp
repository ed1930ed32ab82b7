// A table of comma-separated values (RFC 4180), built cell by cell.
#pragma once

#include <string>
#include <string_view>

namespace pulsewright::tools {

class CsvTable {
 public:
  void add(std::string_view cell) {
    if (!first_) text_ += ',';
    first_ = false;
    if (cell.find_first_of(",\"\r\n") == std::string_view::npos) {
      text_ += cell;
      return;
    }
    text_ += '"';
    for (const char c : cell) {
      if (c == '"') text_ += '"';
      text_ += c;
    }
    text_ += '"';
  }
  void end_row() {
    text_ += "\r\n";
    first_ = true;
  }

  const std::string& text() const { return text_; }

 private:
  std::string text_;
  bool first_ = true;
};

}  // namespace pulsewright::tools
