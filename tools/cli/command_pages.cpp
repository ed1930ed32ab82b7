#include "tools/cli/command_pages.hpp"

#include <algorithm>
#include <cctype>
#include <fmt/format.h>
#include <sstream>
#include <string_view>
#include <vector>

namespace pulsewright::tools {

namespace {

std::vector<const CLI::App*> verbs_of(const CLI::App& app) {
  return app.get_subcommands([](const CLI::App*) { return true; });
}

std::vector<const CLI::Option*> options_of(const CLI::App& app, bool positional) {
  return app.get_options(
      [=](const CLI::Option* option) { return option->get_positional() == positional; });
}

// "-o", "--output".
std::vector<std::string> names_of(const CLI::Option& option) {
  std::vector<std::string> names;
  for (const auto& name : option.get_snames()) names.push_back("-" + name);
  for (const auto& name : option.get_lnames()) names.push_back("--" + name);
  return names;
}

// A flag does not.
bool takes_value(const CLI::Option& option) { return option.get_items_expected_max() > 0; }

// Lines of a footer: examples, and what else it says.
struct Footer {
  std::vector<std::string> examples, remarks;
};

Footer footer_of(const CLI::App& app) {
  constexpr std::string_view mark = "Example: ";
  Footer footer;
  std::istringstream lines(app.get_footer());
  for (std::string line; std::getline(lines, line);) {
    if (line.substr(0, mark.size()) == mark) {
      footer.examples.push_back(line.substr(mark.size()));
    } else {
      footer.remarks.push_back(line);
    }
  }
  return footer;
}

// ---------------------------------------------------------------- manual page

// A hyphen of a command is a minus in roff; a full stop or quote at the beginning of a line would
// be a request.
std::string roff(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if ((c == '.' || c == '\'') && (out.empty() || out.back() == '\n')) out += "\\&";
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else {
      out += c;
    }
  }
  return out;
}

std::string upper(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  return text;
}

std::string option_entry(const CLI::Option& option) {
  std::string name = option.get_positional() ? option.get_name(true)
                                             : fmt::format("{}", fmt::join(names_of(option), ", "));
  std::string heading = fmt::format("\\fB{}\\fR", roff(name));
  if (takes_value(option) && !option.get_type_name().empty()) {
    heading += fmt::format(" \\fI{}\\fR", roff(option.get_type_name()));
  }
  if (!option.get_default_str().empty()) {
    heading += fmt::format(" (default: {})", roff(option.get_default_str()));
  }
  if (option.get_required()) heading += " (required)";
  return fmt::format(".TP\n{}\n{}\n", heading, roff(option.get_description()));
}

std::string example_entry(const std::string& example) {
  return fmt::format(".PP\nExample:\n.PP\n.nf\n.RS\n{}\n.RE\n.fi\n", roff(example));
}

std::string verb_section(const CLI::App& app, const CLI::App& verb) {
  std::string out = fmt::format(".SS {}\n.B {} {}\n[options]", roff(verb.get_name()),
                                roff(app.get_name()), roff(verb.get_name()));
  for (const auto* option : options_of(verb, true)) {
    const std::string name = fmt::format("\\fI{}\\fR", roff(option->get_name(true)));
    out += option->get_required() ? " " + name : " [" + name + "]";
  }
  out += fmt::format("\n.PP\n{}.\n", roff(verb.get_description()));
  for (const bool positional : {true, false}) {
    for (const auto* option : options_of(verb, positional)) out += option_entry(*option);
  }
  const Footer footer = footer_of(verb);
  for (const auto& remark : footer.remarks) out += fmt::format(".PP\n{}\n", roff(remark));
  for (const auto& example : footer.examples) out += example_entry(example);
  return out;
}

// ---------------------------------------------------------------- completion

// In single quotes of a shell; names and choices have no quote.
std::string word_list(const std::vector<std::string>& words) {
  return fmt::format("'{}'", fmt::join(words, " "));
}

std::vector<std::string> option_names(const CLI::App& app) {
  std::vector<std::string> all;
  for (const auto* option : options_of(app, false)) {
    const auto names = names_of(*option);
    all.insert(all.end(), names.begin(), names.end());
  }
  return all;
}

// What compgen is to complete a value with: empty if it is nothing that a shell knows.
std::string value_source(const CLI::Option& option) {
  std::string type = option.get_type_name();
  if (type == "FILE") return "-f";
  if (type == "FOLDER") return "-d";
  if (type.find('|') == std::string::npos) return {};
  std::replace(type.begin(), type.end(), '|', ' ');
  return fmt::format("-W '{}'", type);
}

std::string value_cases(const CLI::App& verb) {
  std::string out;
  for (const auto* option : options_of(verb, false)) {
    if (!takes_value(*option)) continue;
    std::vector<std::string> patterns;
    for (const auto& name : names_of(*option)) {
      patterns.push_back(fmt::format("'{} {}'", verb.get_name(), name));
    }
    const std::string source = value_source(*option);
    out += fmt::format("    {}) {}return ;;\n", fmt::join(patterns, " | "),
                       source.empty() ? "" : fmt::format("complete_with {}; ", source));
  }
  return out;
}

std::string word_cases(const CLI::App& verb) {
  std::string out = fmt::format("    '{} -'*) complete_with -W {} ;;\n", verb.get_name(),
                                word_list(option_names(verb)));
  for (const auto* option : options_of(verb, true)) {
    const std::string source = value_source(*option);
    if (!source.empty()) {
      out += fmt::format("    '{} '*) complete_with {} ;;\n", verb.get_name(), source);
    }
  }
  return out;
}

}  // namespace

std::string man_page(const CLI::App& app, const std::string& version) {
  const std::string name = roff(app.get_name());
  std::string out = fmt::format(
      ".\\\" Made from the definition of the command line: {} --man-page\n"
      ".TH {} 1 \"\" \"{}\" \"User Commands\"\n"
      ".SH NAME\n{} \\- one\\-dimensional gas dynamics of exhaust headers\n"
      ".SH SYNOPSIS\n.B {}\n.I verb\n[options] [file]\n"
      ".SH DESCRIPTION\n{}\n",
      app.get_name(), upper(app.get_name()), roff(version), name, name,
      roff(app.get_description()));
  for (const auto* option : options_of(app, false)) out += option_entry(*option);
  out += ".SH VERBS\n";
  for (const auto* verb : verbs_of(app)) out += verb_section(app, *verb);
  const Footer footer = footer_of(app);
  out += ".SH NOTES\n";
  for (const auto& remark : footer.remarks) out += fmt::format(".PP\n{}\n", roff(remark));
  for (const auto& example : footer.examples) out += example_entry(example);
  return out;
}

std::string bash_completion(const CLI::App& app) {
  std::vector<std::string> first;
  std::string values, words;
  for (const auto* verb : verbs_of(app)) {
    first.push_back(verb->get_name());
    values += value_cases(*verb);
    words += word_cases(*verb);
  }
  const auto options = option_names(app);
  first.insert(first.end(), options.begin(), options.end());
  return fmt::format(R"(# Completion of {0} for bash. Made from the definition of the command line:
# {0} --bash-completion
_{0}() {{
  local word=${{COMP_WORDS[COMP_CWORD]}} verb=${{COMP_WORDS[1]}}
  complete_with() {{ mapfile -t COMPREPLY < <(compgen "$@" -- "$word"); }}
  COMPREPLY=()
  if [[ $COMP_CWORD -eq 1 ]]; then
    complete_with -W {1}
    return
  fi
  case "$verb ${{COMP_WORDS[COMP_CWORD-1]}}" in
{2}  esac
  case "$verb $word" in
{3}  esac
}}
complete -o filenames -F _{0} {0}
)",
                     app.get_name(), word_list(first), values, words);
}

}  // namespace pulsewright::tools
