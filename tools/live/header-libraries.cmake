# For a build with emscripten: what find_package() finds of the libraries that are headers alone, or can
# be used as such. They are taken from where Debian has them for this machine, through a folder of links
# to them: the whole of /usr/include would put the headers of this machine's C library before those of
# emscripten.
set(header_folder ${CMAKE_BINARY_DIR}/header-libraries)
file(MAKE_DIRECTORY ${header_folder})

# header_library(<package> <version> <target> <folder below /usr/include> <link> <definitions...>)
function(header_library package version target folder link)
  if(NOT EXISTS /usr/include/${folder})
    message(FATAL_ERROR "/usr/include/${folder} is missing; tools/dev/install-packages.sh installs it")
  endif()
  file(CREATE_LINK /usr/include/${folder} ${header_folder}/${link} SYMBOLIC)
  string(TOLOWER ${package} name)
  file(WRITE ${CMAKE_FIND_PACKAGE_REDIRECTS_DIR}/${name}-config.cmake
    "if(NOT TARGET ${target})
  add_library(${target} INTERFACE IMPORTED GLOBAL)
  set_target_properties(${target} PROPERTIES INTERFACE_INCLUDE_DIRECTORIES ${header_folder}
                        INTERFACE_COMPILE_DEFINITIONS \"${ARGN}\")
endif()
")
  file(WRITE ${CMAKE_FIND_PACKAGE_REDIRECTS_DIR}/${name}-config-version.cmake
    "set(PACKAGE_VERSION ${version})\nset(PACKAGE_VERSION_COMPATIBLE TRUE)\n")
endfunction()

header_library(Eigen3 3.4 Eigen3::Eigen eigen3/Eigen Eigen)
file(CREATE_LINK /usr/include/eigen3/unsupported ${header_folder}/unsupported SYMBOLIC)
header_library(Boost 1.74 Boost::headers boost boost)
header_library(fmt 9 fmt::fmt fmt fmt FMT_HEADER_ONLY=1)
header_library(tomlplusplus 3.3 tomlplusplus::tomlplusplus toml++ toml++ TOML_HEADER_ONLY=1)
header_library(nlohmann_json 3.11 nlohmann_json::nlohmann_json nlohmann nlohmann)
