#!/bin/sh
# SPDX-License-Identifier: MIT
# Fuzzes the readers and the C API with libFuzzer: tests/fuzz/run.sh [seconds per target, 60] [target ...]
# Needs clang++-14 alone, no CMake; JOBS [2] says how many targets run at once. Exits with 1 on a finding, which is left
# in build-tests/fuzz/findings.
set -eu
cd "$(dirname "$0")/../.."
seconds=${1:-60}
[ $# -eq 0 ] || shift
targets=${*:-gltf bvh description capi}
build=build-tests/fuzz
compiler=${CXX:-clang++-14}
command -v "$compiler" > /dev/null || { echo "!! LEFT OUT: no $compiler"; exit 77; }
cache=$(command -v ccache || true)
flags="-std=c++20 -O1 -g -ffp-contract=off -fno-omit-frame-pointer -fno-sanitize-recover=all -Iinclude -Isrc/core -Isrc/files -Itests"
sanitizers=address,undefined
jobs=${JOBS:-2}
mkdir -p $build/objects $build/findings

# One object per source; ccache makes the second run quick.
sources=$(ls src/core/*/*.cpp src/files/*/*.cpp)
for target in $targets; do sources="$sources tests/fuzz/$target.cpp"; done
printf '%s\n' $sources | xargs -P "$jobs" -I{} sh -c '
  object=$1/objects/$(echo "$2" | tr / _).o
  $3 '"$compiler $flags"' -fsanitize=fuzzer-no-link,'"$sanitizers"' -c "$2" -o "$object"' sh $build {} "$cache"
objects=$(printf '%s\n' $sources | grep -v '^tests/' | tr / _ | sed "s|.*|$build/objects/&.o|")
for target in $targets; do
  "$compiler" -fsanitize=fuzzer,$sanitizers "$build/objects/tests_fuzz_$target.cpp.o" $objects -o $build/$target -lpthread
done

fuzz() { # target
  mkdir -p $build/corpus/$1
  # New inputs go to the first folder; the committed seeds are only read.
  if $build/$1 -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -max_len=16384 -print_final_stats=1 \
       -artifact_prefix=$build/findings/$1- $build/corpus/$1 tests/fuzz/seeds/$1 > $build/$1.log 2>&1
  then
    echo "$1: $seconds s, nothing found"
    grep -E "number_of_executed_units|new_units_added|peak_rss_mb" $build/$1.log
  else
    echo "!! $1 found something:"
    tail -n 60 $build/$1.log
    return 1
  fi
}

found=0
set -- $targets
while [ $# -gt 0 ]; do
  running=
  for target in "$@"; do
    [ "$(echo $running | wc -w)" -lt "$jobs" ] || break
    fuzz "$target" > "$build/$target.told" & running="$running $target:$!"
  done
  for one in $running; do
    wait "${one##*:}" || found=1
    cat "$build/${one%%:*}.told"
    shift
  done
done
exit $found
