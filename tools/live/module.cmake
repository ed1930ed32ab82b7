# The module in the program: built by emscripten in a build folder of its own (as preset `live` does) and
# embedded as pulsewright_live_module, whose functions tools/report/live_module.hpp declares. Empty where
# PULSEWRIGHT_LIVE is OFF, or AUTO without em++ or page.
set(EMSCRIPTEN_TOOLCHAIN /usr/share/emscripten/cmake/Modules/Platform/Emscripten.cmake CACHE FILEPATH
    "How CMake builds with emscripten")
set(build_module OFF)
if(PULSEWRIGHT_LIVE AND (PULSEWRIGHT_PAGE OR NOT PULSEWRIGHT_LIVE STREQUAL "AUTO"))
  find_program(EMXX_PROGRAM NAMES em++)
  if(EMXX_PROGRAM AND EXISTS ${EMSCRIPTEN_TOOLCHAIN})
    set(build_module ON)
  elseif(NOT PULSEWRIGHT_LIVE STREQUAL "AUTO")
    message(FATAL_ERROR "PULSEWRIGHT_LIVE needs em++ and ${EMSCRIPTEN_TOOLCHAIN}, Debian's package emscripten")
  endif()
endif()

set(module_source ${CMAKE_CURRENT_BINARY_DIR}/live_module.cpp)
if(NOT build_module)
  set(PULSEWRIGHT_LIVE_SCRIPT "" CACHE INTERNAL "solver.js, empty without it")
  set(PULSEWRIGHT_LIVE_WASM "" CACHE INTERNAL "solver.wasm, empty without it")
  file(CONFIGURE OUTPUT ${module_source} CONTENT [[// Generated for a program without the module.
#include "tools/report/live_module.hpp"

namespace pulsewright::tools {

std::string_view live_script() { return {}; }
std::string_view live_module() { return {}; }

}  // namespace pulsewright::tools
]])
  add_library(pulsewright_live_module STATIC ${module_source})
else()
  set(module_build ${CMAKE_CURRENT_BINARY_DIR}/module)
  set(PULSEWRIGHT_LIVE_SCRIPT ${module_build}/tools/live/solver.js CACHE INTERNAL "solver.js, empty without it")
  set(PULSEWRIGHT_LIVE_WASM ${module_build}/tools/live/solver.wasm CACHE INTERNAL "solver.wasm, empty without it")
  # Looked at in every build: it knows itself what of it is old.
  include(ExternalProject)
  ExternalProject_Add(pulsewright_live_build
    SOURCE_DIR ${PROJECT_SOURCE_DIR}
    BINARY_DIR ${module_build}
    CMAKE_GENERATOR Ninja
    CMAKE_ARGS -D CMAKE_TOOLCHAIN_FILE=${EMSCRIPTEN_TOOLCHAIN} -D CMAKE_BUILD_TYPE=Release
               -D PULSEWRIGHT_PCH=OFF
    BUILD_COMMAND ${CMAKE_COMMAND} --build . --target solver
    BUILD_ALWAYS ON
    BUILD_BYPRODUCTS ${PULSEWRIGHT_LIVE_SCRIPT} ${PULSEWRIGHT_LIVE_WASM}
    INSTALL_COMMAND ""
    TEST_COMMAND "")
  add_custom_command(
    OUTPUT ${CMAKE_CURRENT_BINARY_DIR}/solver.wasm.gz
    COMMAND gzip -9 -n -c ${PULSEWRIGHT_LIVE_WASM} > ${CMAKE_CURRENT_BINARY_DIR}/solver.wasm.gz
    DEPENDS ${PULSEWRIGHT_LIVE_WASM} pulsewright_live_build
    COMMENT "Compressing the module of the live page"
    VERBATIM)
  # The bytes of both files, put in by the assembler.
  set(script ${PULSEWRIGHT_LIVE_SCRIPT})
  set(module ${CMAKE_CURRENT_BINARY_DIR}/solver.wasm.gz)
  file(CONFIGURE OUTPUT ${module_source} CONTENT [[// Generated: the script and the compressed module.
#include "tools/report/live_module.hpp"

extern "C" const char live_script_begin[], live_script_end[], live_module_begin[], live_module_end[];

__asm__(
    ".section .rodata\n"
    "live_script_begin: .incbin \"@script@\"\nlive_script_end:\n"
    "live_module_begin: .incbin \"@module@\"\nlive_module_end:\n"
    ".text\n");

namespace pulsewright::tools {

std::string_view live_script() { return {live_script_begin, live_script_end}; }
std::string_view live_module() { return {live_module_begin, live_module_end}; }

}  // namespace pulsewright::tools
]] @ONLY)
  set_property(SOURCE ${module_source} PROPERTY OBJECT_DEPENDS "${script};${module}")
  add_library(pulsewright_live_module STATIC ${module_source})
  add_dependencies(pulsewright_live_module pulsewright_live_build)
endif()
target_include_directories(pulsewright_live_module PRIVATE ${PROJECT_SOURCE_DIR})
target_link_libraries(pulsewright_live_module PRIVATE pulsewright_options)
