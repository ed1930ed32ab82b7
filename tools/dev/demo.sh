#!/bin/sh
# Installs the packages, builds the program and compares the headers of the demo engine.
# Further arguments go to `pulsewright compare`, for example: tools/dev/demo.sh --units inch
# A first build is without the page that computes (`live`), which takes a minute more: the last lines say
# how to add it.
set -eu
cd "$(dirname "$0")/../.."

tools/dev/install-packages.sh
without_live=
if [ ! -e build/release/CMakeCache.txt ]; then
  without_live="-D PULSEWRIGHT_LIVE=OFF"
fi
# shellcheck disable=SC2086  # none or two words
cmake --preset release $without_live
cmake --build --preset release --target pulsewright
code=0
build/release/pulsewright compare cases/hillclimb-v8.toml -o demo.h5 --report demo.html \
  --overwrite "$@" || code=$?
if [ demo.html -nt demo.h5 ]; then  # not the page of an earlier run
  echo
  echo "Open this page in a browser: $PWD/demo.html"
fi
if grep -q '^PULSEWRIGHT_LIVE:[A-Z]*=OFF' build/release/CMakeCache.txt; then
  echo "This build is without the page that computes by itself (live). To add it, a minute:"
  echo "  cmake --preset release -D PULSEWRIGHT_LIVE=AUTO && cmake --build --preset release --target pulsewright"
fi
exit $code
