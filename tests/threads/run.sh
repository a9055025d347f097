#!/bin/sh
# SPDX-License-Identifier: MIT
# The run-time library and main.cpp under ThreadSanitizer, and once without it: run.sh [work folder,
# build-tests/threads]. Needs clang++-14 alone, no CMake.
set -eu
cd "$(dirname "$0")/../.."
build=${1:-build-tests/threads}
compiler=${CXX:-clang++-14}
command -v "$compiler" > /dev/null || { echo "!! LEFT OUT: no $compiler"; exit 77; }
cache=$(command -v ccache || true)
flags="-std=c++20 -O1 -g -ffp-contract=off -fno-exceptions -fno-rtti -fsanitize=thread -Wall -Wextra -Iinclude -Isrc/core"
mkdir -p "$build"
sources="$(ls src/core/*/*.cpp)"
printf '%s\n' $sources | xargs -P "${JOBS:-2}" -I{} sh -c '
  $3 '"$compiler $flags"' -c "$2" -o "$1/$(echo "$2" | tr / _).o"' sh "$build" {} "$cache"
# figures.h throws.
$cache "$compiler" -std=c++20 -O1 -g -fsanitize=thread -Wall -Wextra -Iinclude -Itests -Isrc/core -c tests/threads/main.cpp \
  -o "$build/main.o"
"$compiler" -fsanitize=thread "$build"/*.o -o "$build/threads" -lpthread
# Without random addresses: ThreadSanitizer of clang 14 does not know all layouts of new kernels.
if command -v setarch > /dev/null && setarch -R true 2> /dev/null; then set -- setarch -R; else set --; fi
"$@" "$build/threads"
