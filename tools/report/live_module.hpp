// The solver for the live page as the build embeds it: see tools/live. Both are empty in a program
// that was built without emscripten.
#pragma once

#include <string_view>

namespace pulsewright::tools {

std::string_view live_script();  // solver.js
std::string_view live_module();  // solver.wasm, compressed by gzip

}  // namespace pulsewright::tools
