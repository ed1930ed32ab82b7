// What every page of this program is made of: texts that cannot become markup, and a file that
// replaces nothing but such a page.
#pragma once

#include <cstddef>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>

namespace pulsewright::tools {

// A text for the body or the title of a page.
std::string html_text(std::string_view text);

// Data for a script element of a type that is not run: nothing in it can end the element.
std::string script_data(const nlohmann::json& data);

// The page from its first byte to the beginning of its body: `policy` is its content security
// policy, `style` its style sheet.
std::string page_head(std::string_view title, std::string_view policy, std::string_view style);

// What the policies of all pages have in common: nothing is fetched, nothing is sent. A page adds
// what its scripts need.
extern const std::string_view closed_policy;

// Refuses what write_page() would refuse: std::invalid_argument for a place that holds anything
// but a page of this program, or without a folder.
void require_page_place(const std::string& path);

// Writes beside `path` and renames it into place; returns its size in bytes. Throws as
// require_page_place(), and StoreError if it cannot be written.
std::size_t write_page(const std::string& page, const std::string& path);

}  // namespace pulsewright::tools
