#!/bin/sh
# SPDX-License-Identifier: MIT
# Builds the benchmarks as a release and runs them. Usage: bench/run.sh [build folder] [benchmark's options]
# bench/run.sh peers [build folder]: the same problems by general-purpose optimizers, and bench/times.svg anew.
# bench/run.sh follow [build folder] [benchmark's options]: a step of follow-through beside a plain pass.
# bench/run.sh crowd [build folder] [benchmark's options]: 10 to 10,000 characters on one thread and on two.
# bench/run.sh read [build folder]: reading clips of 1,000 to 30,000 frames, and bench/read_times.svg anew.
# bench/run.sh clip [build folder] [most frames]: correcting whole clips, longer and longer.
# bench/run.sh fit [build folder]: seconds that a manner takes to be learnt.
set -e
source=$(cd "$(dirname "$0")/.." && pwd)
what=solve
case ${1:-} in
peers | crowd | read | follow | clip | fit)
    what=$1
    shift
    ;;
esac
build=${1:-$source/build-bench}
[ $# -gt 0 ] && shift
cmake -S "$source" -B "$build" -DCMAKE_BUILD_TYPE=Release -DAPLOMB_BENCH=ON -DAPLOMB_FILES=OFF -DAPLOMB_COMMAND=OFF \
      -DAPLOMB_EXAMPLES=OFF -DAPLOMB_TESTS=OFF
if [ $what = peers ]; then
    cmake --build "$build" --target peers_bench
    "$build/bench/peers_bench"
    "$build/bench/peers_bench" sizes >"$build/times.csv"
    "$source/bench/plot.py" <"$build/times.csv" >"$source/bench/times.svg"
    exit
fi
cmake --build "$build" --target ${what}_bench
if [ $what = read ]; then
    "$build/bench/read_bench"
    "$build/bench/read_bench" csv >"$build/read_times.csv"
    "$source/bench/plot.py" "Time of reading a clip against its frames" frames "seconds, the least of five" \
        <"$build/read_times.csv" >"$source/bench/read_times.svg"
    exit
fi
if [ $what = clip ] || [ $what = fit ]; then
    "$build/bench/${what}_bench" "$@"
    exit
fi
"$build/bench/${what}_bench" --benchmark_repetitions=15 --benchmark_min_time=0.1 --benchmark_report_aggregates_only=true \
      --benchmark_enable_random_interleaving=true "$@"
