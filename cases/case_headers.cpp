#include "cases/case_headers.hpp"

#include <algorithm>
#include <toml++/toml.h>

#include "cases/table_blocks.hpp"

namespace pulsewright::cases {

std::string with_headers(std::string_view case_text, const std::vector<std::string>& headers) {
  const toml::table root = parsed_case(case_text);
  const std::vector<std::string> lines = lines_of(case_text);
  std::vector<bool> stays(lines.size(), true);
  std::size_t first = lines.size();
  for (const char* key : {"header", "dyno", "tune"}) {  // headers, and what names one of them
    const toml::node* all = root.get(key);
    if (all == nullptr) continue;
    for (const LineSpan& block : blocks_of(root, *all, lines)) {
      for (std::size_t i = block.from; i < block.to; ++i) stays[i] = false;
      first = std::min(first, block.from);
    }
  }
  // Blank lines between two tables that go.
  for (std::size_t i = 1; i < lines.size(); ++i) {
    if (stays[i - 1] || !stays[i] || !is_blank(lines[i])) continue;
    std::size_t end = i;
    while (end < lines.size() && is_blank(lines[end])) ++end;
    if (end < lines.size() && !stays[end])
      std::fill_n(stays.begin() + static_cast<long>(i), end - i, false);
    i = end;
  }
  std::string out;
  const auto add_headers = [&] {
    for (const std::string& header : headers) {
      if (!out.empty() && !out.ends_with("\n\n")) out += '\n';
      out += header;
    }
  };
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i == first) add_headers();
    if (stays[i]) out += lines[i] + '\n';
  }
  if (first == lines.size()) add_headers();
  return out;
}

}  // namespace pulsewright::cases
