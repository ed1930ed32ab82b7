# Writes a C++ source that holds the bundled page.
#   cmake -D FOLDER=<bundles> -D SOURCE=<cpp> -P embed-page.cmake
#   cmake -D SOURCE=<cpp> -P embed-page.cmake    an empty page, for programs without it
# Functions of page_parts.hpp and the bundles that they give.
set(parts page_script=page.js search_script=search_page.js page_style=page.css
    live_page_script=live.js live_worker_script=worker.js live_page_style=live.css)

set(bytes "")
set(functions "")
foreach(part IN LISTS parts)
  string(REPLACE "=" ";" pair "${part}")
  list(GET pair 0 name)
  list(GET pair 1 file)
  if(DEFINED FOLDER)
    file(READ "${FOLDER}/${file}" hex HEX)
    string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," numbers "${hex}")
    string(REGEX REPLACE "(................................................................................)"
           "\\1\n" numbers "${numbers}")
    string(APPEND bytes "constexpr unsigned char ${name}_bytes[] = {\n${numbers}};\n")
    string(APPEND functions "std::string_view ${name}() { return as_text(${name}_bytes); }\n")
  else()
    string(APPEND functions "std::string_view ${name}() { return {}; }\n")
  endif()
endforeach()

if(DEFINED FOLDER)
  set(bytes "namespace {

${bytes}
template <unsigned long size>
std::string_view as_text(const unsigned char (&bytes)[size]) {
  return {reinterpret_cast<const char*>(bytes), size};
}

}  // namespace

")
endif()
file(WRITE "${SOURCE}.new" "// Generated from tools/report/page and tools/live/page; empty for a program without them.
#include \"tools/report/page_parts.hpp\"

namespace pulsewright::tools {

${bytes}${functions}
}  // namespace pulsewright::tools
")
file(RENAME "${SOURCE}.new" "${SOURCE}")
