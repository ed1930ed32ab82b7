#include "tools/report/report_page.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <utility>

#include "tools/report/html_page.hpp"
#include "tools/report/live_page.hpp"
#include "tools/report/page_parts.hpp"
#include "tools/report/report_data.hpp"
#include "tools/study/comparison_text.hpp"

namespace pulsewright::tools {

namespace {

// What every page has: title and table are plain text.
std::string page_of(std::string_view title, std::string_view plain_table, nlohmann::json data,
                    std::string_view case_text, std::string_view script) {
  std::string policy(closed_policy);
  if (has_live_page() && !case_text.empty()) {
    data["live_page"] = packed_live_page();
    data["case_text"] = case_text;
    policy += solver_policy;
  }
  std::string page = page_head(title, policy, page_style());
  page += fmt::format(
      "<noscript><h1>{}</h1><p>Without scripts this page can show its table "
      "only.</p><pre>{}</pre></noscript>\n<script type=\"application/json\" id=\"results\">",
      html_text(title), html_text(plain_table));
  page += script_data(data);
  page += "</script>\n<script>";
  page += script;
  page += "</script>\n</body>\n</html>\n";
  return page;
}

}  // namespace

std::string report_page(const StudyResults& results, UnitSystem units, const DynoResult* dyno) {
  const Comparison comparison = compare_headers(results);
  return page_of(results.plan().title, comparison_text(comparison, units),
                 report_data(results, comparison, units, dyno), results.plan().case_text,
                 page_script());
}

void require_report_place(const std::string& path) {
  if (page_script().empty()) {
    throw std::invalid_argument(
        "this program was built without the page of the report (PULSEWRIGHT_PAGE=OFF); build it "
        "with Node and npm, or leave the report out");
  }
  require_page_place(path);
}

std::size_t write_report(const StudyResults& results, const std::string& path, UnitSystem units,
                         const DynoResult* dyno) {
  require_report_place(path);
  return write_page(report_page(results, units, dyno), path);
}

std::size_t write_search_report(const SearchRecord& record, const std::string& path,
                                UnitSystem units) {
  if (record.findings.empty()) {
    throw std::invalid_argument(
        "the search is not done yet: run it with --resume, and then make its report");
  }
  nlohmann::json data = nlohmann::json::parse(record.findings);
  const std::string words = data["words"][units == UnitSystem::metric ? "metric" : "inch"];
  add_search_frame(data, units);
  require_report_place(path);
  return write_page(
      page_of(record.plan.title, words, std::move(data), record.plan.case_text, search_script()),
      path);
}

}  // namespace pulsewright::tools
