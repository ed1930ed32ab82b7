# Writes a C++ source that holds the bundled page.
#   cmake -D SCRIPT=<js> -D SEARCH=<js> -D STYLE=<css> -D SOURCE=<cpp> -P embed-page.cmake
#   cmake -D SOURCE=<cpp> -P embed-page.cmake    an empty page, for programs without it
if(NOT DEFINED SCRIPT)
  file(WRITE "${SOURCE}" "// Generated for a program without the page of the report.
#include \"tools/report/page_parts.hpp\"

namespace pulsewright::tools {

std::string_view page_script() { return {}; }
std::string_view search_script() { return {}; }
std::string_view page_style() { return {}; }

}  // namespace pulsewright::tools
")
  return()
endif()

function(bytes_of file variable)
  file(READ "${file}" hex HEX)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${hex}")
  string(REGEX REPLACE "(................................................................................)"
         "\\1\n" bytes "${bytes}")
  set(${variable} "${bytes}" PARENT_SCOPE)
endfunction()

bytes_of("${SCRIPT}" script)
bytes_of("${SEARCH}" search)
bytes_of("${STYLE}" style)
file(WRITE "${SOURCE}.new" "// Generated from tools/report/page.
#include \"tools/report/page_parts.hpp\"

namespace pulsewright::tools {

namespace {

constexpr unsigned char script_bytes[] = {
${script}};
constexpr unsigned char search_bytes[] = {
${search}};
constexpr unsigned char style_bytes[] = {
${style}};

template <unsigned long size>
std::string_view as_text(const unsigned char (&bytes)[size]) {
  return {reinterpret_cast<const char*>(bytes), size};
}

}  // namespace

std::string_view page_script() { return as_text(script_bytes); }
std::string_view search_script() { return as_text(search_bytes); }
std::string_view page_style() { return as_text(style_bytes); }

}  // namespace pulsewright::tools
")
file(RENAME "${SOURCE}.new" "${SOURCE}")
