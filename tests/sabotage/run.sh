#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Applies one-line defects to a copy of the library, one at a time, and wants the test named beside each to fail.
# Usage: run.sh [how many, chosen evenly; all] [work folder, build-tests/sabotage]. All defects take a quarter of an
# hour. A line that is no longer in its file, or is there twice, is an error: mend defects.txt. Defects whose tests read
# recordings are left out, loudly, where these are not beside the checkout.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/../.."
table=tests/sabotage/defects.txt
count=${1:-all} work=${2:-$PWD/build-tests/sabotage}
tree=$work/tree build=$work/build
mkdir -p "$tree"
[ ! -d ../shared ] || ln -sfn "$(cd ../shared && pwd)" "$work/shared" # beside the copy, as tests look for it

names=() files=() before=() after=() programs=() filters=()
while IFS= read -r line; do
    case $line in
    "== "*) names+=("${line#== }") ;;
    "- "*) before+=("${line#- }") ;;
    "+ "*) after+=("${line#+ }") ;;
    "src/"*) files+=("$line") ;;
    "! "*) read -r _ program filter <<<"$line" && programs+=("$program") filters+=("$filter") ;;
    esac
done <"$table"
total=${#names[@]}
for list in "${#files[@]}" "${#before[@]}" "${#after[@]}" "${#filters[@]}"; do
    [ "$list" = "$total" ] || { echo "$table: every one of the $total defects needs a file and lines with -, + and !"; exit 1; }
done

# Files that differ are copied and get a new time, so what an earlier run left sabotaged is mended, too.
find CMakeLists.txt README.md include src tests examples -type f ! -name '*.pyc' | sort >"$work/files"
while IFS= read -r file; do
    cmp -s "$file" "$tree/$file" || cp --parents "$file" "$tree"
done <"$work/files"
(cd "$tree" && find . -type f | sed 's|^\./||' | sort) | comm -13 "$work/files" - | (cd "$tree" && xargs -r rm --)

failed=0
for ((i = 0; i < total; i++)); do
    lines=$(grep -cF -- "${before[i]}" "$tree/${files[i]}" || true)
    [ "$lines" = 1 ] && continue
    echo "!! \"${names[i]}\": its line is $lines times in ${files[i]}: ${before[i]}"
    failed=1
done
[ $failed = 0 ] || exit 1
echo "All $total lines were found."

chosen=()
[ "$count" = all ] || [ "$count" -lt "$total" ] || count=all
if [ "$count" = all ]; then
    chosen=("${!names[@]}")
else
    for ((k = 0; k < count; k++)); do chosen+=($(((2 * k + 1) * total / (2 * count)))); done
fi

export CCACHE_BASEDIR=$work CCACHE_NOHASHDIR=1
cache=()
if command -v ccache >/dev/null; then cache=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache -DCMAKE_C_COMPILER_LAUNCHER=ccache); fi
cmake -S "$tree" -B "$build" -G Ninja "${cache[@]}" -DCMAKE_BUILD_TYPE=Release -DCMAKE_C_COMPILER=gcc \
    -DCMAKE_CXX_COMPILER=g++ -DAPLOMB_COMMAND=OFF -DAPLOMB_EXAMPLES=OFF -DAPLOMB_INSTALL=OFF >"$work/cmake.txt"
make_programs() { cmake --build "$build" -j "${JOBS:-$(nproc)}" --target "$@" >"$work/build.txt" 2>&1; }
run_tests() { timeout 600 "$build/tests/$1" --gtest_filter="$2" >"$work/test.txt" 2>&1; }

# Without defects all of these tests have to pass.
needed=$(for i in "${chosen[@]}"; do echo "${programs[i]}"; done | sort -u)
make_programs $needed || { tail -n 30 "$work/build.txt"; exit 1; }
for program in $needed; do
    filter=$(for i in "${chosen[@]}"; do [ "${programs[i]}" != "$program" ] || echo "${filters[i]}"; done | sort -u | paste -sd :)
    run_tests "$program" "$filter" || { echo "!! $program fails before any defect:"; tail -n 15 "$work/test.txt"; exit 1; }
done

for i in "${chosen[@]}"; do
    cp "$tree/${files[i]}" "$work/sound"
    text=$(cat "$work/sound" && echo .)
    printf '%s' "${text/"${before[i]}"/"${after[i]}"}" | sed '$d' >"$tree/${files[i]}"
    if ! make_programs "${programs[i]}"; then
        echo "!! DOES NOT BUILD: ${names[i]}"
        tail -n 15 "$work/build.txt"
        failed=1
    elif run_tests "${programs[i]}" "${filters[i]}"; then
        if grep -q "NOT TESTED" "$work/test.txt"; then
            echo "*** NOT TRIED: ${names[i]}: the recordings for ${programs[i]} ${filters[i]} are not at hand ***"
        else
            echo "!! SURVIVED: ${names[i]} (${programs[i]} ${filters[i]})"
            failed=1
        fi
    else
        red=$(sed -n 's/^\[  FAILED  \] \([^ ,]*\).*ms)$/\1/p' "$work/test.txt" | paste -sd ' ')
        echo "red: ${names[i]}: ${programs[i]} ${red:-ended early}"
    fi
    cp "$work/sound" "$tree/${files[i]}" # with a new time
done
echo "${#chosen[@]} of $total defects tried."
exit $failed
