#include "cases/case_text.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <fstream>
#include <system_error>

#include "cases/case_error.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

constexpr std::uintmax_t most_bytes = 1024 * 1024;

// More than any key or value of a case file needs (header.pipe.profile has three parts), and few
// enough that the parser, which calls itself for each of them, stays far from the end of its stack.
constexpr int most_parts = 16;
constexpr int most_brackets = 16;

// End of the string that begins at text[i]; where it is not closed, that of its line or of the
// text.
std::size_t end_of_string(std::string_view text, std::size_t i) {
  const char quote = text[i];
  const std::string_view three = quote == '"' ? "\"\"\"" : "'''";
  const bool several_lines = text.substr(i, 3) == three;
  i += several_lines ? 3 : 1;
  for (; i < text.size(); ++i) {
    if (text[i] == '\\' && quote == '"') {
      ++i;
    } else if (several_lines && text.substr(i, 3) == three) {
      i += 3;
      // One or two quotes more belong to the string.
      for (int more = 0; more < 2 && i < text.size() && text[i] == quote; ++more) ++i;
      return i;
    } else if (!several_lines && (text[i] == quote || text[i] == '\n')) {
      return text[i] == quote ? i + 1 : i;
    }
  }
  return text.size();
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

void check_nesting(std::string_view text, const std::string& file) {
  int line = 1;
  int parts = 1;
  int brackets = 0;
  for (std::size_t i = 0; i < text.size();) {
    const char c = text[i];
    if (c == '"' || c == '\'') {
      const std::size_t end = std::min(end_of_string(text, i), text.size());
      const std::string_view string = text.substr(i, end - i);
      line += static_cast<int>(std::count(string.begin(), string.end(), '\n'));
      i = end;
      continue;
    }
    ++i;
    if (c == '#') {
      while (i < text.size() && text[i] != '\n') ++i;
    } else if (c == '.') {
      if (++parts > most_parts) {
        refuse_file(file, line, fmt::format("has a key of more than {} parts", most_parts),
                    "the longest keys of a case file have three, for example: header.pipe.profile");
      }
    } else if (c == '[' || c == '{') {
      parts = 1;
      if (++brackets > most_brackets) {
        refuse_file(file, line, fmt::format("opens more than {} brackets", most_brackets),
                    "close them; arrays and tables of a case file stand in each other twice or so");
      }
    } else if (c == ']' || c == '}') {
      parts = 1;
      if (brackets > 0) --brackets;
    } else if (c == '=' || c == ',' || c == '\n') {
      parts = 1;
    }
    if (c == '\n') ++line;
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

std::string toml_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
      out += fmt::format("\\u{:04X}", static_cast<unsigned char>(c));
    } else {
      out += c;
    }
  }
  return out + '"';
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
