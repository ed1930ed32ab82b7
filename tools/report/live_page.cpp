#include "tools/report/live_page.hpp"

#include <nlohmann/json.hpp>
#include <span>
#include <stdexcept>

#include "tools/report/base64.hpp"
#include "tools/report/html_page.hpp"
#include "tools/report/live_module.hpp"
#include "tools/report/packed_series.hpp"
#include "tools/report/page_parts.hpp"
#include "tools/report/report_data.hpp"
#include "tools/study/comparison_words.hpp"
#include "tools/version.hpp"

namespace pulsewright::tools {

namespace {

using nlohmann::json;

std::span<const unsigned char> bytes_of(std::string_view text) {
  return {reinterpret_cast<const unsigned char*>(text.data()), text.size()};
}

// What the modules of every page look for before there is a case.
json empty_study(UnitSystem units) {
  json data{{"header", ""}, {"speeds_rpm", {1000.0}}, {"band_rpm", {0.0, 1000.0}}};
  add_search_frame(data, units);
  data["title"] = "";
  data["date"] = "";
  data["program_version"] = program_version;
  data["curve_charts"] = curve_charts();
  data["words"] = {{"cautions", ComparisonWords::cautions("")}};
  return data;
}

std::string script(std::string_view attributes, std::string_view text) {
  std::string out("<script");
  out += attributes;
  out += '>';
  out += text;
  out += "</script>\n";
  return out;
}

}  // namespace

bool has_live_page() { return !live_script().empty() && !live_page_script().empty(); }

std::string live_page(std::string_view case_name, std::string_view case_text, UnitSystem units) {
  const json opened =
      case_text.empty() ? json(nullptr) : json{{"name", case_name}, {"text", case_text}};
  // Connections are not among what the scripts may do: see closed_policy.
  std::string policy(closed_policy);
  policy += solver_policy;
  std::string page = page_head("Pulsewright live page", policy, live_page_style());
  page += "<noscript><p>This page computes in the browser and needs scripts.</p></noscript>\n";
  page += script(R"( type="application/json" id="results")", script_data(empty_study(units)));
  page += script(R"( type="application/json" id="case")", script_data(opened));
  page += script(R"( id="solver-script")", live_script());
  page += script(R"( type="text/plain" id="solver-module")", base64(bytes_of(live_module())));
  page += script(R"( type="text/plain" id="worker-script")", live_worker_script());
  page += script("", live_page_script());
  page += "</body>\n</html>\n";
  return page;
}

const std::string& packed_live_page() {
  static const std::string packed = pack_text(live_page("", "", UnitSystem::metric));
  return packed;
}

void require_live_page_place(const std::string& path) {
  if (!has_live_page()) {
    throw std::invalid_argument(
        "this program was built without the live page; build it with Node, npm and emscripten");
  }
  require_page_place(path);
}

std::size_t write_live_page(const std::string& path, std::string_view case_name,
                            std::string_view case_text, UnitSystem units) {
  require_live_page_place(path);
  return write_page(live_page(case_name, case_text, units), path);
}

}  // namespace pulsewright::tools
