#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Builds the run-time library and hash.c with other compilers, optimisation levels and processors, and compares
# the hashes of a few hundred solves, of the words on them, and of what follows and swings, with the committed ones
# (expected.txt: solves, words, motion; few, then many); 10,000 solves in the build given.
# Usage: run.sh [static library of the release build]. Needs, beside the compilers of tests/run.sh,
# g++-aarch64-linux-gnu and qemu-user, and wasi-libc, libc++-14-dev-wasm32, lld-14 and node.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
few=300 many=10000
{ read -r few_solves many_solves && read -r few_words many_words && read -r few_motion many_motion; } \
    <tests/determinism/expected.txt
expected_few="$few_solves $few_words $few_motion" expected_many="$many_solves $many_words $many_motion"
failed=0 checked=0

compare() { # name, hash, expected
    checked=$((checked + 1))
    if [ "$2" = "$3" ]; then
        echo "same bits: $1"
    else
        echo "OTHER BITS: $1 gives $2, expected $3"
        failed=1
    fi
}

sources=$(ls src/core/*/*.cpp)
runtime_flags="-std=c++20 -fno-exceptions -fno-rtti -ffp-contract=off -fvisibility=hidden -DNDEBUG -Iinclude -Isrc/core"

# Objects of the library and of hash.c: name, C++ compiler, C compiler, flags, sources.
compile() {
    local name=$1 cxx=$2 cc=$3 flags=$4 list=$5
    mkdir -p "$work/$name"
    # shellcheck disable=SC2086
    printf '%s\n' $list | xargs -P "$(nproc)" -I{} sh -c \
        "${cache:-} $cxx $runtime_flags $flags -c {} -o $work/$name/\$(echo {} | tr / _).o"
    $cc -std=c11 -ffp-contract=off $flags -Iinclude -c tests/determinism/hash.c -o "$work/$name/hash.o"
}
native() { # name, C++ compiler, C compiler, flags, runner
    compile "$1" "$2" "$3" "$4" "$sources"
    $3 -std=c11 -Iinclude -c tests/determinism/main.c -o "$work/$1/main.o"
    $2 ${6:-} "$work/$1"/*.o -o "$work/$1/run"
    compare "$1" "$(${5:-} "$work/$1/run" $few)" "$expected_few"
}
lacks() {
    echo "!! $1 WAS LEFT OUT: $2 is not here."
}

cache=$(command -v ccache || true)
if [ $# -gt 0 ]; then
    gcc -O2 -std=c11 -ffp-contract=off -Iinclude tests/determinism/hash.c tests/determinism/main.c \
        "$1" -lstdc++ -lm -o "$work/release"
    compare "release, $many solves" "$("$work/release" $many)" "$expected_many"
fi
native g++-O0 g++ gcc -O0
native g++-O2 g++ gcc -O2
native clang++-O2 clang++-14 clang-14 -O2
native clang++-O3 clang++-14 clang-14 -O3
if grep -q avx2 /proc/cpuinfo && grep -q fma /proc/cpuinfo; then
    native g++-O3-avx2-fma g++ gcc "-O3 -mavx2 -mfma -mno-fma" # the last as src/CMakeLists.txt has it
    native clang++-O3-avx2-fma clang++-14 clang-14 "-O3 -mavx2 -mfma"
else
    lacks "g++ -mavx2 -mfma" "such a processor"
fi
if command -v aarch64-linux-gnu-g++ >/dev/null && command -v qemu-aarch64 >/dev/null; then
    native aarch64 aarch64-linux-gnu-g++ aarch64-linux-gnu-gcc -O2 "qemu-aarch64" -static
else
    lacks "AArch64" "g++-aarch64-linux-gnu or qemu-user"
fi
if command -v node >/dev/null && [ -d /usr/include/wasm32-wasi ]; then
    # No threads there.
    target="--target=wasm32-wasi"
    compile wasm "clang++-14 $target" "clang-14 $target" -O2 "${sources//src\/core\/capi\/threads.cpp/}"
    clang++-14 $target -mexec-model=reactor -fno-exceptions -Wl,--export=hash_of_solves -Wl,--export=hash_of_words \
        -Wl,--export=hash_of_motion \
        -Wl,-z,stack-size=1048576 "$work"/wasm/*.o -o "$work/hash.wasm"
    compare "WebAssembly" "$(node tests/determinism/run.mjs "$work/hash.wasm" $few)" "$expected_few"
else
    lacks "WebAssembly" "node or wasi-libc"
fi
echo "$checked builds compared."
exit $failed
