#!/bin/sh
# SPDX-License-Identifier: MIT
# Fuzzes the readers and the C API with libFuzzer: tests/fuzz/run.sh [seconds per target, 60] [target ...]
# Needs clang++-14 alone, no CMake. Exits with 1 on a finding, which is left in build-tests/fuzz/findings.
set -eu
cd "$(dirname "$0")/../.."
seconds=${1:-60}
[ $# -eq 0 ] || shift
targets=${*:-gltf bvh description capi}
build=build-tests/fuzz
compiler=${CXX:-clang++-14}
command -v "$compiler" > /dev/null || { echo "!! LEFT OUT: no $compiler"; exit 77; }
cache=$(command -v ccache || true)
flags="-std=c++20 -O1 -g -ffp-contract=off -fno-omit-frame-pointer -fno-sanitize-recover=all -Iinclude -Isrc -Itests"
sanitizers=address,undefined
jobs=${JOBS:-2}
mkdir -p $build/objects $build/findings

# One object per source; ccache makes the second run quick.
ls src/math/*.cpp src/figure/*.cpp src/support/*.cpp src/balance/*.cpp src/reading/*.cpp src/capi/*.cpp src/io/*.cpp \
   src/report/*.cpp | xargs -P "$jobs" -I{} sh -c '
  object=$1/objects/$(echo "$2" | tr / _).o
  $3 '"$compiler $flags"' -fsanitize=fuzzer-no-link,'"$sanitizers"' -c "$2" -o "$object"' sh $build {} "$cache"

found=0
for target in $targets; do
  $cache "$compiler" $flags -fsanitize=fuzzer-no-link,$sanitizers -c tests/fuzz/$target.cpp -o $build/$target.o
  objects=$(ls src/math/*.cpp src/figure/*.cpp src/support/*.cpp src/balance/*.cpp src/reading/*.cpp src/capi/*.cpp \
               src/io/*.cpp src/report/*.cpp | tr / _ | sed "s|.*|$build/objects/&.o|")
  "$compiler" -fsanitize=fuzzer,$sanitizers $build/$target.o $objects -o $build/$target -lpthread
  mkdir -p $build/corpus/$target
  # New inputs go to the first folder; the committed seeds are only read.
  echo "== $target: $seconds s"
  if ! $build/$target -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -max_len=16384 -print_final_stats=1 \
       -artifact_prefix=$build/findings/$target- $build/corpus/$target tests/fuzz/seeds/$target > $build/$target.log 2>&1
  then
    echo "!! $target found something:"
    tail -n 60 $build/$target.log
    found=1
  else
    grep -E "number_of_executed_units|new_units_added|peak_rss_mb" $build/$target.log
  fi
done
exit $found
