#!/bin/sh
# Installs the packages, builds the program and compares the headers of the demo engine.
# Further arguments go to `pulsewright compare`, for example: tools/dev/demo.sh --units inch
set -eu
cd "$(dirname "$0")/../.."

tools/dev/install-packages.sh
if command -v ccache >/dev/null; then
  export CMAKE_CXX_COMPILER_LAUNCHER=ccache
fi
cmake --preset release
cmake --build --preset release --target pulsewright
code=0
build/release/pulsewright compare cases/hillclimb-v8.toml -o demo.h5 --report demo.html \
  --overwrite "$@" || code=$?
if [ demo.html -nt demo.h5 ]; then  # not the page of an earlier run
  echo
  echo "Open this page in a browser: $PWD/demo.html"
fi
exit $code
