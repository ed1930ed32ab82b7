#!/bin/bash
# Runs clang-tidy 14 with the checks of .clang-tidy; a finding is an error.
#
#   tools/dev/check-tidy.sh [BUILD]             every .cpp of solver, models, cases and tools
#   tools/dev/check-tidy.sh [BUILD] --changed   only those that differ from main, or are new
#   tools/dev/check-tidy.sh [BUILD] FILE...     these files
#
# BUILD is a built preset with compile_commands.json (default: build/sanitize, else build/release).
# Headers of the project are looked at through the files that include them.
set -euo pipefail
cd "$(dirname "$0")/../.."

build=build/release
[ -f build/sanitize/compile_commands.json ] && build=build/sanitize
if [ $# -gt 0 ] && [ -d "$1" ]; then
  build=$1
  shift
fi
if [ ! -f "$build/compile_commands.json" ]; then
  echo "check-tidy.sh: no compile_commands.json in $build; configure and build a preset first" >&2
  exit 1
fi
tidy=$(command -v clang-tidy-14 || command -v clang-tidy || true)
if [ -z "$tidy" ]; then
  echo "check-tidy.sh: clang-tidy 14 not found; run tools/dev/install-packages.sh" >&2
  exit 1
fi

if [ "${1-}" = --changed ]; then
  base=$(git merge-base HEAD main 2>/dev/null || git rev-parse HEAD)
  mapfile -t files < <({ git diff --name-only --diff-filter=d "$base"
                         git ls-files --others --exclude-standard; } |
                       grep -E '^(solver|models|cases|tools|tests|validation)/.*\.cpp$' | sort -u)
elif [ $# -gt 0 ]; then
  files=("$@")
else
  mapfile -t files < <(find solver models cases tools/results -name '*.cpp' -type f | sort)
fi
# A file that no target compiles has no flags to be looked at with.
known=()
for file in "${files[@]}"; do
  if grep -qF "$PWD/$file" "$build/compile_commands.json"; then
    known+=("$file")
  else
    echo "clang-tidy: $file is not compiled in $build, left out"
  fi
done
if [ ${#known[@]} -eq 0 ]; then
  echo "clang-tidy: nothing to look at"
  # No file at all to be found is a fault, unless only the changed ones were asked for.
  [ "${1-}" = --changed ]
  exit
fi
printf '%s\0' "${known[@]}" |
  xargs -0 -n 1 -P "$(nproc)" "$tidy" -p "$build" --quiet --warnings-as-errors='*' 2> >(
    grep -vE '^[0-9]+ warnings? (generated|treated as)|^Suppressed|^Use -header-filter' >&2 || true)
echo "clang-tidy: ${#known[@]} files"
