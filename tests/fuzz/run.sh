#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Looks for new inputs that break the readers or the C API, with libFuzzer, by hand: tests/fuzz/run.sh [seconds per
# target, 600] [target ...]. Whatever it finds becomes a seed here, for ctest replays them. Uses the sanitizers' build of
# tests/run.sh; JOBS [as many as processors] says how many targets run at once. Exits with 1 on a finding, which is left
# in build-tests/fuzz/findings.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/../.."
. tests/builds.sh
seconds=${1:-600}
[ $# -eq 0 ] || shift
[ $# -gt 0 ] || set -- gltf bvh description capi
programs=build-tests/sanitizers/tests work=build-tests/fuzz jobs=${JOBS:-$(nproc)}
configure sanitizers
cmake --build build-tests/sanitizers --target "${@/#/fuzz_}"
mkdir -p $work/findings

fuzz() { # target
    mkdir -p "$work/corpus/$1"
    # New inputs go to the first folder; the committed seeds are only read.
    if "$programs/fuzz_$1" -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -max_len=16384 -print_final_stats=1 \
        -artifact_prefix="$work/findings/$1-" "$work/corpus/$1" "tests/fuzz/seeds/$1" >"$work/$1.log" 2>&1; then
        echo "$1: $seconds s, nothing found"
        grep -E "number_of_executed_units|new_units_added|peak_rss_mb" "$work/$1.log"
    else
        echo "!! $1 found something:"
        tail -n 60 "$work/$1.log"
        return 1
    fi
}

found=0
while [ $# -gt 0 ]; do
    running=()
    for target in "${@:1:jobs}"; do
        fuzz "$target" >"$work/$target.told" &
        running+=("$target:$!")
    done
    for one in "${running[@]}"; do
        wait "${one##*:}" || found=1
        cat "$work/${one%%:*}.told"
    done
    shift ${#running[@]}
done
exit $found
