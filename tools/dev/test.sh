#!/bin/bash
# Installs the packages, builds in every preset and runs every check and test.
#
#   tools/dev/test.sh           rules of the project, release build and all tests (with those of MPI),
#                               clang with sanitizers: solver, models, cases, results and the test cases of
#                               these libraries; clang-tidy (what CI runs)
#   tools/dev/test.sh --all     the same, with sanitizers the program, its tests and the long ones too, and
#                               the optimised build by clang with its tests
#   tools/dev/test.sh --quick   the rules of the project, release build without benchmarks and MPI (a first
#                               one without the module of the live page), and its tests without label long
#
# Goes on after a failed step, so that one run shows all that is wrong. The last line counts the
# tests of all presets together, and every other step as one. Exit code 0 only if nothing failed.
#
# To keep all cores busy, the next preset is built while the tests of one run, and clang-tidy beside both,
# at low priority: they fill what is left, since more at a time than there are cores makes all of them slower.
# What runs beside another step prints when it is done. At the end: where the time went, by step (from start to
# end, and the processors' time), and by the slowest files of each build.
set -uo pipefail
cd "$(dirname "$0")/../.." || exit 1

quick=no
all_presets=no
on_in_all=OFF
case "${1-}" in
  "") ;;
  --all) all_presets=yes on_in_all=ON ;;
  --quick) quick=yes ;;
  *) sed -n '2,11s/^# \{0,1\}//p' "$0" >&2; exit 2 ;;
esac

jobs=$(nproc)
export CTEST_PARALLEL_LEVEL=$jobs CLICOLOR_FORCE=0
# A twentieth of a first build: the compiler says which headers a file had, not its preprocessor beforehand.
export CCACHE_DEPEND=1
if command -v ccache >/dev/null; then
  export CMAKE_CXX_COMPILER_LAUNCHER=ccache
fi

priority=0  # of builds; what runs beside tests has less
work=$(mktemp -d)  # for each step: <number>.result, and what it printed if it ran beside another
steps=0
beside=()  # numbers of the steps that run beside others
trap 'rm -rf "$work"' EXIT
exec 3>&2
TIMEFORMAT='%0R %U %S'

# record <number> <name> <command...>: runs it and writes "name|s|processor s|passed|failed|words".
record() {
  local number=$1 name=$2 outcome words=ok passed=1 failed=0 line wall user sys
  shift 2
  echo "== $name"
  { time "$@" 2>&3 | tee "$work/$number.log"; outcome=${PIPESTATUS[0]}; } 2>"$work/$number.time"
  read -r wall user sys <"$work/$number.time"
  if [ "$1" = ctest ]; then
    # CTest's closing line counts; without it CTest itself failed, or found no test.
    line=$(grep -E '^[0-9]+% tests passed, [0-9]+ tests? failed out of [0-9]+' "$work/$number.log" |
           tail -n 1)
    failed=$(sed -nE 's/.*, ([0-9]+) tests? failed.*/\1/p' <<<"$line")
    passed=$(sed -nE 's/.* out of ([0-9]+).*/\1/p' <<<"$line")
    if [ -z "$line" ] || { [ "$outcome" -ne 0 ] && [ "$failed" -eq 0 ]; }; then
      passed=0 failed=1 words="CTest failed with exit code $outcome"
    else
      passed=$((passed - failed))
      words=$line
    fi
  elif [ "$outcome" -ne 0 ]; then
    passed=0 failed=1 words=FAILED
  fi
  echo "$name|$wall|$(awk "BEGIN { print $user + $sys }")|$passed|$failed|$words" \
    >"$work/$number.result"
  [ "$failed" -eq 0 ]
}

# step <name> <command...>. In a shell of its own, so that the time of what ends beside it is not counted.
step() {
  steps=$((steps + 1))
  ( record $steps "$@" )
}

# step_beside <name> <command...>: the same, beside what follows, until the next `wait_for_beside`.
step_beside() {
  steps=$((steps + 1))
  ( exec 3>&1; record $steps "$@" ) >"$work/$steps.out" 2>&1 &
  beside+=("$steps:$!")
}

wait_for_beside() {
  local one
  for one in "${beside[@]+"${beside[@]}"}"; do
    wait "${one#*:}"
    cat "$work/${one%%:*}.out"
  done
  beside=()
}

# build <build preset> <arguments of cmake --build...>
build() {
  local preset=$1
  shift
  step "build, $preset" nice -n "$priority" cmake --build --preset "$preset" -j "$jobs" "$@" -- -k 0
}

# failures <log>: of CTest the failed tests and what they printed; of another step its last lines.
failures() {
  if grep -qE '^[0-9]+% tests passed' "$1"; then
    awk '/^ *[0-9]+\/[0-9]+ Test +#/ { on = /\*\*\*/ } /^ +Start +[0-9]+:/ { on = 0 } on; /^[0-9]+% tests passed/ { exit }' "$1"
    sed -n '/^The following tests FAILED:/,/^Errors while/p' "$1"
  else
    tail -n 40 "$1"
  fi
}

configure() {
  step "configure, $1" cmake --preset "$@"
}

step "packages" tools/dev/install-packages.sh
step "direction of includes" tools/dev/check-includes.py
step "names without their headers" tools/dev/check-names.py
built=(release)
if [ $quick = yes ]; then
  step "files" tools/dev/check-files.py
  step "references" tools/dev/check-references.py
  step "format" tools/dev/check-format.sh
  without_live=()
  if [ ! -e build/release/CMakeCache.txt ]; then without_live=(-D PULSEWRIGHT_LIVE=OFF); fi
  # Pages wait for the browser half of their time, and nothing runs beside.
  export CTEST_PARALLEL_LEVEL=$((jobs + 1))
  export PULSEWRIGHT_DAMAGE_CASES=60  # the whole run damages 250
  configure release "${without_live[@]+"${without_live[@]}"}" && build release --target quick &&
    step "tests, release" ctest --preset release --no-tests=error --label-exclude 'long|checks|mpi' \
      --exclude-regex '^(spread: |tests_spread)'
else
  configure release -D PULSEWRIGHT_MPI=ON -D PULSEWRIGHT_LIVE=ON
  # All tests: in the kernels of eight lanes, too.
  if configure sanitize -D PULSEWRIGHT_EIGHT_LANES=$on_in_all; then
    step_beside "clang-tidy" nice -n 10 tools/dev/check-tidy.py build/sanitize
  fi
  if build release; then
    step_beside "tests, release" ctest --preset release --no-tests=error
  fi
  priority=15
  built+=(sanitize)
  sanitized=sanitize
  if [ $all_presets = yes ]; then sanitized=sanitize-all; fi
  if build $sanitized; then
    step_beside "tests, sanitize" ctest --preset $sanitized --no-tests=error
  fi
  if [ $all_presets = yes ]; then
    built+=(clang)
    configure clang && build clang &&
      step_beside "tests, clang" ctest --preset clang --no-tests=error
  fi
  # Reported, never a failure: an instruction more is no defect.
  echo "== instructions against those recorded"
  tools/bench/instructions.py || true
  wait_for_beside
fi

echo
for preset in "${built[@]}"; do
  tools/dev/slowest-files.py "build/$preset" 8
done
echo
echo "where the time went                     s   processor s"
passed=0
failed=0
broken=()
for number in $(seq $steps); do
  [ -f "$work/$number.result" ] || continue
  IFS='|' read -r name wall processor good bad words <"$work/$number.result"
  printf '%-32s %8d %13.0f   %s\n' "$name" "$wall" "$processor" "$words"
  passed=$((passed + good))
  failed=$((failed + bad))
  [ "$bad" -eq 0 ] || broken+=("$number $name")
done
printf '%-32s %8d %13s\n' "in all" $SECONDS ""
# What failed stands at the end, where it is looked for, too.
for one in "${broken[@]+"${broken[@]}"}"; do
  printf '\n== failed: %s\n' "${one#* }"
  failures "$work/${one%% *}.log" | head -n 100
done
echo
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
