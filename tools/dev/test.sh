#!/bin/bash
# Installs the packages, builds in every preset and runs every check and test.
#
#   tools/dev/test.sh           rules of the house, sanitizers with clang, clang-tidy, release build and
#                               all tests, build and tests with MPI (what CI runs)
#   tools/dev/test.sh --all     the same, and the optimised build by clang with its tests
#   tools/dev/test.sh --quick   the rules of the house, release build and its tests without label long
#
# Goes on after a failed step, so that one run shows all that is wrong. The last line counts the
# tests of all presets together, and every other step as one. Exit code 0 only if nothing failed.
set -uo pipefail
cd "$(dirname "$0")/../.." || exit 1

quick=no
all_presets=no
case "${1-}" in
  "") ;;
  --all) all_presets=yes ;;
  --quick) quick=yes ;;
  *) sed -n '2,9s/^# \{0,1\}//p' "$0" >&2; exit 2 ;;
esac

jobs=$(nproc)
export CTEST_PARALLEL_LEVEL=$jobs CLICOLOR_FORCE=0

passed=0
failed=0
summary=()
log=$(mktemp)
trap 'rm -f "$log"' EXIT

# step <name> <command...>: one step counts as one pass or one failure.
step() {
  local name=$1 start=$SECONDS outcome
  shift
  echo "== $name"
  if "$@"; then
    outcome=ok
    passed=$((passed + 1))
  else
    outcome=FAILED
    failed=$((failed + 1))
  fi
  summary+=("$(printf '%-34s %6d s   %s' "$name" $((SECONDS - start)) "$outcome")")
  [ $outcome = ok ]
}

# tests <preset> <more ctest arguments...>: counts what CTest's closing line says.
tests() {
  local preset=$1 start=$SECONDS outcome bad all line
  shift
  echo "== tests, $preset"
  ctest --preset "$preset" --no-tests=error "$@" | tee "$log"
  outcome=${PIPESTATUS[0]}
  line=$(grep -E '^[0-9]+% tests passed, [0-9]+ tests? failed out of [0-9]+' "$log" | tail -n 1)
  bad=$(sed -E 's/.*, ([0-9]+) tests? failed.*/\1/' <<<"$line")
  all=$(sed -E 's/.* out of ([0-9]+).*/\1/' <<<"$line")
  if [ -z "$line" ] || { [ "$outcome" -ne 0 ] && [ "$bad" -eq 0 ]; }; then
    # CTest itself failed, or found no test.
    failed=$((failed + 1))
    line="CTest failed with exit code $outcome"
  else
    passed=$((passed + all - bad))
    failed=$((failed + bad))
  fi
  summary+=("$(printf '%-34s %6d s   %s' "tests, $preset" $((SECONDS - start)) "$line")")
}

# build <preset> <more arguments of the build...>
build() {
  local preset=$1
  shift
  step "build, $preset" sh -c "cmake --preset $preset >'$log' || { cat '$log'; exit 1; }
                               cmake --build --preset $preset -j $jobs $* -- -k 0"
}

step "packages" tools/dev/install-packages.sh
if command -v ccache >/dev/null; then  # the build with MPI shares the objects of the release
  export CMAKE_CXX_COMPILER_LAUNCHER=ccache
fi
step "direction of includes" tools/dev/check-includes.py
step "format" tools/dev/check-format.sh
if [ $quick = yes ]; then
  build release && tests release --label-exclude 'long|house'
else
  if build sanitize; then
    tests sanitize
    step "clang-tidy" tools/dev/check-tidy.sh build/sanitize
  fi
  if [ $all_presets = yes ]; then
    build clang && tests clang
  fi
  build release && tests release
  build mpi --target tests_spread && tests mpi
fi

if [ $quick = no ]; then
  # Told, never judged: an instruction more is no defect.
  echo "== instructions against those recorded"
  tools/bench/instructions.py || true
fi

echo
printf '%s\n' "${summary[@]}"
printf '%-34s %6d s\n' "in all" $SECONDS
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
