// Script and style of the page, bundled from page/ when the program is built; both empty in a
// program that was built without it (PULSEWRIGHT_PAGE=OFF).
#pragma once

#include <string_view>

namespace pulsewright::tools {

std::string_view page_script();    // of a comparison
std::string_view search_script();  // of a search
std::string_view page_style();
// Of the live page (tools/live/page).
std::string_view live_page_script();
std::string_view live_worker_script();
std::string_view live_page_style();

}  // namespace pulsewright::tools
