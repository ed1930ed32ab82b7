// What is made from the definition of the command line beside its help: the manual page and the
// completion of a shell. Verbs, options, their texts and the values they may have are those of the
// CLI::App, so that nothing can disagree.
//
// Of an option's type name the pages take: FILE and FOLDER, of which a shell completes the names,
// and one with bars, "metric|inch", which lists all values there are.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace pulsewright::tools {

// Manual page of section 1, in roff with the man macros. version: as in the foot of the page.
std::string man_page(const CLI::App& app, const std::string& version);

// Script for bash (4 or later) that completes verbs, options and their values.
std::string bash_completion(const CLI::App& app);

}  // namespace pulsewright::tools
