# SPDX-License-Identifier: MIT
# Sourced by scripts, in the top folder. configure release | sanitizers: sets that build up in build-tests.
export CCACHE_BASEDIR=$PWD CCACHE_NOHASHDIR=1 # a fresh clone finds what another has built

configure() {
    local options
    case $1 in
    release)
        options=(-DCMAKE_BUILD_TYPE=Release -DCMAKE_C_COMPILER=gcc -DCMAKE_CXX_COMPILER=g++ -DAPLOMB_BENCH=ON)
        ;;
    sanitizers)
        options=(-DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_COMPILER=clang-14 -DCMAKE_CXX_COMPILER=clang++-14
            -DAPLOMB_SANITIZE=ON)
        ;;
    esac
    if command -v ccache >/dev/null; then
        options+=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache -DCMAKE_C_COMPILER_LAUNCHER=ccache)
    fi
    cmake -S . -B "build-tests/$1" -G Ninja "${options[@]}" >/dev/null
}
