#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Builds and runs all tests on Debian 12: g++ Release, then clang++ Debug with AddressSanitizer and
# UndefinedBehaviorSanitizer. Installs what is missing. Arguments go to ctest, such as -R command. Some ten minutes on
# two cores. Random fuzzing is by hand: tests/fuzz/run.sh.
set -euo pipefail

cd "$(dirname "${BASH_SOURCE[0]}")/.."
. tests/packages.sh
. tests/builds.sh
need g++ cmake ninja-build nlohmann-json3-dev libcli11-dev libgtest-dev libbenchmark-dev libeigen3-dev \
    libceres-dev libmujoco-dev coinor-libipopt-dev libnlopt-dev clang-14 libclang-rt-14-dev pkg-config python3 python3-numpy chromium poppler-utils \
    g++-aarch64-linux-gnu qemu-user lld-14 wasi-libc libc++-14-dev-wasm32 libc++abi-14-dev-wasm32 libclang-rt-14-dev-wasm32
if ! command -v node >/dev/null; then need nodejs npm; fi

failed=0
summary=
for name in release sanitizers; do
    folder=build-tests/$name
    echo "== $name"
    configure $name
    if ! cmake --build "$folder"; then
        failed=1
        summary+="== $name DOES NOT BUILD"$'\n'
        continue
    fi
    ctest --test-dir "$folder" --parallel "$(nproc)" --output-on-failure --no-tests=error "$@" | tee "$folder/ctest.txt" ||
        failed=1
    summary+="== $name"$'\n'$(sed -n '/tests passed/,$p' "$folder/ctest.txt")$'\n'
done

if [ ! -d ../shared/reference ]; then
    echo "!!"
    echo "!! The shared reference data was not found: every test that needs it WAS SKIPPED."
    echo "!!"
fi
printf '%s' "$summary"
exit $failed
