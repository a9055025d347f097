#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Builds the worksheet, a page that is one file: FOLDER/worksheet.html. Needs clang++-14 with Debian's packages for
# WebAssembly (module/wasm32-wasi.cmake names them) and nlohmann-json. Usage: build.sh FOLDER; exit status 77: they are not here.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
folder=$1

left_out() {
    printf '!!\n!! LEFT OUT: the worksheet: %s\n!!\n' "$*"
    exit 77
}
command -v clang++-14 >/dev/null || left_out "clang-14 is not here"
command -v wasm-ld-14 >/dev/null || left_out "lld-14 is not here"
for file in __config cxxabi.h; do
    echo "#include <$file>" | clang++-14 --target=wasm32-wasi -x c++ -fsyntax-only - 2>/dev/null ||
        left_out "libc++-14-dev-wasm32, libc++abi-14-dev-wasm32 or wasi-libc is not here"
done
cache=()
if command -v ccache >/dev/null; then cache=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache); fi
generator=()
if command -v ninja >/dev/null; then generator=(-G Ninja); fi
mkdir -p "$folder"
cmake -S "$here/module" -B "$folder" "${generator[@]}" -DCMAKE_BUILD_TYPE=Release \
    -DCMAKE_TOOLCHAIN_FILE="$here/module/wasm32-wasi.cmake" "${cache[@]}" >"$folder.txt" 2>&1 || {
    cat "$folder.txt"
    exit 1
}
rm "$folder.txt"
cmake --build "$folder" --parallel
