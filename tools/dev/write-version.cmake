# Writes the version header (run at build time by tools/CMakeLists.txt).
# In: SOURCE_FOLDER, GIT (may be empty), VERSION, TEMPLATE, HEADER.
set(COMMIT "unknown")
# Only the project's own checkout counts: an unpacked archive inside another repository must not
# report that repository's commit.
if(GIT AND EXISTS "${SOURCE_FOLDER}/.git")
  execute_process(
    COMMAND ${GIT} describe --always --abbrev=12 --exclude=* --dirty=-modified
    WORKING_DIRECTORY ${SOURCE_FOLDER}
    OUTPUT_VARIABLE described
    RESULT_VARIABLE failed
    OUTPUT_STRIP_TRAILING_WHITESPACE
    ERROR_QUIET)
  if(NOT failed AND described)
    set(COMMIT "${described}")
  endif()
endif()
configure_file(${TEMPLATE} ${HEADER} @ONLY)
