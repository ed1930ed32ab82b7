#include "tools/cli/measured_sheet.hpp"

#include <filesystem>
#include <fmt/format.h>

#include "tools/cli/messages.hpp"
#include "tools/dyno/pull_table.hpp"

namespace pulsewright::tools {

std::optional<DynoResult> measured_sheet(const StudyResults& results,
                                         const std::optional<std::string>& folder) {
  const std::filesystem::path place =
      folder ? std::filesystem::path(*folder)
             : std::filesystem::path(results.plan().case_file).parent_path();
  try {
    return measured_over_results(results, place, models::PowerCorrection::none);
  } catch (const PullFileError& error) {
    if (folder) throw;
    print_message(
        fmt::format("pulsewright: {}\npulsewright: the page is without the dyno sheet; "
                    "`pulsewright report --pulls` names the folder of the files\n",
                    error.what()));
    return std::nullopt;
  }
}

}  // namespace pulsewright::tools
