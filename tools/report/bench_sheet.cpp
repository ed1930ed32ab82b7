#include "tools/report/bench_sheet.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/case_error.hpp"
#include "tools/cutting/cut_sheet.hpp"
#include "tools/cutting/cut_sheet_text.hpp"

namespace pulsewright::tools {

nlohmann::json bench_sheet(const cases::CaseFile& case_file, const std::string& name) {
  for (const auto& header : case_file.headers) {
    if (header.name != name) continue;
    try {
      return cut_sheet_json(cut_sheet(case_file, header, {}, cases::MessageUnits::metric));
    } catch (const cases::CaseError& error) {
      const cases::Problem& problem = error.problems().front();
      return {{"error", fmt::format("{}: {}", problem.key, problem.message)}};
    }
  }
  return nullptr;
}

}  // namespace pulsewright::tools
