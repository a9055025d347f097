#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# On Debian 12: installs what is missing, builds, runs the C examples, balances the beekeeper in its carries and draws
# the sheets. Corrected files, pictures and pages go to out/.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/.."
. tests/packages.sh
need g++ cmake ninja-build nlohmann-json3-dev libcli11-dev libceres-dev python3

build=${APLOMB_BUILD:-build}
cmake -S . -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release -DAPLOMB_TESTS=OFF >/dev/null
cmake --build "$build"

for example in balance game_loop crowd load_table; do
    echo
    echo "== examples/$example.c"
    "$build/examples/example_$example"
done

mkdir -p out
balance() { # name, pose, options...
    local name=$1 pose=$2
    shift 2
    echo
    echo "== $name"
    "$build/aplomb" balance examples/beekeeper.glb --clip "$pose" "$@" --out "out/$name.glb" \
        --picture "out/$name.svg" --page "out/$name.html"
}
balance honey-box "honey box" --load 22kg,hands,forward=0.06,up=0.03
balance syrup-bucket "syrup bucket" --load 15kg,right-hand,hang=0.38
balance hive hive --load 20kg,back,behind=0.28,up=0.05
balance over-a-log "over a log"
balance hive-over-a-log "over a log" --load 20kg,back,behind=0.28,up=0.05
balance comb comb --load 5kg,hands,forward=0.06,up=0.03

read_shot() { # name, options...: a shot that is out of balance is a result, too
    local name=$1
    shift
    echo
    echo "== $name"
    "$build/aplomb" read examples/beekeeper_shots.glb --clip "$name" --frames all "$@" --page "out/$name.html" ||
        [ $? = 1 ]
}
read_shot carry --load 22kg,hands,forward=0.06,up=0.03,frames=66..208
read_shot walk --belt find

balance_shot() { # name, options...: the whole shot, corrected together
    local name=$1
    shift
    echo
    echo "== $name, balanced"
    "$build/aplomb" balance examples/beekeeper_shots.glb --clip "$name" --frames all "$@" \
        --out "out/$name-balanced.glb" --page "out/$name-balanced.html"
}
balance_shot carry --load 22kg,hands,forward=0.06,up=0.03,frames=66..208
balance_shot walk --belt find --loop

follow() { # name, clip, options...: what follows from weight, moving, and eight moments of it for print
    local name=$1 clip=$2
    shift 2
    echo
    echo "== $name"
    "$build/aplomb" follow examples/beekeeper_follow.glb --clip "$clip" "$@" --out "out/$name.glb" --page "out/$name.html"
}
skep=(--chain skep..skep,kind=strap,stiffness=3,damping=25%,own=100% --chain neck)
follow bucket-swings stroll --load 12kg,right-hand,hang=0.35 "${skep[@]}" --balance
follow skep-settles stroll "${skep[@]}" --frames 20..100
follow box-lands catch --load 15kg,hands,up=0.14,forward=0.05,size=0.36x0.25x0.26,frames=24..72,drop=0.3 \
    "${skep[@]}" --balance --frames 12..47

echo
echo "== A studio's manner, from six pairs"
APLOMB_LIBRARY=$build/src python3 -B examples/make_bold.py out
"$build/aplomb" fit out/bold-pairs.json --out out/bold.json
"$build/aplomb" balance examples/beekeeper.glb --clip "squat lift" --load 22kg,hands --manner out/bold.json \
    --page out/bold.html >/dev/null

echo
echo "== A drawing with dots on its joints"
"$build/aplomb" dots examples/beekeeper_drawing.json --load 22kg,hands,forward=0.15 --picture out/drawing.svg \
    --page out/drawing.html --figure out/drawing.bvh || [ $? = 1 ]

echo
echo "== Sheets"
"$build/examples/example_game_loop" out/game-loop.svg >/dev/null
"$build/examples/example_sheets" examples/beekeeper.glb out

worksheet=""
echo
echo "== The worksheet"
src/worksheet/build.sh "$build/worksheet" && cp "$build/worksheet/worksheet.html" out/ && worksheet=$PWD/out/worksheet.html ||
    [ $? -eq 77 ] # without the compiler for WebAssembly, as the line above says

echo
echo "Open in a browser:"
[ -z "$worksheet" ] || echo "  $worksheet        try a weight and see it: moments, masses, sliders, files of your own"
echo "  $PWD/out/contact-sheet.html    all carries at 10, 30, 60 and 100 % of the body's mass"
echo "  $PWD/out/teaching-sheets.html  which poses tip, and what changes the lean"
echo "  $PWD/out/carry.html             a shot: where it falls, and how the weight goes; walk.html: a walk on the spot"
echo "  $PWD/out/carry-balanced.html    the same shot corrected, before and after; walk-balanced.html: the walk, a loop"
echo "  $PWD/out/bucket-swings.html     what follows from weight; skep-settles.html, box-lands.html: play them, or print eight moments"
echo "  $PWD/out/drawing.html           a figure under the dots of a drawing, and its correction over it"
echo "  $PWD/out/bold.html              a lift in a studio's own, bold manner, learnt from six pairs"
echo "  $PWD/out/game-loop.svg         a walk on which a honey box is taken, frame after frame"
echo "  $PWD/out/hive-over-a-log.html  one correction with all its numbers; one such page for each file out/*.glb"
