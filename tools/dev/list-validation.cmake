# Writes the CTest entries of the validation cases (run after the program is linked, by
# tests/CMakeLists.txt).
# In: PROGRAM, TIME_LIMIT, TIME_LIMIT_LONG, LIST_FILE.
execute_process(COMMAND ${PROGRAM} validate --list OUTPUT_VARIABLE output RESULT_VARIABLE failed)
if(failed OR NOT output)
  message(FATAL_ERROR "${PROGRAM} validate --list failed (${failed}):\n${output}")
endif()
string(STRIP "${output}" output)
string(REPLACE "\n" ";" lines "${output}")
set(script "")
foreach(line IN LISTS lines)
  string(REPLACE " " ";" words "${line}")
  list(POP_FRONT words name)
  set(labels validation)
  set(cost 0)
  set(limit ${TIME_LIMIT})
  if(words STREQUAL "long")
    set(labels "validation;long")
    set(cost 50)  # started early: one begun last leaves a core idle
    set(limit ${TIME_LIMIT_LONG})
  endif()
  string(APPEND script
    "add_test([=[validation: ${name}]=] [=[${PROGRAM}]=] validate --quiet --case [=[${name}]=])\n"
    "set_tests_properties([=[validation: ${name}]=] PROPERTIES TIMEOUT ${limit}"
    " LABELS [=[${labels}]=] COST ${cost})\n")
endforeach()
file(WRITE ${LIST_FILE} "${script}")
