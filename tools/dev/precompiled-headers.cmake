# What other libraries and the standard library declare, read once for many targets: precompiled headers.
#
# pulsewright_precompile(<target>) lets a target use them. Three sets, one for each way in which targets are
# compiled: optimised, pulsewright_light() and tests. They hold what the files include anyway; a file
# includes all the same what it uses, which tools/dev/check-names.py holds.

set(pulsewright_precompiled <algorithm> <array> <cmath> <cstddef> <cstdint> <functional> <limits> <map>
    <memory> <numbers> <optional> <set> <span> <stdexcept> <string> <string_view> <utility> <vector>
    <experimental/simd> <Eigen/Core> <boost/align/aligned_allocator.hpp> <fmt/format.h>)

# pulsewright_precompiled_set(<name> <libraries>... HEADERS <headers>...)
function(pulsewright_precompiled_set name)
  cmake_parse_arguments(PARSE_ARGV 1 set "" "" HEADERS)
  set(source ${PROJECT_BINARY_DIR}/generated/${name}.cpp)
  file(CONFIGURE OUTPUT ${source} CONTENT "// Compiled for the headers that are read before it.\n")
  add_library(${name} OBJECT ${source})
  target_link_libraries(${name} PRIVATE pulsewright_options Eigen3::Eigen Boost::headers fmt::fmt
                        ${set_UNPARSED_ARGUMENTS})
  target_precompile_headers(${name} PRIVATE ${pulsewright_precompiled} ${set_HEADERS})
endfunction()

function(pulsewright_precompile target)
  if(NOT PULSEWRIGHT_PCH)
    return()
  endif()
  get_target_property(light ${target} PULSEWRIGHT_LIGHT)
  set(set pulsewright_headers)
  if(target MATCHES "^tests_")
    set(set pulsewright_headers_tests)
  elseif(light)
    set(set pulsewright_headers_light)
  endif()
  # What the compiler is told must be the same, so the libraries are, too.
  target_link_libraries(${target} PRIVATE fmt::fmt)
  target_precompile_headers(${target} REUSE_FROM ${set})
endfunction()

if(PULSEWRIGHT_PCH)
  find_package(Eigen3 3.4 REQUIRED NO_MODULE)
  find_package(Boost 1.74 REQUIRED)
  find_package(fmt 9 REQUIRED)
  pulsewright_precompiled_set(pulsewright_headers)
  if(PULSEWRIGHT_PROGRAM)
    find_package(nlohmann_json 3.11 REQUIRED)
    find_package(CLI11 2.1 REQUIRED)
    find_package(doctest 2.4 REQUIRED)
    pulsewright_precompiled_set(pulsewright_headers_light nlohmann_json::nlohmann_json CLI11::CLI11
      HEADERS <nlohmann/json.hpp> <CLI/CLI.hpp>)
    pulsewright_precompiled_set(pulsewright_headers_tests nlohmann_json::nlohmann_json doctest::doctest
      HEADERS <nlohmann/json.hpp> <doctest/doctest.h>)
    pulsewright_test_options(pulsewright_headers_tests)
  else()
    pulsewright_precompiled_set(pulsewright_headers_light)
  endif()
  pulsewright_light(pulsewright_headers_light)
endif()
