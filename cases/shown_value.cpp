#include "cases/shown_value.hpp"

#include <fmt/format.h>

#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

constexpr std::size_t longest_shown = 60;

void write(const toml::node& node, std::string& out) {
  if (out.size() > longest_shown) return;
  if (const auto* text = node.as_string()) {
    out += fmt::format("\"{}\"", text->get());
  } else if (const auto* whole = node.as_integer()) {
    out += fmt::format("{}", whole->get());
  } else if (const auto* number = node.as_floating_point()) {
    out += fmt::format("{}", number->get());
  } else if (const auto* flag = node.as_boolean()) {
    out += flag->get() ? "true" : "false";
  } else if (const auto* array = node.as_array()) {
    out += '[';
    for (std::size_t i = 0; i < array->size() && out.size() <= longest_shown; ++i) {
      if (i > 0) out += ", ";
      write(*array->get(i), out);
    }
    out += ']';
  } else if (const auto* table = node.as_table()) {
    out += "{ ";
    bool first = true;
    for (const auto& [key, value] : *table) {
      if (out.size() > longest_shown) break;
      if (!first) out += ", ";
      first = false;
      out += fmt::format("{} = ", key.str());
      write(value, out);
    }
    out += " }";
  } else {
    out += "a date or time";
  }
}

}  // namespace

std::string shown_value(const toml::node& node) {
  std::string out;
  write(node, out);
  return shortened(out, longest_shown);
}

}  // namespace pulsewright::cases
