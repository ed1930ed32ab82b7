#include "tools/cli/help_format.hpp"

#include <sstream>
#include <string>
#include <string_view>

#include "cases/wrapped_text.hpp"

namespace pulsewright::tools {

namespace {

constexpr std::size_t text_column = 30;

// A name, and its text in the column beside it, or below where the name is longer.
std::string help_entry(const std::string& name, const std::string& text) {
  std::string out = "  " + name;
  if (text.empty()) return out + "\n";
  if (out.size() >= text_column) {
    out += "\n" + std::string(text_column, ' ');
  } else {
    out.resize(text_column, ' ');
  }
  return out + cases::wrapped(text, text_column, text_column) + "\n";
}

// A command line that a shell understands as it stands.
std::string wrapped_command(std::string_view command) {
  constexpr std::string_view goes_on = " \\";
  const std::string indent(4, ' ');
  std::string out, line;
  std::string word;
  bool quoted = false;
  const auto place_word = [&] {
    if (!line.empty() && line != indent &&
        line.size() + 1 + word.size() + goes_on.size() > cases::terminal_width) {
      out += line + std::string(goes_on) + "\n";
      line = indent;
    }
    if (!line.empty() && line != indent) line += ' ';
    line += word;
    word.clear();
  };
  for (const char c : command) {
    if (c == '"') quoted = !quoted;
    if (c == ' ' && !quoted) {
      place_word();
    } else {
      word += c;
    }
  }
  place_word();
  return out + line;
}

class HelpFormat : public CLI::Formatter {
 public:
  std::string make_description(const CLI::App* app) const override {
    return cases::wrapped(app->get_description()) + "\n";
  }
  std::string make_option(const CLI::Option* option, bool is_positional) const override {
    return help_entry(make_option_name(option, is_positional) + make_option_opts(option),
                      make_option_desc(option));
  }
  std::string make_subcommand(const CLI::App* verb) const override {
    return help_entry(verb->get_name(), verb->get_description());
  }
  std::string make_footer(const CLI::App* app) const override {
    std::string out;
    std::istringstream lines(app->get_footer());
    for (std::string line; std::getline(lines, line);) {
      out += line.substr(0, 9) == "Example: " ? wrapped_command(line) : cases::wrapped(line);
      out += "\n";
    }
    return out;
  }
};

}  // namespace

std::shared_ptr<CLI::Formatter> help_format() { return std::make_shared<HelpFormat>(); }

}  // namespace pulsewright::tools
