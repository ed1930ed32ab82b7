#!/bin/sh
# Installs what the build and the tests need on Debian 12. Does nothing when all is there.
set -eu

packages="
  git ninja-build cmake g++ clang-14 clang-format-14 clang-tidy-14 libclang-rt-14-dev
  libeigen3-dev libboost-dev libhdf5-dev libcli11-dev libtomlplusplus-dev nlohmann-json3-dev
  libfmt-dev doctest-dev libbenchmark-dev zlib1g-dev libsndfile1-dev gnuplot-nox valgrind ccache
  libopenmpi-dev openmpi-bin libboost-serialization-dev libpagmo-dev libcminpack-dev emscripten
  python3 python3-h5py python3-xarray python3-h5netcdf python3-netcdf4 chromium-headless-shell
"
# Programs that may have come from elsewhere than Debian: a package is needed only where its program
# is not there. (Node from its makers brings npm along, Debian's does not.)
programs="node:nodejs npm:npm"
for pair in $programs; do
  if ! command -v "${pair%%:*}" >/dev/null; then
    packages="$packages ${pair##*:}"
  fi
done

if ! command -v apt-get >/dev/null || ! command -v dpkg-query >/dev/null; then
  echo "install-packages.sh: this is for Debian 12; install the like of these yourself:" >&2
  echo $packages >&2
  exit 1
fi

missing=""
for package in $packages; do
  state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
  if [ "$state" != installed ]; then
    missing="$missing $package"
  fi
done
if [ -z "$missing" ]; then
  echo "packages: all there"
  exit 0
fi

as_root=""
if [ "$(id -u)" -ne 0 ]; then
  if ! command -v sudo >/dev/null; then
    echo "install-packages.sh: neither root nor sudo here; as root run:" >&2
    echo "  apt-get install --no-install-recommends$missing" >&2
    exit 1
  fi
  as_root="sudo"
fi
echo "packages: installing$missing"
$as_root apt-get update -qq
# shellcheck disable=SC2086  # one word per package
$as_root env DEBIAN_FRONTEND=noninteractive \
  apt-get install -y -qq --no-install-recommends $missing
