#include "tools/report/html_page.hpp"

#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <nlohmann/json.hpp>
#include <span>
#include <stdexcept>

#include "tools/results/posix_file.hpp"
#include "tools/results/store_error.hpp"
#include "tools/results/temporary_file.hpp"

namespace pulsewright::tools {

namespace {

// The first bytes of every page; by them an existing file is known as one.
constexpr std::string_view opening =
    "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
    "<meta name=\"generator\" content=\"pulsewright\">\n";

}  // namespace

// The browser itself refuses whatever would leave the file.
const std::string_view closed_policy =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; media-src data:; base-uri "
    "'none'; form-action 'none'; script-src 'unsafe-inline'";

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
std::string script_data(const nlohmann::json& data) {
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

std::string page_head(std::string_view title, std::string_view policy, std::string_view style) {
  std::string page(opening);
  page += fmt::format(
      "<meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n<meta name=\"viewport\" "
      "content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" "
      "content=\"light dark\">\n<title>{}</title>\n<style>",
      policy, html_text(title));
  page += style;
  page += "</style>\n</head>\n<body>\n";
  return page;
}

void require_page_place(const std::string& path) {
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
    throw std::invalid_argument(
        fmt::format("'{}' exists and is no page of this program; choose another file", path));
  }
}

std::size_t write_page(const std::string& page, const std::string& path) {
  require_page_place(path);
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

}  // namespace pulsewright::tools
