#include "cases/wrapped_text.hpp"

#include <algorithm>

namespace pulsewright::cases {
namespace {

// Characters, not bytes: the following ones of a UTF-8 character are 10xxxxxx.
std::size_t characters(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned>(c) & 0xC0U) != 0x80U;
  }));
}

}  // namespace

std::string wrapped(std::string_view text, std::size_t indent, std::size_t first,
                    std::size_t width) {
  std::string out;
  std::size_t column = first;
  bool begins = true;  // no word stands on the line
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t word = std::min(text.find_first_not_of(' ', i), text.size());
    const std::size_t end = std::min(text.find_first_of(" \n", word), text.size());
    const std::string_view blanks = text.substr(i, word - i);
    const std::string_view letters = text.substr(word, end - word);
    const std::size_t needed = blanks.size() + characters(letters);
    if (!begins && !letters.empty() && column + needed > width) {
      out += '\n' + std::string(indent, ' ') + std::string(letters);
      column = indent + characters(letters);
    } else if (!letters.empty()) {
      out += blanks;
      out += letters;
      column += needed;
    }
    begins = begins && letters.empty();
    i = end;
    if (i < text.size() && text[i] == '\n') {
      out += '\n';
      if (i + 1 < text.size() && text[i + 1] != '\n') out += std::string(indent, ' ');
      column = indent;
      begins = true;
      ++i;
    }
  }
  return out;
}

}  // namespace pulsewright::cases
