// The live page: one HTML file with the solver as WebAssembly, a form for a case file, and curves
// that follow it. tools/live/page holds its sources; reports carry it, too, for their own case.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// What a page adds to closed_policy (html_page.hpp) that compiles the solver and starts workers, or
// opens a page that does: that has the policy of the page that opened it, too.
inline constexpr std::string_view solver_policy = " 'wasm-unsafe-eval' blob:; worker-src blob:";

// Whether this program was built with the page and the solver for it.
bool has_live_page();

// The page, opened with a case: its name is that of the file. An empty text opens what the browser
// kept, or an invented engine. units: those that the page begins with.
std::string live_page(std::string_view case_name, std::string_view case_text, UnitSystem units);

// The page without a case, as text for a script: zlib, base64. live_button.js opens it.
const std::string& packed_live_page();

// Refuses what write_live_page() would refuse: std::invalid_argument for a place that holds
// anything but a page of this program, and for a program that was built without the live page.
void require_live_page_place(const std::string& path);

// Writes the page beside `path` and renames it into place; returns its size in bytes. Throws as
// require_live_page_place(), and StoreError if it cannot be written.
std::size_t write_live_page(const std::string& path, std::string_view case_name,
                            std::string_view case_text, UnitSystem units);

}  // namespace pulsewright::tools
