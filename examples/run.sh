#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# On Debian 12: installs what is missing, builds, runs the C example and balances the beekeeper. Pictures and
# corrected files go to out/.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/.."
. tests/packages.sh
need g++ cmake ninja-build nlohmann-json3-dev libcli11-dev

cmake -S . -B build -G Ninja -DCMAKE_BUILD_TYPE=Release -DAPLOMB_TESTS=OFF >/dev/null
cmake --build build

echo
echo "== The C example: a bucket of syrup in the right hand"
build/examples/example_balance

mkdir -p out
balance() { # name, frame, options...
    local name=$1 frame=$2
    shift 2
    echo
    echo "== $name"
    build/aplomb balance examples/beekeeper.bvh --frame "$frame" "$@" --lines --out "out/$name.bvh" --picture "out/$name.svg"
}
balance honey-box 0 --load 22kg,hands
balance syrup-bucket 1 --load 15kg,right-hand,hang=0.35
balance over-a-log 2
balance hive-over-a-log 2 --load 20kg,back,behind=0.25

echo
echo "The pictures, before and after side by side:"
ls "$PWD"/out/*.svg
