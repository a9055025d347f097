#!/bin/sh
# SPDX-License-Identifier: MIT
# A build without APLOMB_THREADS has all of the library but aplomb_run_on_threads, and knows no threads. Usage:
# without.sh cmake, build folder, C++ compiler
set -eu
cd "$(dirname "$0")/../.."
cache=$(command -v ccache || true)
"$1" -S . -B "$2" -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_COMPILER="$3" -DCMAKE_CXX_COMPILER_LAUNCHER="$cache" \
  -DAPLOMB_THREADS=OFF -DAPLOMB_FILES=OFF -DAPLOMB_COMMAND=OFF -DAPLOMB_TESTS=OFF -DAPLOMB_EXAMPLES=OFF \
  -DAPLOMB_INSTALL=OFF > /dev/null
"$1" --build "$2" --target aplomb_static -j "${JOBS:-2}" > /dev/null
symbols=$(nm "$2/src/libaplomb.a" 2> /dev/null)
echo "$symbols" | grep -q ' T aplomb_balance_many$' || { echo "!! aplomb_balance_many is not in it"; exit 1; }
if echo "$symbols" | grep -E 'pthread|aplomb_run_on_threads'; then
  echo "!! threads are in it"
  exit 1
fi
