#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Installs a build into a temporary prefix and uses it as its users do: find_package, add_subdirectory, pkg-config; C11
# and C++20; static and shared. Arguments: build folder, C compiler, C++ compiler, build type.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
source=$(cd "$here/../.." && pwd)
build=$1 build_type=$4
export CC=$2 CXX=$3
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
consumers=$work/consumers

say() { echo "-- $*"; }
fail() {
    echo "FAILED: $*" >&2
    exit 1
}
quietly() { # command...: its output is shown only if it fails
    "$@" >"$work/log" 2>&1 || {
        cat "$work/log" >&2
        fail "$*"
    }
}
same() { # what, expected, found
    [ "$2" = "$3" ] || fail "$1: expected '$2', found '$3'"
}

say "install, once with a prefix and once with DESTDIR; both are the same, and the second is moved before it is used"
quietly cmake --install "$build" --prefix "$work/plain"
DESTDIR=$work/staged quietly cmake --install "$build" --prefix /usr/local
[ ! -e "$work/staged$work" ] || fail "DESTDIR got files for another prefix"
diff -r "$work/plain" "$work/staged/usr/local" || fail "DESTDIR and prefix give different files"
prefix=$work/moved/far
mkdir -p "$work/moved"
mv "$work/plain" "$prefix"
library=$(dirname "$(find "$prefix" -name libaplomb.a)")
if grep -rIl -e "$source" -e "$build" -e "$work/plain" "$prefix"; then fail "these name folders of the build"; fi

say "what is there: headers, both kinds of libraries with their names, command, manual page, Python module, licence"
for file in include/aplomb/{aplomb.h,aplomb.hpp,clip.h,files.h,follow.h,foot.h,fit.h,drawing.h} share/aplomb/python/aplomb.py share/man/man1/aplomb.1; do
    [ -s "$prefix/$file" ] || fail "$file is missing"
done
documents=$prefix/share/doc/aplomb
grep -q "MIT License" "$documents/LICENSE.txt" || fail "the licence text is missing"
for file in $(grep -oE '\]\([^):]*\)' "$documents/README.md" | tr -d ']()'); do # what the README links to
    case $file in tests/*) continue ;; esac
    [ -s "$documents/$file" ] || fail "README.md links to $file, which is missing"
done
for name in aplomb aplomb_clip aplomb_files aplomb_fit; do
    [ -s "$library/lib$name.a" ] || fail "lib$name.a is missing"
    same "SONAME of lib$name.so" "lib$name.so.0.1" \
        "$(readelf -d "$library/lib$name.so" | sed -n 's/.*(SONAME).*\[\(.*\)\]/\1/p')"
    nm -D --defined-only "$library/lib$name.so" | awk '{ print $3 }' >"$work/$name.exported"
    grep -q '^aplomb_' "$work/$name.exported" || fail "lib$name.so exports nothing"
    if grep -v '^aplomb_' "$work/$name.exported"; then fail "lib$name.so exports more than the C API"; fi
done
for header in aplomb.h clip.h files.h follow.h foot.h fit.h drawing.h; do
    for name in $(grep -o 'aplomb_[a-z0-9_]*(' "$prefix/include/aplomb/$header" | tr -d '(' | sort -u); do
        grep -qx "$name" "$work"/*.exported || fail "$header declares $name, no library has it"
    done
done
same "version of the command" "aplomb 0.1.0" "$("$prefix/bin/aplomb" --version | cut -d, -f1)"
if ldd "$prefix/bin/aplomb" | grep aplomb; then fail "the command needs a library of ours at run time"; fi

say "the manual page names the options that --help names, and no others"
for command in "" inspect read balance fit dots follow timing; do "$prefix/bin/aplomb" $command --help; done >"$work/help"
sed 's/\\-/-/g; s/\\f[A-Z]//g' "$prefix/share/man/man1/aplomb.1" >"$work/manual"
options() { grep -Eo -e '(^|[^a-zA-Z0-9-])--[a-z][a-z-]*' "$1" | grep -o -e '--.*' | sort -u; }
diff <(options "$work/help") <(options "$work/manual") || fail "--help (<) and manual page (>) differ"

say "the static run time shares no code with its host: what may be merged is about types of its own alone"
if [ "$build_type" = Release ]; then
    if nm -C --defined-only "$library/libaplomb.a" | grep -E '^[0-9a-f]+ [WVu] ' | grep -v 'aplomb'; then
        fail "these could be replaced by the host's, built with other flags"
    fi
else
    echo "!! LEFT OUT: only a Release build inlines what the C++ library shares"
fi

run_consumers() { # folder, shared or static
    local name
    "$1/use_c" >/dev/null || fail "$1/use_c"
    "$1/use_files" "$source/examples/beekeeper.bvh" "$work/box.bvh" "$work/box.svg" || fail "$1/use_files"
    [ -s "$work/box.bvh" ] && [ -s "$work/box.svg" ] || fail "$1/use_files wrote nothing"
    rm "$work/box.bvh" "$work/box.svg"
    "$1/use_clip" "$source/examples/beekeeper_shots.glb" || fail "$1/use_clip"
    if [ -x "$1/use_cpp" ]; then "$1/use_cpp" >"$work/poses-$(basename "$1")" || fail "$1/use_cpp"; fi
    for name in use_c use_clip use_files; do
        if readelf -d "$1/$name" | grep -q 'NEEDED.*libaplomb.so.0.1'; then
            same "linking of $1/$name" "$2" shared
        else
            same "linking of $1/$name" "$2" static
        fi
    done
}
consume() { # name, shared or static, cmake options...
    local folder=$consumers/$1 kind=$2 shared=OFF
    shift 2
    if [ "$kind" = shared ]; then shared=ON; fi
    say "$(basename "$folder") $kind"
    quietly cmake -S "$here" -B "$folder" -G Ninja -DBUILD_SHARED_LIBS=$shared "$@"
    quietly cmake --build "$folder"
    run_consumers "$folder" "$kind"
}

for kind in static shared; do
    consume "find_package-$kind" $kind "-DCMAKE_PREFIX_PATH=$prefix" -DAPLOMB_VERSION=0.1
    consume "find_package-$kind-C-alone" $kind "-DCMAKE_PREFIX_PATH=$prefix" -DAPLOMB_VERSION=0.1 -DLANGUAGES=C
done
launcher=()
if command -v ccache >/dev/null; then launcher=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache); fi
for kind in static shared; do # both from the same objects
    consume add_subdirectory $kind "-DAPLOMB_SOURCE=$source" "-DCMAKE_BUILD_TYPE=$build_type" "${launcher[@]}"
    mv "$work/poses-add_subdirectory" "$work/poses-add_subdirectory-$kind"
done

say "another version is refused"
for version in 0.0 0.2 1.0; do
    if cmake -S "$here" -B "$consumers/refused-$version" -G Ninja "-DCMAKE_PREFIX_PATH=$prefix" \
        "-DAPLOMB_VERSION=$version" >"$work/log" 2>&1; then
        fail "find_package(aplomb $version) accepts 0.1.0"
    fi
    grep -q "considered but not accepted" "$work/log" || fail "$(cat "$work/log")"
done

export PKG_CONFIG_PATH=$library/pkgconfig
same "version of aplomb.pc" 0.1.0 "$(pkg-config --modversion aplomb)"
same "version of aplomb-clip.pc" 0.1.0 "$(pkg-config --modversion aplomb-clip)"
same "version of aplomb-files.pc" 0.1.0 "$(pkg-config --modversion aplomb-files)"
same "version of aplomb-fit.pc" 0.1.0 "$(pkg-config --modversion aplomb-fit)"
for kind in shared static; do
    say "pkg-config-$kind"
    folder=$consumers/pkg-config-$kind
    mkdir -p "$folder"
    if [ $kind = static ]; then flags=(-static) pc=(pkg-config --static); else flags=() pc=(pkg-config); fi
    read -ra core < <("${pc[@]}" --cflags --libs aplomb)
    read -ra files < <("${pc[@]}" --cflags --libs aplomb-files)
    read -ra clip < <("${pc[@]}" --cflags --libs aplomb-clip aplomb-files)
    quietly "$CC" -std=c11 "${flags[@]}" "$source/examples/balance.c" "${core[@]}" -o "$folder/use_c"
    quietly "$CC" -std=c11 "${flags[@]}" "$here/use_files.c" "${files[@]}" -o "$folder/use_files"
    quietly "$CC" -std=c11 "${flags[@]}" "$here/use_clip.c" "${clip[@]}" -o "$folder/use_clip"
    quietly "$CXX" -std=c++20 "${flags[@]}" "$here/use.cpp" "${core[@]}" -o "$folder/use_cpp"
    LD_LIBRARY_PATH=$library run_consumers "$folder" $kind
done

say "the installed examples: C through pkg-config, Python by the module that is installed"
examples=$documents/examples
for name in balance game_loop crowd load_table; do
    read -ra core < <(pkg-config --cflags --libs aplomb)
    quietly "$CC" -std=c11 "$examples/$name.c" "${core[@]}" -lm -o "$work/$name"
    LD_LIBRARY_PATH=$library quietly "$work/$name"
done
export PYTHONDONTWRITEBYTECODE=1
quietly env -u APLOMB_LIBRARY -u PYTHONPATH python3 "$examples/lean_table.py"
quietly env -u APLOMB_LIBRARY -u PYTHONPATH python3 "$examples/balance_file.py" "$examples/beekeeper.bvh" 22 hands \
    "$work/by-python.bvh"

say "a static host built with -mavx2 -mfma -O3 that uses Eigen itself"
read -ra headers < <(pkg-config --cflags aplomb eigen3)
quietly "$CXX" -std=c++20 -O3 -mavx2 -mfma "$here/host_with_eigen.cpp" "${headers[@]}" \
    "$library/libaplomb_files.a" "$library/libaplomb.a" -o "$work/host"
if grep -qw avx2 /proc/cpuinfo && grep -qw fma /proc/cpuinfo; then
    "$work/host" >"$work/poses-host" || fail "the host with AVX2"
else
    echo "!!"
    echo "!! LEFT OUT: this processor has no AVX2, the host was built but NOT RUN"
    echo "!!"
fi

say "all of them gave the same pose, to the bit"
set -- "$work"/poses-*
[ $# -ge 6 ] || fail "only $# consumers printed poses"
for poses in "$@"; do cmp "$1" "$poses"; done
echo "Installed and used."
