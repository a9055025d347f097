#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Builds and runs all tests on Debian 12: g++ Release, then clang++ Debug with AddressSanitizer and
# UndefinedBehaviorSanitizer; then a minute of fuzzing per target, two at a time. Installs what is missing.
# Arguments go to ctest, such as -R command, and fuzzing is left out.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/.."
. tests/packages.sh
need g++ cmake ninja-build nlohmann-json3-dev libcli11-dev libgtest-dev libbenchmark-dev libeigen3-dev \
    libceres-dev libmujoco-dev coinor-libipopt-dev libnlopt-dev clang-14 libclang-rt-14-dev pkg-config python3 python3-numpy chromium poppler-utils \
    g++-aarch64-linux-gnu qemu-user lld-14 wasi-libc libc++-14-dev-wasm32 libc++abi-14-dev-wasm32 libclang-rt-14-dev-wasm32
if ! command -v node >/dev/null; then need nodejs npm; fi

cache=()
if command -v ccache >/dev/null; then cache=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache -DCMAKE_C_COMPILER_LAUNCHER=ccache); fi

export CCACHE_BASEDIR=$PWD CCACHE_NOHASHDIR=1 # a fresh clone finds what another has built

failed=0
summary=
run() { # name, cmake options...
    local name=$1 folder=build-tests/$1
    shift
    echo "== $name"
    cmake -S . -B "$folder" -G Ninja "${cache[@]}" "$@" >/dev/null
    if ! cmake --build "$folder"; then
        failed=1
        summary+="== $name DOES NOT BUILD"$'\n'
        return
    fi
    ctest --test-dir "$folder" --output-on-failure --no-tests=error "${ctest_arguments[@]}" | tee "$folder/ctest.txt" ||
        failed=1
    summary+="== $name"$'\n'$(sed -n '/tests passed/,$p' "$folder/ctest.txt")$'\n'
}
ctest_arguments=("$@")

run release -DCMAKE_BUILD_TYPE=Release -DCMAKE_C_COMPILER=gcc -DCMAKE_CXX_COMPILER=g++ -DAPLOMB_BENCH=ON
run sanitizers -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_COMPILER=clang-14 -DCMAKE_CXX_COMPILER=clang++-14 -DAPLOMB_SANITIZE=ON

if [ $# -eq 0 ]; then
    echo "== fuzz"
    status=0
    tests/fuzz/run.sh 60 || status=$?
    case $status in
    0) summary+="== fuzz: nothing found"$'\n' ;;
    77) summary+="== fuzz WAS LEFT OUT"$'\n' ;;
    *) failed=1 summary+="== fuzz FOUND SOMETHING, or does not build"$'\n' ;;
    esac
fi

if [ ! -d ../shared/reference ]; then
    echo "!!"
    echo "!! The shared reference data was not found: every test that needs it WAS SKIPPED."
    echo "!!"
fi
printf '%s' "$summary"
exit $failed
