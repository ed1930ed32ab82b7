#!/bin/bash
# Refuses C++ files that clang-format 14 would write differently.
#
#   tools/dev/check-format.sh         checks
#   tools/dev/check-format.sh --fix   rewrites the files
set -euo pipefail
cd "$(dirname "$0")/../.."

fix=no
case "${1-}" in
  "") ;;
  --fix) fix=yes ;;
  *) sed -n '2,5s/^# \{0,1\}//p' "$0" >&2; exit 2 ;;
esac

# Another version lays some lines out differently, so only this one will do.
formatter=$(command -v clang-format-14 || command -v clang-format || true)
if [ -z "$formatter" ] || ! "$formatter" --version | grep -q 'version 14\.'; then
  echo "check-format.sh: clang-format 14 not found; run tools/dev/install-packages.sh" >&2
  exit 1
fi

mapfile -t files < <(find solver models cases tools tests validation \
                          \( -name '*.cpp' -o -name '*.hpp' \) -type f | sort)
if [ ${#files[@]} -eq 0 ]; then
  echo "check-format.sh: no source files found" >&2
  exit 1
fi
if [ $fix = yes ]; then
  "$formatter" -i "${files[@]}"
fi
# It names each place; a line per file will do.
wrong=$(printf '%s\0' "${files[@]}" |
        xargs -0 -n 40 -P "$(nproc)" "$formatter" --dry-run 2>&1 |
        sed -nE 's/^([^: ]+\.[ch]pp):[0-9]+:.*/\1/p' | sort -u)
for file in $wrong; do
  echo "$file: not formatted; tools/dev/check-format.sh --fix rewrites it" >&2
done
echo "format: ${#files[@]} files, $(wc -w <<<"$wrong") wrong"
[ -z "$wrong" ]
