#include "tools/report/report_page.hpp"

#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <nlohmann/json.hpp>
#include <span>
#include <stdexcept>

#include "tools/report/page_parts.hpp"
#include "tools/report/report_data.hpp"
#include "tools/results/posix_file.hpp"
#include "tools/results/store_error.hpp"
#include "tools/results/temporary_file.hpp"
#include "tools/study/comparison_text.hpp"

namespace pulsewright::tools {

namespace {

// The first bytes of every page; by them an existing file is known as one.
constexpr std::string_view opening =
    "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
    "<meta name=\"generator\" content=\"pulsewright\">\n";

// The browser itself refuses whatever would leave the file.
constexpr std::string_view policy =
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
    "'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; media-src data:; base-uri "
    "'none'; form-action 'none'\">\n<meta name=\"viewport\" content=\"width=device-width, "
    "initial-scale=1\">\n"
    "<meta name=\"color-scheme\" content=\"light dark\">\n";

std::string html_text(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '&':
        safe += "&amp;";
        break;
      case '"':
        safe += "&quot;";
        break;
      default:
        safe += c;
    }
  }
  return safe;
}

// Within a script element nothing but '<' can end the data.
std::string script_text(const nlohmann::json& data) {
  const std::string text = data.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  std::string safe;
  safe.reserve(text.size() + text.size() / 64);
  for (const char c : text) {
    if (c == '<') {
      safe += "\\u003c";
    } else {
      safe += c;
    }
  }
  return safe;
}

// What every page has: title and table are plain text.
std::string page_of(std::string_view plain_title, std::string_view plain_table,
                    const nlohmann::json& data, std::string_view script) {
  const std::string title = html_text(plain_title);
  const std::string table = html_text(plain_table);
  std::string page(opening);
  page += policy;
  page += fmt::format("<title>{}</title>\n<style>", title);
  page += page_style();
  page += fmt::format(
      "</style>\n</head>\n<body>\n<noscript><h1>{}</h1><p>Without scripts this page can show its "
      "table only.</p><pre>{}</pre></noscript>\n<script type=\"application/json\" id=\"results\">",
      title, table);
  page += script_text(data);
  page += "</script>\n<script>";
  page += script;
  page += "</script>\n</body>\n</html>\n";
  return page;
}

// Beside its place, then renamed; returns its size in bytes.
std::size_t write_page(const std::string& page, const std::string& path) {
  require_report_place(path);
  try {
    TemporaryFile temporary(path);
    {
      PosixFile file(temporary.path(), PosixFile::Mode::create_new);
      file.lock();
      file.write(0, std::as_bytes(std::span(page)));
      file.sync();
    }
    temporary.put_in_place(true);
  } catch (const StoreError& error) {
    throw StoreError(path, error.reason());  // users are not shown the temporary name
  }
  return page.size();
}

}  // namespace

std::string report_page(const StudyResults& results, UnitSystem units, const DynoResult* dyno) {
  const Comparison comparison = compare_headers(results);
  return page_of(results.plan().title, comparison_text(comparison, units),
                 report_data(results, comparison, units, dyno), page_script());
}

void require_report_place(const std::string& path) {
  if (page_script().empty()) {
    throw std::invalid_argument(
        "this program was built without the page of the report (PULSEWRIGHT_PAGE=OFF); build it "
        "with Node and npm, or leave the report out");
  }
  namespace fs = std::filesystem;
  std::error_code error;
  const auto status = fs::status(path, error);
  if (!fs::exists(status)) {
    const fs::path folder = fs::path(path).parent_path();
    if (!folder.empty() && !fs::is_directory(folder, error)) {
      throw std::invalid_argument(
          fmt::format("'{}': there is no folder '{}'", path, folder.string()));
    }
    return;
  }
  std::string start(opening.size(), '\0');
  if (fs::is_regular_file(status)) {
    std::ifstream(path, std::ios::binary).read(start.data(), std::ssize(start));
  }
  if (start != opening) {
    throw std::invalid_argument(fmt::format(
        "'{}' exists and is no report of this program; choose another file for the report", path));
  }
}

std::size_t write_report(const StudyResults& results, const std::string& path, UnitSystem units,
                         const DynoResult* dyno) {
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
  return write_page(page_of(record.plan.title, words, data, search_script()), path);
}

}  // namespace pulsewright::tools
