#include "cases/case_text.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <fstream>
#include <system_error>

#include "cases/case_error.hpp"

namespace pulsewright::cases {
namespace {

constexpr std::uintmax_t most_bytes = 1024 * 1024;

// Number of bytes of the UTF-8 character at text[i]; 0 if there is none.
// Table 3-7 of the Unicode Standard, from memory.
std::size_t character_bytes(std::string_view text, std::size_t i) {
  const auto byte = [&](std::size_t k) -> unsigned {
    return k < text.size() ? static_cast<unsigned char>(text[k]) : 0U;
  };
  const auto follows = [&](std::size_t k) { return (byte(k) & 0xc0U) == 0x80U; };
  const unsigned first = byte(i);
  if (first < 0x80) return 1;
  if (first >= 0xc2 && first <= 0xdf) return follows(i + 1) ? 2 : 0;
  if (first >= 0xe0 && first <= 0xef) {
    if (first == 0xe0 && byte(i + 1) < 0xa0) return 0;
    if (first == 0xed && byte(i + 1) > 0x9f) return 0;
    return follows(i + 1) && follows(i + 2) ? 3 : 0;
  }
  if (first >= 0xf0 && first <= 0xf4) {
    if (first == 0xf0 && byte(i + 1) < 0x90) return 0;
    if (first == 0xf4 && byte(i + 1) > 0x8f) return 0;
    return follows(i + 1) && follows(i + 2) && follows(i + 3) ? 4 : 0;
  }
  return 0;
}

}  // namespace

void refuse_file(const std::string& file, int line, std::string message, std::string advice) {
  Problem problem;
  problem.file = file;
  problem.line = line;
  problem.message = std::move(message);
  problem.advice = std::move(advice);
  throw CaseError({problem});
}

void check_text(std::string_view text, const std::string& file) {
  if (text.size() > most_bytes) {
    refuse_file(file, 0, fmt::format("is longer than {} bytes", most_bytes),
                "give a case file, not a results file");
  }
  int line = 1;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t bytes = character_bytes(text, i);
    const auto c = static_cast<unsigned char>(text[i]);
    const bool control = c < 0x20 && c != '\n' && c != '\r' && c != '\t';
    if (bytes == 0 || control) {
      refuse_file(file, line,
                  fmt::format("byte {} (value {:#04x}) is no text; this is not a case file", i, c),
                  "give a plain text file in UTF-8, such as the shipped cases");
    }
    if (c == '\n') ++line;
    i += bytes;
  }
}

std::string read_text_file(const std::filesystem::path& file) {
  const std::string name = file.string();
  std::error_code error;
  const std::filesystem::file_status status = std::filesystem::status(file, error);
  if (status.type() == std::filesystem::file_type::not_found) {
    refuse_file(name, 0, "there is no such file", "check the name and the folder");
  }
  if (error) {
    refuse_file(name, 0, fmt::format("cannot be read: {}", error.message()),
                "check the permissions of the file and its folder");
  }
  if (status.type() == std::filesystem::file_type::directory) {
    refuse_file(name, 0, "is a folder, not a case file", "name a file in it");
  }
  if (status.type() != std::filesystem::file_type::regular) {
    refuse_file(name, 0, "is not a plain file", "give the name of a case file");
  }
  const std::uintmax_t size = std::filesystem::file_size(file, error);
  if (!error && size > most_bytes) {
    refuse_file(name, 0, fmt::format("has {} bytes; a case file has at most {}", size, most_bytes),
                "give a case file, not a results file");
  }
  std::ifstream in(file, std::ios::binary);
  if (!in) refuse_file(name, 0, "cannot be opened for reading", "check its permissions");
  // One byte more than allowed, in case the file grew since it was measured.
  std::string text(most_bytes + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (in.bad()) refuse_file(name, 0, "cannot be read to its end", "check the disk");
  text.resize(static_cast<std::size_t>(in.gcount()));
  return text;
}

bool good_name(const std::string& name) {
  static constexpr std::string_view extra = " ._+-";
  const auto good = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
           extra.find(c) != std::string_view::npos;
  };
  return !name.empty() && name.size() <= 40 && name.front() != ' ' && name.back() != ' ' &&
         name.front() != '.' && std::all_of(name.begin(), name.end(), good);
}

}  // namespace pulsewright::cases
