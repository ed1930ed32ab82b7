# Writes the CTest entries of one doctest executable (run after it is linked, by tests/CMakeLists.txt).
# In: EXECUTABLE, PREFIX, WORKING_FOLDER, ENVIRONMENT (parts split by |), TIME_LIMIT,
#     TIME_LIMIT_LONG, LABEL of those that are not long (may be empty), LIST_FILE.

# Names of the test cases that match the given options, as a list in `result`.
function(list_cases result)
  execute_process(COMMAND ${EXECUTABLE} --list-test-cases --no-skip=true --no-colors=true ${ARGN}
                  WORKING_DIRECTORY ${WORKING_FOLDER}
                  OUTPUT_VARIABLE output RESULT_VARIABLE failed)
  if(failed)
    message(FATAL_ERROR "${EXECUTABLE} could not list its test cases (${failed}):\n${output}")
  endif()
  # Lines of doctest's own, which a list of CMake could not hold because of their brackets.
  string(REGEX REPLACE "\\[doctest\\] [^\n]*\n" "" output "${output}")
  if(output MATCHES "[][;\\\\\"]")
    string(REGEX MATCH "[^\n]*[][;\\\\\"][^\n]*" name "${output}")
    message(FATAL_ERROR "These signs can not stand in the name of a test case: [ ] ; \\ \"\n${name}")
  endif()
  string(REPLACE "\n" ";" lines "${output}")
  set(names "")
  foreach(line IN LISTS lines)
    if(line AND NOT line MATCHES "^====")
      list(APPEND names "${line}")
    endif()
  endforeach()
  set(${result} "${names}" PARENT_SCOPE)
endfunction()

list_cases(short_cases --test-suite-exclude=long)
list_cases(long_cases --test-suite=long)
if(NOT short_cases AND NOT long_cases)
  message(FATAL_ERROR "${EXECUTABLE} holds no test case")
endif()

set(all_cases ${short_cases} ${long_cases})
list(LENGTH all_cases count)
list(REMOVE_DUPLICATES all_cases)
list(LENGTH all_cases different)
if(NOT count EQUAL different)
  message(FATAL_ERROR "${EXECUTABLE} holds two test cases of the same name")
endif()

set(script "")
string(REPLACE "|" ";" ENVIRONMENT "${ENVIRONMENT}")
macro(add_entries cases limit label)
  foreach(case IN LISTS ${cases})
    set(name "${PREFIX}: ${case}")
    string(REPLACE "," "\\," filter "${case}")
    string(APPEND script "add_test([==[${name}]==] [==[${EXECUTABLE}]==] --no-colors=true "
           # A test case that is skipped for now is none: it runs.
           "--no-skip=true "
           "[==[--test-case=${filter}]==])\n"
           "set_tests_properties([==[${name}]==] PROPERTIES TIMEOUT ${limit} "
           "WORKING_DIRECTORY [==[${WORKING_FOLDER}]==] ENVIRONMENT [==[${ENVIRONMENT}]==] "
           # A filter that matches nothing, or a test case without a check, must not pass.
           "FAIL_REGULAR_EXPRESSION [==[test cases: +0 .;assertions: +0 .]==]${label})\n")
  endforeach()
endmacro()
set(short_label "")
if(LABEL)
  set(short_label " LABELS ${LABEL}")
endif()
add_entries(short_cases ${TIME_LIMIT} "${short_label}")
# Long ones are started early: one begun last leaves a core idle.
add_entries(long_cases ${TIME_LIMIT_LONG} " LABELS long COST 50")
file(WRITE ${LIST_FILE} "${script}")
